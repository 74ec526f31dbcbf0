"""The texts of the screen of wheels; nothing is worked out here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content

from vibecheck.calculators.reading_sheet import COUNTS
from vibecheck.calculators.runout import RunoutResult
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.braille import round_lines
from vibecheck.report.calculators.runout import bend_text, turn_figure
from vibecheck.report.wheel_words import (
    LONG_SURFACES,
    LOOK_QUESTIONS,
    SIGNS,
    bend_at,
    fate_text,
    front_text,
    limits_text,
    size_text,
    unlooked_text,
)
from vibecheck.report.wording import Wording
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import Fate, Look, WheelRow
from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.wheel_turn import Turn

LOOK_KEYS: Mapping[str, Look] = {
    str(number): look for number, look in enumerate(LOOK_QUESTIONS, start=1)
}
_ZONE_WORDS = {
    Zone.WITHIN: "within", Zone.BEYOND: "BEYOND", Zone.UNDECIDED: "not decided",
}
_LONGEST_TITLE = 40
_DRAWN_ROWS, _DRAWN_ROWS_HIGH = 7, 13


def set_title(bench: WheelBench, wording: Wording, two: bool) -> Content:
    """Which set, the limit in force, what bare numbers count in, how it is read."""
    state = ""
    if isinstance(bench, OpenSet):
        said = (bench.about.state, "by carrier" if bench.about.shipped == "yes" else "")
        state = ", ".join(filter(None, said))
    saved = "" if bench.path is not None else " - not kept on disk"
    invented = " - invented" if bench.case.invented else ""
    how = "two indicators" if two else "one indicator"
    return joined(
        line(bench.case.title, "bold", _LONGEST_TITLE), f" ({state}){invented}{saved}" if state
        else f"{invented}{saved}", ", tires off\n",
        line(f"{limits_text(bench.library, bench.table, wording)} - numbers in {bench.dial} - "
             f"{how}"),
    )


def slow_task(row: WheelRow, targets: Sequence[Surface]) -> Content:
    """What to read next in one slow turn."""
    names = [LONG_SURFACES[each] for each in targets]
    again = [each for each in targets if each in row.read]
    lead = "again, set up afresh: " if again else ""
    how = ("high minus low of one slow turn" + (", one value each" if len(targets) > 1 else "")
           + "; or high/low as 9/-5")
    return stacked([
        joined(line(f"Wheel {row.name}", "bold"), ": ", lead, line(" and ".join(names))),
        plain(how, "$text-muted"),
    ])


def look_task(row: WheelRow) -> Content:
    """The look: one number."""
    rows = [joined(f" {key}  ", line(LOOK_QUESTIONS[look])) for key, look in LOOK_KEYS.items()]
    return stacked([
        joined(line(f"Wheel {row.name}", "bold"),
               ": look at it all round, inside and outside. What is seen?"), *rows])


def turn_task(row: WheelRow, turn: Turn) -> Content:
    """Which place is read next."""
    names = " and ".join(LONG_SURFACES[each] for each in turn.surfaces)
    head = joined(line(f"Wheel {row.name}", "bold"), ", round the wheel: ", line(names))
    if turn.place >= turn.count:
        return stacked([head, plain("The first place again (Enter alone leaves it out)")])
    first = turn.read == 0 and turn.place == 0
    hint = ("Zero at the valve, then clockwise on the wheel, seen from outside. n: places"
            if first and turn.count in COUNTS else f"{turn.read} of {turn.count} read")
    return stacked([head, plain(hint, "$text-muted")])


def row_comment(
    row: WheelRow, surfaces: Sequence[Surface], again: Sequence[Surface], wording: Wording
) -> str:
    """What was just taken, echoed as read, with what it proves."""
    said = []
    for surface in surfaces:
        found = row.read[surface]
        entry = row.readings[surface][-1]
        newest = " to ".join(reversed(entry.readings)) or entry.value
        zone = _ZONE_WORDS[found.judgement.zone]
        if surface in again:
            count = len(row.readings[surface])
            said.append(f"{newest}: reading {count}, together {size_text(found, wording)}, {zone}")
        else:
            said.append(f"{newest} {zone}")
    text = "; ".join(said)
    if any(each in row.wants_shape for each in surfaces):
        text += ". t reads its shape round the wheel while it is up"
    return text


def detail_text(bench: WheelBench, row: WheelRow, wording: Wording) -> Content:
    """What becomes of the wheel in hand and why; the two for the front."""
    table = bench.table
    parts = [line(f"Wheel {row.name}", "bold underline")]
    if row.read or row.look is not None:
        tone = {Fate.KEEP: "$success", Fate.SCRAP: "bold $error"}.get(row.fate, "")
        parts.append(plain(fate_text(row, wording), tone))
        parts += [plain(f"· {text}") for found in row.read.values()
                  if (text := bend_at(found, wording))]
        if row.unlooked and row.fate is not Fate.OPEN:
            parts.append(plain(f"· {unlooked_text(row.unlooked)}"))
    else:
        parts.append(plain("Not yet measured."))
    if sum(1 for each in table.rows if each.fate is Fate.KEEP) > 1:
        parts += [plain(""), plain(f"To the front: {front_text(table.front, table)}.")]
    parts += [plain(""), plain(SIGNS[0].upper() + SIGNS[1:], "$text-muted")]
    return stacked(parts)


def turn_detail(
    found: Mapping[Surface, RunoutResult], complaint: str, wording: Wording, *, high: bool
) -> Content:
    """The turn so far: its circle, larger on a high screen, and what it says."""
    rows = _DRAWN_ROWS_HIGH if high else _DRAWN_ROWS
    if not found:
        return plain(complaint or "", "$text-muted")
    parts: list[Content] = []
    for surface, result in found.items():
        judged = result.judgement
        size = wording.spread(*result.runout.judged_mm, Quantity.LENGTH)
        zone = f", {_ZONE_WORDS[judged.zone]}" if judged else ""
        parts.append(joined(line(LONG_SURFACES[surface], "bold"), f": {size}{zone}"))
        bend = result.runout.local_bend
        if bend is not None:
            parts.append(plain(bend_text(result.runout, wording)))
        if result.slow_turn_excess_mm:
            parts.append(plain("! the places reach farther than the slow turn did: read again"))
        parts += [plain(each) for each in round_lines(turn_figure(result, wording), rows)]
    return stacked(parts)

