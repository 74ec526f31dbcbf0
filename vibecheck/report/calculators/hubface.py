"""The page of a wheel less its hub."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.hubface import HubFaceResult
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.wording import Wording

_JUDGED = {
    Zone.WITHIN: "proven within the limit of", Zone.BEYOND: "proven beyond the limit of",
    Zone.UNDECIDED: "too near to be proven either way to the limit of",
}
STRAIGHT = 0.999  # a factor nearer to one is not worth a word


def page(result: HubFaceResult, wording: Wording) -> tuple[Block, ...]:
    """The wheel alone, the hub's share, and the wheel's readings without it."""
    return result_page(
        _headline(result, wording), titled("High to low", _lines(result, wording)),
        _figure(result, wording), "The wheel's readings with the hub's tilt taken off.",
        _mind(result, wording), _next(result),
    )


def _alone(result: HubFaceResult, wording: Wording) -> str:
    return wording.spread(*result.wheel_mm, Quantity.LENGTH)


def _headline(result: HubFaceResult, wording: Wording) -> str:
    text = f"the wheel alone runs out by {_alone(result, wording)} high to low"
    if result.decision is not None:
        limit = wording.length(result.decision.limit, result.decision.uncertainty)
        text += f", {_JUDGED[result.decision.zone]} {limit}"
    return text


def _lines(result: HubFaceResult, wording: Wording) -> Iterable[str]:
    less, spread = result.less, result.wheel_mm[1]
    yield f"as read on the hub: {wording.length(result.as_read_mm, spread)}"
    yield (f"wheel alone, 1st harmonic: {_alone(result, wording)}, high at "
           f"{wording.angle(less.wheel.angle_deg)}")
    yield (f"brought by the hub at the wheel's radius: {wording.length(less.hub.tir, spread)}, "
           f"high at {wording.angle(less.hub.angle_deg)}")
    yield (f"waves of the face that do not tilt the wheel: "
           f"{wording.length(less.bridged_mm, spread)}")


def _mind(result: HubFaceResult, wording: Wording) -> Iterable[str]:
    if result.tip_factor < STRAIGHT:
        yield f"readings were taken times {result.tip_factor:.2f} for the tilted stylus"
    least, most = (wording.length(each, 0.01) for each in (0.05, 0.25))
    yield (f"manuals of 1996 to 2011 allow hub faces {least} to {most} high to low: the vehicle "
           "maker's figure goes first")


def _next(result: HubFaceResult) -> Iterable[str]:
    yield "clean both faces of rust before parts are condemned, and read again"
    if result.less.hub.tir > result.wheel_mm[0]:
        yield ("most of it is the hub's: look at the hub's face and its bearing, or turn the wheel "
               "on the hub so that the two take from each other")


def _figure(result: HubFaceResult, wording: Wording) -> Figure:
    unit = wording.unit(Quantity.LENGTH)
    return Figure(
        FigureKind.ROUND, "Wheel alone", "deg", unit, result.angles_deg,
        tuple(to_unit(float(each), Quantity.LENGTH, unit) for each in result.less.readings_mm),
    )
