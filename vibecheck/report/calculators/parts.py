"""What the pages of all calculators share: the order of their blocks, names of orders, turns."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.metrology.orders.rotating_parts import OrderLine, Part
from vibecheck.metrology.places import Mark, PartTurn
from vibecheck.metrology.stack.matching import BestTurn, Worth
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, Drawing, Heading, Paragraph, Tone, items, section
from vibecheck.report.figures import Figure
from vibecheck.report.wording import Wording

HALF_TURN_DEG = 179.5  # from here on both ways lead to the same place
_ORDINALS = {"1": "1st", "2": "2nd", "3": "3rd"}
_WORTH = {
    Worth.YES: "worth doing", Worth.NO: "not worth doing", Worth.UNSURE: "cannot be told",
    Worth.NOT_NEEDED: "within limit already", Worth.NOT_ENOUGH: "helps, but not enough",
}
MARKS = {
    Mark.VALVE_STEM: "valve stem", Mark.TIRE_MARK: "mark on the tire",
    Mark.MARKED_STUD: "marked stud",
}


def result_page(
    headline: str, blocks: Iterable[Block], figure: Figure | None = None, caption: str = "",
    mind: Iterable[str] = (), next_steps: Iterable[str] = (),
) -> tuple[Block, ...]:
    """Headline, what was found, its figure, notes and what to do next."""
    drawn = (Drawing(figure, caption),) if figure is not None else ()
    return (
        Paragraph(headline, Tone.STRONG), *blocks, *drawn,
        *section("Notes", items(mind, tone=Tone.WARN)), *section("Next", items(next_steps, ">")),
    )


def titled(title: str, lines: Iterable[str]) -> tuple[Block, ...]:
    """Lines under a title; nothing without lines."""
    found = tuple(Paragraph(line) for line in lines)
    return (Heading(title), *found) if found and title else found


def line_name(line_id: str) -> str:
    """An order line in plain words: `wheel_1` is "wheel, 1st order"."""
    part, _, order = line_id.rpartition("_")
    name = part.replace("half_shaft", "half-shaft").replace("_", " ")
    if part == Part.ENGINE_FIRING.value:
        return f"{name}, {order} per turn of the crank"
    return f"{name}, {_ORDINALS.get(order, f'{order}th')} order"


def name_of(line: OrderLine) -> str:
    """An order line in plain words."""
    return line_name(line.id)


def part_name(part: Part) -> str:
    """A part that turns in plain words."""
    return part.value.replace("half_shaft", "half-shaft").replace("_", " ")


def any_of(names: Iterable[str]) -> str:
    """Names as a choice: "a, b or c"."""
    *most, last = dict.fromkeys(names)
    return f"{', '.join(most)} or {last}" if most else last


def turn_text(match: BestTurn, quantity: Quantity, wording: Wording) -> str:
    """A best turn and what it brings."""
    spread = 2.0 * match.uncertainty_after
    unit = wording.unit(quantity)
    before = wording.number(match.before.tir, quantity, spread)
    if match.at_best:
        return f"the parts stand at their best already: {before} {unit} high to low"
    if match.worth is Worth.NOT_NEEDED:
        return f"{before} {unit} high to low is within the limit: leave it"
    after = wording.spread(match.after.tir, spread, quantity)
    wrong = wording.size(2.0 * match.wrong_way, quantity, spread)
    either_way = match.turning.degrees > HALF_TURN_DEG
    warning = "" if either_way else f"; turned the other way it would be {wrong}"
    return (f"{_WORTH[match.worth]}: from {before} to {after} high to low by a turn of "
            f"{turning_text(match.turning)}{warning}")


def turning_text(turn: PartTurn) -> str:
    """A turn with its sense and the mark it is measured from."""
    return (f"{turn.degrees:.0f} deg {turn.way.value}, seen from outside, from the "
            f"{MARKS[turn.mark]}")
