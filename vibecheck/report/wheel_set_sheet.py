"""One sheet for wheels that were measured side by side: what becomes of each, and why."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from vibecheck.calculators.wheel_row import judged_alone
from vibecheck.casebook.case import Case
from vibecheck.errors import InputError
from vibecheck.metrology.runout.wheel_verdict import Pattern, Surface
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import (
    Block,
    Columns,
    Drawing,
    Heading,
    Item,
    Pair,
    Paragraph,
    Table,
    Tone,
    items,
    section,
)
from vibecheck.report.calculators.runout import turn_figure
from vibecheck.report.figures import Figure
from vibecheck.report.lines import local_time
from vibecheck.report.sheet_parts import NOT_AN_INSPECTION
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wheel_words import (
    DIALS,
    FATES,
    FRONT_PRACTICE,
    LONG_SURFACES,
    SIGNS,
    SURFACES,
    bend_at,
    cell_text,
    fate_text,
    front_text,
    limit_source,
    look_cell,
    so_far,
    unlooked_text,
)
from vibecheck.report.wording import Wording
from vibecheck.session.judge import turn_texts
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import TABLE_ORDER, Fate, Reason, WheelRow, pattern_of

PATTERNS = {
    Pattern.DROP: "A low spot with a high spot beside it over a short arc at one bead, the other "
                  "side straight: so looks a wheel that fell on a hard floor or was struck there.",
    Pattern.STRIKE: "A wide and deep bend: so looks a wheel after a curb or a pothole.",
    Pattern.LOCAL: "A bend at one place; its shape does not tell where it comes from.",
    Pattern.OFFSET: "The surface is offset or tilted as a whole; that may also come from how the "
                    "wheel was centered.",
    Pattern.UNKNOWN: "The readings show no bend at one place.",
    Pattern.NONE: "No surface is beyond its limit.",
}
INVENTED = "THIS SET IS INVENTED. It is here to try the program with."
SPINDLE = (
    "Turn the wheel by hand while a gauge touches it, the machine switched off and locked; before "
    "a machine spins it: gauge and stand away, clamp tight, guard down, sleeves and hair out of "
    "reach. The machine maker's manual goes before this sheet."
)
MOUNT_AGAIN = (
    "Turn one wheel half a turn on its mounting and read one surface again: if it does not repeat, "
    "the mounting is what was measured."
)
_TONES = {
    Fate.KEEP: Tone.GOOD, Fate.SWAP: Tone.WARN, Fate.CLAIM: Tone.WARN, Fate.REPAIR_SHOP: Tone.WARN,
    Fate.SCRAP: Tone.STOP, Fate.OPEN: Tone.PLAIN,
}
_ALWAYS = ("work_tire_mounting", "work_balancer", "note_lip_is_cosmetic")
_BY_REASON = {
    Reason.CRACKED: "stop_wheel_cracked", Reason.REPAIRED: "stop_wheel_weld",
    Reason.BEYOND_REJECT: "stop_rim_far_bent", Reason.BENT_SHAPE: "note_no_straightening",
    Reason.DENTED: "note_no_straightening",
}


def set_sheet(bench: WheelBench, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    table = bench.table
    return (
        *head_blocks(bench, "Wheels, measured with the tires off"),
        *section("What becomes of each wheel", (_fate(row, wording) for row in table.rows)),
        Paragraph(f"To the front: {front_text(table.front, table)}.", Tone.STRONG),
        Paragraph(FRONT_PRACTICE, Tone.QUIET),
        *section("High minus low over one turn", readings_blocks(bench, wording)),
        *_turns(bench, wording),
        *section("Mind", _cautions(bench)),
        Paragraph(judged_by(bench), Tone.QUIET),
        Paragraph(NOT_AN_INSPECTION, Tone.QUIET),
    )


def head_blocks(bench: WheelBench, title: str) -> tuple[Block, ...]:
    """Title, which set, who measured with what and when."""
    case = bench.case
    about = bench.about if isinstance(bench, OpenSet) else None
    new = {"new": "new wheels", "used": "used wheels"}.get(about.state if about else "", "")
    came = {"yes": "came by carrier", "no": "did not come by carrier"}.get(
        about.shipped if about else "", "")
    return (
        Heading(title.upper(), 1),
        Pair("Set:" if about else "Visit:", case.title),
        *((Pair("Wheels:", ", ".join(filter(None, (new, came)))),) if new or came else ()),
        *((Pair("Measured by:", about.by),) if about and about.by else ()),
        *((Pair("With:", about.gauge),) if about and about.gauge else ()),
        Pair("Last entry:", when_text(case)),
        *((Paragraph(INVENTED, Tone.STRONG),) if case.invented else ()),
    )


def when_text(case: Case) -> str:
    """When the newest entry was made, in local time."""
    newest = case.in_order[-1:]
    return local_time(newest[0].at) if newest else "none yet"


def judged_by(bench: WheelBench) -> str:
    """Small print: which set and which rules a sheet is from."""
    settings = bench.library.settings
    return (f"{bench.case.id}; judged with {settings.name} {settings.version} "
            f"({bench.library.digest[:12]}).")


def _fate(row: WheelRow, wording: Wording) -> Item:
    texts = []
    if row.unlooked and row.fate is not Fate.OPEN:
        texts.append(unlooked_text(row.unlooked))
    return Item(f"Wheel {row.name} - {fate_text(row, wording)}", "*", _TONES[row.fate],
                items((f"{text[0].upper()}{text[1:]}." for text in texts), "-"))


def readings_blocks(bench: WheelBench, wording: Wording) -> tuple[Block, ...]:
    """The table of all surfaces, and the limits with their sources."""
    table = bench.table
    unit = wording.unit(Quantity.LENGTH)
    rows = [(row.name, *(cell_text(row, surface, wording) for surface in TABLE_ORDER),
             look_cell(row), FATES[row.fate]) for row in table.rows]
    head = ("wheel", *(SURFACES[surface] for surface in TABLE_ORDER), "seen", "verdict")
    spreads = [found.judgement.numbers.uncertainty for row in table.rows
               for found in row.read.values()]
    said = [f"In {unit}. {SIGNS[0].upper()}{SIGNS[1:]}; . not done."]
    if spreads:
        low, high = (wording.length(each, each) for each in (min(spreads), max(spreads)))
        size = low if low == high else f"{low} to {high}"
        said.append(f"Each is uncertain by {size} (about 95 %): the gauge, and setting wheel and "
                    "gauge up once. Within or beyond is said only past that.")
    radial, lateral = table.limits[Surface.INBOARD_RADIAL], table.limits[Surface.INBOARD_LATERAL]
    of_set = isinstance(bench, OpenSet)
    pairs = [
        Pair(f"Limit, {word}:",
             f"{wording.length(limit.value)} ({limit_source(bench.library, limit, of_set)})")
        for word, limit in (("radial", radial), ("lateral", lateral)) if limit is not None
    ]
    return (Table(head, tuple(rows)), *(Paragraph(text, Tone.QUIET) for text in said), *pairs)


def _turns(bench: WheelBench, wording: Wording) -> Iterable[Block]:
    for row in bench.table.rows:
        yield from section(f"Wheel {row.name}, round the turn",
                           turn_blocks(row, bench, wording))


def turn_blocks(row: WheelRow, bench: WheelBench, wording: Wording) -> tuple[Block, ...]:
    """Every surface of a wheel that was read place by place, drawn, with what it says."""
    drawn: list[Block] = []
    for surface in TABLE_ORDER:
        figure = figure_of(row, surface, bench, wording)
        if figure is not None:
            drawn.append(Drawing(figure, f"{LONG_SURFACES[surface]}, {FROM_OUTSIDE}; dashed: the "
                                         "limit about the middle"))
    if not drawn:
        return ()
    said = [bend_at(found, wording) for found in row.read.values()]
    words: tuple[Block, ...] = (
        *items(f"{text[0].upper()}{text[1:]}." for text in said if text),
        Paragraph(PATTERNS[pattern_of(row)]),
    )
    return (Columns((words, tuple(drawn))),)


def figure_of(
    row: WheelRow, surface: Surface, bench: WheelBench, wording: Wording
) -> Figure | None:
    """The newest turn of a surface that was read place by place; None without one."""
    for entry in reversed(row.readings.get(surface, ())):
        texts = turn_texts(entry)
        if texts is None:
            continue
        try:
            return turn_figure(judged_alone(texts, bench.limit_mm(surface)), wording)
        except InputError:  # readings written by hand into the file
            return None
    return None


def _cautions(bench: WheelBench) -> tuple[Block, ...]:
    known = bench.library.cautions
    wanted = [_BY_REASON[each] for row in bench.table.rows for each in row.why
              if each in _BY_REASON]
    if any(row.fate is Fate.CLAIM for row in bench.table.rows):
        wanted.append("note_shipping_claim")
    texts = [known[each].text for each in dict.fromkeys((*wanted, *_ALWAYS)) if each in known]
    return items((*texts, SPINDLE, MOUNT_AGAIN), "!", Tone.WARN)


def table_page(bench: WheelBench, wording: Wording) -> tuple[Block, ...]:
    """The set as it stands: the table, and each wheel in a line."""
    table = bench.table
    lines = items(f"{row.name}: {so_far(row)}" for row in table.rows)
    return (
        Heading(bench.case.title, 1),
        Paragraph(f"Bare numbers count in {DIALS[bench.dial]}.", Tone.QUIET),
        *readings_blocks(bench, wording), *section("So far", lines),
        Paragraph(f"To the front: {front_text(table.front, table)}."),
    )


def set_data(bench: WheelBench) -> dict[str, Any]:
    """The set for programs: ids and numbers in base units."""
    table = bench.table
    return {
        "set": bench.case.id, "title": bench.case.title,
        "limits_mm": {each.value: bench.limit_mm(each) for each in TABLE_ORDER},
        "wheels": [{
            "wheel": row.key, "name": row.name, "fate": row.fate.value,
            "why": [each.value for each in row.why],
            "look": row.look.value if row.look else None,
            "missing": [each.value for each in row.missing],
            "surfaces": {
                surface.value: {
                    "runout_mm": found.judgement.numbers.value,
                    "uncertainty_mm": found.judgement.numbers.uncertainty,
                    "zone": found.judgement.zone.value,
                } for surface, found in row.read.items()
            },
        } for row in table.rows],
        "front": list(table.front.keys), "front_why": table.front.why.value,
    }
