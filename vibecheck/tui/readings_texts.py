"""The texts of the sheet of readings; nothing is worked out here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content

from vibecheck.calculators.reading_sheet import RoundSheet, meant_otherwise
from vibecheck.calculators.runout import RunoutResult
from vibecheck.metrology.units.choice import Units
from vibecheck.report.blocks import words_of
from vibecheck.report.calculators.runout import page
from vibecheck.report.corners import CORNERS
from vibecheck.report.wording import Wording
from vibecheck.tui.block_text import block_text
from vibecheck.tui.phrases import ZONES
from vibecheck.tui.plain import joined, line, plain, visible
from vibecheck.tui.surfaces import SheetSurface

_SAME_PLACE_DEG = 0.01


def title_text(surface: SheetSurface, corner: str | None, units: Units, in_case: bool) -> Content:
    """Surface, corner, and the unit of bare numbers."""
    at = f" - {CORNERS[corner]}" if corner else ""
    return joined(
        line(surface.name + at), f" - bare numbers are {units.length}",
        "" if in_case else " - without a case",
    )


def place_text(sheet: RoundSheet, units: Units) -> Content:
    """The place in hand, and how many are read."""
    now = sheet.texts[sheet.at]
    has = joined("now ", line(now, most=10), ", ") if now else "read "
    return joined(
        line(units.length, "bold"), f" at {sheet.angle(sheet.at):.0f} deg\n", has,
        f"{sheet.read} of {sheet.count}",
    )


def result_text(
    sheet: RoundSheet, found: RunoutResult | None, complaint: str, limit: str,
    wording: Wording,
) -> Content:
    """The runout of what is read, or what is wanted for one."""
    head = plain("Example: invented values.\n", "italic") if sheet.invented else ""
    if found is not None:
        partly = "" if sheet.complete else f"So far {sheet.read} of {sheet.count}.\n"
        return joined(head, partly, verdict_text(found, wording),
                      block_text(words_of(page(found, wording))))
    if complaint:
        return joined("! ", plain(complaint))
    words = f" The limit in force is {limit}." if limit else ""
    return plain(
        "The first reading is at the valve stem at 12 o'clock, the others follow clockwise, seen "
        "from outside the car: a wheel turned past the gauge has to turn counterclockwise. Six or "
        "more round the whole turn make a result; the high and low of one slow turn miss no bend."
        + words
    )


def verdict_text(found: RunoutResult, wording: Wording) -> Content:
    """What the runout proves against the limit, in one line; empty without a limit."""
    if found.decision is None:
        return plain("")
    sign = ZONES[found.decision.zone]
    limit = wording.length(found.decision.limit)
    return joined(line(sign, "bold"), f" against the limit of {limit}\n")


def comment(sheet: RoundSheet, place: int, unit: str) -> str:
    """What is wrong with what was just typed, or that its unit is in doubt; "" if nothing is."""
    doubtful, faults = sheet.doubtful(unit), sheet.faults(unit)
    if doubtful:
        others = " or ".join(meant_otherwise(doubtful, unit)) or "another unit"
        return (f"{visible(doubtful[0], 20)} {unit} is far more than a wheel runs out: "
                f"did you mean {others}? F8 settles the unit")
    return f"{faults[place]} (the up arrow goes back to it)" if place in faults else ""


def place_marks(
    sheet: RoundSheet, result: RunoutResult | None, faults: Mapping[int, str],
    doubtful: Sequence[str],
) -> dict[int, str]:
    """Letters for the places: faults, doubts, high and low, and what stands out alone."""
    found = {place: "?" for place, text in enumerate(sheet.texts) if text in doubtful}
    found |= {place: "!" for place in faults}
    if result is None:
        return found
    for letter, angles in (
        ("H", [result.runout.high_deg]), ("L", [result.runout.low_deg]),
        ("*", [spike.angle_deg for spike in result.runout.spikes]),
    ):
        for place, text in enumerate(sheet.texts):
            here = sheet.angle(place)
            if text and any(
                angle is not None and abs(angle - here) < _SAME_PLACE_DEG for angle in angles
            ):
                found[place] = found.get(place, "") + letter
    return found
