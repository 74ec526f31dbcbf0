"""The page of a best turn."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.match import MatchResult
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.metrology.vectors import add, turned
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled, turn_text
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.wording import Wording

FIGURE_STEP_DEG = 15


def page(result: MatchResult, wording: Wording) -> tuple[Block, ...]:
    """The turn, now and then, every turn that the studs allow."""
    found, quantity = result.match, result.quantity
    now = wording.spread(found.before.tir, 2.0 * found.uncertainty_before, quantity)
    spread = 2.0 * found.uncertainty_after
    after, low, high = (wording.size(size, quantity, spread)
                        for size in (found.after.tir, 2.0 * found.low, 2.0 * found.high))
    gain = wording.spread(2.0 * found.gain, 2.0 * found.uncertainty_gain, quantity)
    rows = tuple((f"{turn:.0f} deg", wording.size(2.0 * size, quantity, spread))
                 for turn, size in result.turns)
    table = (Table(("turn", "high to low"), rows, frozenset((0, 1))),) if rows else ()
    return result_page(
        turn_text(found, quantity, wording),
        (*titled("High to low", (
            f"now {now}, high spot at {wording.angle(found.before.angle_deg)}",
            f"after {after}, between {low} and {high}", f"gain {gain}")),
         *section("Every turn that the studs allow", table)),
        _figure(result, wording), "Total by the turn of the part.", _notes(result),
        _next(result),
    )


def _notes(result: MatchResult) -> Iterable[str]:
    yield "the prediction holds for the 1st harmonic; ovals and sharp bends stay as they are"
    if result.quantity is Quantity.FORCE:
        yield "force variation alone condemns no part; correct runout first"


def _next(result: MatchResult) -> tuple[str, ...]:
    if result.match.gain <= 0.0:
        return ()
    if result.studs is None:
        return ("mark tire and wheel before you turn, balance afterwards, and measure again",)
    return ("tighten by the manual's sequence and torque, and measure again",)


def _figure(result: MatchResult, wording: Wording) -> Figure:
    turns = range(0, 360, FIGURE_STEP_DEG)
    unit = wording.unit(result.quantity)
    totals = (add((result.carrier, turned(result.part, turn))).tir for turn in turns)
    return Figure(
        FigureKind.ROUND, "Total by the turn of the part", "deg", unit,
        tuple(float(turn) for turn in turns),
        tuple(to_unit(total, result.quantity, unit) for total in totals),
    )
