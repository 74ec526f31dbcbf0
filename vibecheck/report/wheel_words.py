"""What becomes of wheels that were measured side by side, in words."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.wheel_row import HUNDREDTH
from vibecheck.knowledge.library import Library
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.wheel_verdict import REJECT_MM, Surface, SurfaceVerdict
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.calculators.judgements import decides_text, point_text
from vibecheck.report.calculators.runout import bend_text
from vibecheck.report.sentences import limit_origin
from vibecheck.report.wording import Wording
from vibecheck.session.limits import Limit, LimitOrigin
from vibecheck.session.wheel_table import (
    Fate,
    Front,
    FrontWhy,
    Look,
    Reason,
    WheelRow,
    WheelTable,
)

FATES = {
    Fate.KEEP: "keep", Fate.SWAP: "swap", Fate.CLAIM: "claim",
    Fate.REPAIR_SHOP: "repair shop", Fate.SCRAP: "scrap", Fate.OPEN: "not settled",
}
WHAT_TO_DO = {
    Fate.KEEP: "fit it",
    Fate.SWAP: "do not mount a tire on it; the seller exchanges it",
    Fate.CLAIM: "do not mount a tire on it; keep box and packing, photograph box, mark and gauge, "
                "and claim it from the shipper or the seller within their time limit",
    Fate.REPAIR_SHOP: "do not fit it as it is; a wheel repair shop judges it in writing, and since "
                      "welding, heating and straightening are forbidden by rules and many makers, "
                      "expect to replace it",
    Fate.SCRAP: "never fit it again; mark it so that nobody does",
    Fate.OPEN: "not to be fitted before that",
}
ON_THE_LIMIT = (
    "the readings entitle nobody to call it bad, and nobody to call it good: agree with the "
    "seller, and if it is kept, put it at the rear"
)
LOOKS = {
    Look.CLEAN: "nothing", Look.LIP: "lip only", Look.DENT: "dent", Look.REPAIRED: "weld",
    Look.CRACKED: "CRACK",
}
LOOKS_AT_LENGTH = {
    Look.CLEAN: "no crack, dent, weld or filler was seen",
    Look.LIP: "the outer lip is scuffed or wavy; no crack, dent, weld or filler was seen",
    Look.DENT: "a dent, a flat or a bend line was seen at a flange",
    Look.REPAIRED: "a weld or filler was seen", Look.CRACKED: "a crack was seen",
}
LOOK_QUESTIONS = {
    Look.CLEAN: "No crack, bend line, dent or weld",
    Look.LIP: "Outer lip scuffed or wavy, no more",
    Look.DENT: "A dent, flat or bend line",
    Look.REPAIRED: "A weld or filler",
    Look.CRACKED: "A crack",
}
LOOK_FOR = {
    "wheel_crack": "cracks", "wheel_repair_seen": "welds and filler",
    "impact_mark": "dents and marks",
}
SURFACES = {
    Surface.INBOARD_RADIAL: "radial in", Surface.OUTBOARD_RADIAL: "radial out",
    Surface.INBOARD_LATERAL: "lateral in", Surface.OUTBOARD_LATERAL: "lateral out",
}
SHORT_SURFACES = {
    Surface.INBOARD_RADIAL: "rad in", Surface.OUTBOARD_RADIAL: "rad out",
    Surface.INBOARD_LATERAL: "lat in", Surface.OUTBOARD_LATERAL: "lat out",
}
LONG_SURFACES = {
    Surface.INBOARD_RADIAL: "radial at the inboard bead seat",
    Surface.OUTBOARD_RADIAL: "radial at the outboard bead seat",
    Surface.INBOARD_LATERAL: "lateral at the inboard flange, inner face",
    Surface.OUTBOARD_LATERAL: "lateral at the outboard flange, inner face",
}
DIALS = {
    "mm": "millimeters", HUNDREDTH: "hundredths of a millimeter",
    "thou": "thousandths of an inch", "in": "inches",
}
_SIGNS = {Zone.WITHIN: "", Zone.BEYOND: " !", Zone.UNDECIDED: " ?"}
SIGNS = "! proven beyond the limit, ? not decided, no sign: proven within"
_REASONS = {
    Reason.CRACKED: "a crack was seen; a cracked wheel can lose air at once or come apart",
    Reason.REPAIRED: "a weld or filler was seen; vehicle inspection rejects a welded wheel "
                     "(49 CFR 570.10(a))",
    Reason.DENTED: "a dent or bend line was seen",
    Reason.BENT_SHAPE: "the readings round the wheel show a sharp bend",
    Reason.NOT_WITHIN: "a reading is not proven within",
    Reason.CAME_SHIPPED: "it came by carrier",
    Reason.NEW: "the wheel is new",
    Reason.USED: "the wheel is used",
    Reason.LIP_ONLY: "the scuffed or wavy lip is cosmetic: no tire sits on it",
    Reason.TO_LOOK: "look for cracks, bend lines, welds and dents, inside and outside",
    Reason.TO_CONFIRM: "one setting-up may have been off center: read it round the wheel, or seat "
                       "wheel and gauge afresh and read again",
    Reason.NEW_OR_USED: "say whether the wheels are new or used",
}
_SHORT_REASONS = {
    Reason.CRACKED: "cracked", Reason.REPAIRED: "welded", Reason.BEYOND_REJECT: "far beyond",
    Reason.BEYOND: "beyond", Reason.DENTED: "dented", Reason.PROVEN_WITHIN: "within",
    Reason.BENT_SHAPE: "bent", Reason.TO_DECIDE: "not decided",
    Reason.TOO_CLOSE: "too close to tell", Reason.TO_LOOK: "look at it",
    Reason.NEW_OR_USED: "new or used?", Reason.TO_CONFIRM: "read it round",
    Reason.LIP_ONLY: "lip only",
}
_FRONT = {
    FrontWhy.TRUEST: "they run truest of those to keep, beyond the uncertainty of the readings",
    FrontWhy.ALIKE: "they read truest, but the readings do not tell them from the next one; any of "
                    "them will do",
    FrontWhy.ONLY_TWO: "they are the only two to keep so far",
}
FRONT_PRACTICE = (
    "The truest pair goes to the front, where the steering wheel shows a shake first: common "
    "practice, no source. Where front and rear wheels differ in size, that decides."
)


def cell_text(row: WheelRow, surface: Surface, wording: Wording, *, place: bool = False) -> str:
    """What was read of a surface with its sign; "." where nothing was."""
    found = row.read.get(surface)
    if found is None:
        return "."
    numbers = found.judgement.numbers
    value = wording.length(numbers.value).rsplit(" ", 1)[0]
    bend = found.runout.bend_place
    at = ""
    if place and bend is not None:
        clock = bend.clock
        at = f" at {clock.hour}{':30' * clock.half} o'c"
    return f"{value}{at}{_SIGNS[found.judgement.zone]}"


def look_cell(row: WheelRow) -> str:
    """What was seen of a wheel; "." where the look is not done."""
    return LOOKS[row.look] if row.look is not None else "."


def limits_text(library: Library, table: WheelTable, wording: Wording) -> str:
    """The limits in force in one line, and what kind of source they have."""
    radial, lateral = (_limit_text(library, table.limits[each], wording)
                       for each in (Surface.INBOARD_RADIAL, Surface.INBOARD_LATERAL))
    if radial == lateral:
        return f"limit {radial}"
    return f"limit {radial} radial, {lateral} lateral"


def _limit_text(library: Library, limit: Limit | None, wording: Wording) -> str:
    if limit is None:
        return "none"
    size = wording.length(limit.value)
    if limit.origin is LimitOrigin.OWN:
        return f"{size} (own)"
    return f"{size} ({library.sources[limit.sources[0]].standing.value.replace('_', ' ')})"


def limit_source(library: Library, limit: Limit | None, of_set: bool) -> str:
    """Where a limit comes from."""
    if limit is None:
        return "no limit is in force"
    if limit.origin is LimitOrigin.OWN and of_set:
        return "typed in for this set"
    return limit_origin(library, limit)


def so_far(row: WheelRow) -> str:
    """A wheel in a few words: what becomes of it, or what is wanted next."""
    if not row.read and row.look is None:
        return "not yet measured"
    lead = "" if row.fate is Fate.OPEN else f"{FATES[row.fate]}: "
    return lead + ", ".join(
        text for each in row.why if (text := short_reason(row, each)))


def short_reason(row: WheelRow, reason: Reason) -> str:
    """A reason, or what is wanted, in a word or two; "" where it says nothing by itself."""
    if reason is Reason.TO_MEASURE:
        count = len(row.missing)
        return f"{count} surface{'s' * (count > 1)} to read"
    return _SHORT_REASONS.get(reason, "")


def reason_text(row: WheelRow, reason: Reason, wording: Wording) -> str:
    """One reason in words, with the reading behind it."""
    if reason is Reason.PROVEN_WITHIN:
        return "all four bead surfaces are proven within their limits"
    if reason in (Reason.BEYOND, Reason.BEYOND_REJECT):
        return _beyond(row, reason, wording)
    if reason is Reason.TO_MEASURE:
        return f"still to read: {', '.join(LONG_SURFACES[each] for each in row.missing)}"
    if reason in (Reason.TO_DECIDE, Reason.TOO_CLOSE):
        return "; ".join(_open(found, wording) for found in _undecided(row))
    return _REASONS[reason]


def _beyond(row: WheelRow, reason: Reason, wording: Wording) -> str:
    worst = row.worst
    assert worst is not None
    text = f"{size_text(worst, wording)} {LONG_SURFACES[worst.surface]} is proven beyond "
    if reason is Reason.BEYOND_REJECT:
        return (f"{text}{wording.length(REJECT_MM, 0.01)} (1/8 in), at which vehicle inspection "
                "rejects a wheel (49 CFR 570.10(b))")
    return f"{text}{wording.length(worst.judgement.numbers.limit)}"


def _undecided(row: WheelRow) -> list[SurfaceVerdict]:
    return [found for found in row.read.values() if found.judgement.open]


def _open(found: SurfaceVerdict, wording: Wording) -> str:
    """Why a surface is not decided, and what would decide it."""
    point, limit = found.judgement.open[0], wording.length(found.judgement.numbers.limit)
    return (f"{size_text(found, wording)} {LONG_SURFACES[found.surface]} proves neither within "
            f"{limit} nor beyond it ({point_text(point, wording)}); {decides_text(point, wording)}")


def bend_at(found: SurfaceVerdict, wording: Wording) -> str:
    """A sharp bend of a surface with its place; "" where its readings show none."""
    said = bend_text(found.runout, wording)
    return f"{said}, {LONG_SURFACES[found.surface]}" if said else ""


def size_text(found: SurfaceVerdict, wording: Wording) -> str:
    """A reading with its uncertainty, such as "1.19 +/- 0.06 mm"."""
    numbers = found.judgement.numbers
    return wording.spread(numbers.value, numbers.uncertainty, Quantity.LENGTH)


def fate_text(row: WheelRow, wording: Wording) -> str:
    """What becomes of a wheel, why, and what to do with it."""
    why = "; ".join(reason_text(row, each, wording) for each in row.why)
    done = ON_THE_LIMIT if row.why == (Reason.TOO_CLOSE,) else WHAT_TO_DO[row.fate]
    return f"{FATES[row.fate].upper()}: {why}. {done[0].upper()}{done[1:]}."


def unlooked_text(looked_for: Sequence[str]) -> str:
    """What was not looked at."""
    return f"not looked at for {', '.join(LOOK_FOR[each] for each in looked_for)}"


def front_text(front: Front, table: WheelTable) -> str:
    """Which two go to the front, and why."""
    if front.why is FrontWhy.TOO_FEW:
        kept = sum(1 for row in table.rows if row.fate is Fate.KEEP)
        have = {0: "no wheel is", 1: "one wheel is"}[kept]
        return f"{have} to keep so far; it takes two to say which go to the front"
    names = " and ".join(table.row(key).name for key in front.keys)
    return f"{names}: {_FRONT[front.why]}"
