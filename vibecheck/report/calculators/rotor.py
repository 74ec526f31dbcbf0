"""The page of a rotor's thickness."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.rotor import RotorResult, WaveSeen
from vibecheck.metrology.brakes.rotor import SLOPE_OF_WEAR_KM
from vibecheck.metrology.decision import Decision, Zone
from vibecheck.metrology.units.values import MILE_KM, Quantity, to_unit
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.wording import Wording

_VARIES = {
    Zone.WITHIN: "proven within the limit of", Zone.BEYOND: "proven beyond the limit of",
    Zone.UNDECIDED: "too near to be proven either way to the limit of",
}
_NEAREST_KM = 100.0  # a distance of wear is worth no finer step


def page(result: RotorResult, wording: Wording) -> tuple[Block, ...]:
    """Variation, wear, what the places can miss, the pulse."""
    missed = Table(("thick places", "seen at least", "may vary by up to"),
                   tuple(_missed(each, result, wording) for each in result.seen),
                   frozenset((0, 1, 2)))
    return result_page(
        _headline(result, wording),
        (*titled("Thickness", _thickness(result, wording)),
         *section(f"What {result.thickness.places} places can miss", (missed,)),
         *titled("In a stop", _stop(result, wording)),
         *titled("Runout", _runout(result, wording))),
        _figure(result, wording), "Thickness round the turn.", _mind(result, wording),
        _next(result),
    )


def _micro(value_mm: float, result: RotorResult, wording: Wording) -> str:
    """A thickness as fine as the variation is known."""
    return wording.length(value_mm, result.thickness.variation_uncertainty_mm)


def _headline(result: RotorResult, wording: Wording) -> str:
    found = result.thickness
    varies = wording.spread(found.variation_mm, found.variation_uncertainty_mm, Quantity.LENGTH)
    text = f"the thickness varies by {varies}"
    if result.varies is not None:
        text += f", {_VARIES[result.varies.zone]} {_micro(result.varies.limit, result, wording)}"
    if result.worn is not None and result.worn.zone is Zone.BEYOND:
        text = f"the rotor is proven too thin: replace it; {text}"
    return text


def _thickness(result: RotorResult, wording: Wording) -> Iterable[str]:
    found, angles = result.thickness, result.angles
    thinnest = wording.spread(found.thinnest_mm, found.thinnest_uncertainty_mm, Quantity.LENGTH)
    yield (f"thinnest {thinnest} at {angles[found.thinnest_at]:.0f} deg, thickest at "
           f"{angles[found.thickest_at]:.0f} deg from the first place")
    if found.waves and found.variation_mm > 2.0 * found.variation_uncertainty_mm:
        yield f"most of it comes {_times(found.waves)} per turn"
    if result.worn is not None:
        yield _worn(result.worn)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _worn(found: Decision) -> str:
    return {
        Zone.WITHIN: "everywhere proven thicker than the least thickness",
        Zone.BEYOND: "proven thinner than the least thickness: replace it, do not machine it",
        Zone.UNDECIDED: "the thinnest place lies at the least thickness: take it as worn out",
    }[found.zone]


def _missed(each: WaveSeen, result: RotorResult, wording: Wording) -> tuple[str, str, str]:
    seen = "nothing" if each.most_mm is None else f"{100.0 * each.least_share:.0f} %"
    most = "not known" if each.most_mm is None else _micro(each.most_mm, result, wording)
    return str(each.waves), seen, most


def _stop(result: RotorResult, wording: Wording) -> Iterable[str]:
    if result.speed_kmh is None:
        return
    at = wording.size(result.speed_kmh, Quantity.SPEED)
    for order, hz in result.orders:
        yield f"at {at}: {hz:.1f} Hz with {order} thick place{'' if order == 1 else 's'} round"
    if result.pulse is not None:
        pulse = result.pulse
        yield (f"{pulse.hz:.1f} Hz felt is {pulse.order:.2f} per turn of the wheel: nearest "
               f"{_times(pulse.nearest)} per turn")


def _distance(km: float, wording: Wording) -> str:
    """A distance driven, to the hundred, in what goes with the reader's speed."""
    miles = wording.unit(Quantity.SPEED) == "mph"
    return (f"{round((km / MILE_KM if miles else km) / _NEAREST_KM) * _NEAREST_KM:,.0f} "
            f"{'miles' if miles else 'km'}")


def _runout(result: RotorResult, wording: Wording) -> Iterable[str]:
    if result.runout_mm is None:
        return
    if result.runout is not None:
        size = wording.spread(result.runout.value, result.runout.uncertainty, Quantity.LENGTH)
        limit = wording.length(result.runout.limit, result.runout.uncertainty)
        yield f"lateral runout {size}, {_VARIES[result.runout.zone]} {limit}"
    low, high = (_distance(km, wording) for km in SLOPE_OF_WEAR_KM)
    yield (f"a runout beyond the maker's limit wears in a thickness variation over about {low} to "
           f"{high} (a maker's service manual, 2004)")


def _mind(result: RotorResult, wording: Wording) -> Iterable[str]:
    low, high = (wording.length(each, 0.01) for each in (0.013, 0.030))
    yield (f"service manuals of 1999 to 2005 allow {low} to {high}: the vehicle maker's figure "
           "goes first")
    if result.worn is None:
        yield "the least thickness stands on the rotor's edge or hat: type it"
    if result.thickness.places < 8:
        yield "manuals ask for eight or more places"


def _next(result: RotorResult) -> Iterable[str]:
    thin = result.worn is not None and result.worn.zone is not Zone.WITHIN
    varies = result.varies is not None and result.varies.zone is Zone.BEYOND
    if thin:
        yield "replace the rotors of that axle, with pads, before the car is handed over"
    elif varies:
        yield ("machine it on the car or replace it, and first find the runout that wore it: "
               "hub face, rust under the rotor, uneven lug nut torque")
    if result.runout_mm is not None and result.runout is not None and (
            result.runout.zone is Zone.BEYOND):
        yield "clean hub and rotor, index the rotor on the hub, and read the runout again"


def _figure(result: RotorResult, wording: Wording) -> Figure:
    unit = wording.unit(Quantity.LENGTH)
    thinnest = min(result.values_mm)
    return Figure(
        FigureKind.ROUND, "Thickness over the thinnest place", "deg", unit, result.angles,
        tuple(to_unit(each - thinnest, Quantity.LENGTH, unit) for each in result.values_mm),
    )
