"""The page of a wheel's fit."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.fit import FitResult
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.stack.fit import PilotFit, Stance
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_GAP = {
    Zone.WITHIN: "proven within the limit of", Zone.BEYOND: "proven beyond the limit of",
    Zone.UNDECIDED: "too near to be proven either way to the limit of",
}
TENTH_MM = 1.0  # an offset is worth a tenth
RIM_RADIUS_MM = 200.0  # where weights of a usual wheel sit


def page(result: FitResult, wording: Wording) -> tuple[Block, ...]:
    """Clearance and what it allows; how another wheel stands."""
    return result_page(
        _headline(result, wording),
        (*titled("On the hub", _fit(result, wording)),
         *titled("Another wheel",
                 () if result.stance is None else _stance(result.stance, wording))),
        mind=_mind(result), next_steps=_next(result),
    )


def _clearance(fit: PilotFit, wording: Wording) -> str:
    return wording.spread(fit.clearance_mm, fit.uncertainty_mm, Quantity.LENGTH)


def _stuck(fit: PilotFit) -> bool:
    return fit.clearance_mm < -fit.uncertainty_mm


def _headline(result: FitResult, wording: Wording) -> str:
    fit = result.fit
    if fit is None:
        assert result.stance is not None
        return _reach(result.stance, wording)
    if _stuck(fit):
        return f"the bore is proven too small for the pilot: clearance {_clearance(fit, wording)}"
    text = f"clearance {_clearance(fit, wording)} on the pilot"
    if result.gap is not None:
        text += (f", {_GAP[result.gap.zone]} "
                 f"{wording.length(result.gap.limit, result.gap.uncertainty)}")
    return text


def _fit(result: FitResult, wording: Wording) -> Iterable[str]:
    fit = result.fit
    if fit is None or _stuck(fit):
        return
    yield (f"hung on its pilot alone it may run out by up to "
           f"{wording.length(fit.runout_mm, fit.uncertainty_mm)} high to low")
    if fit.imbalance_gmm is not None:
        grams = wording.size(fit.imbalance_gmm / RIM_RADIUS_MM, Quantity.MASS)
        yield (f"and be out of balance by up to {grams} at a radius of "
               f"{wording.length(RIM_RADIUS_MM, 10.0)}")
    if result.ring_gap_mm is not None:
        yield (f"the ring's own clearance in the wheel: "
               f"{wording.spread(*result.ring_gap_mm, Quantity.LENGTH)}")


def _far(size_mm: float, wording: Wording) -> str:
    return wording.length(abs(size_mm), TENTH_MM)


def _reach(stance: Stance, wording: Wording) -> str:
    out, inward = ("farther" if size >= 0.0 else "less far"
                   for size in (stance.outboard_mm, stance.inboard_mm))
    return (f"the new wheel reaches {_far(stance.outboard_mm, wording)} {out} outboard and "
            f"{_far(stance.inboard_mm, wording)} {inward} inboard")


def _stance(stance: Stance, wording: Wording) -> Iterable[str]:
    yield _reach(stance, wording)
    way = "wider" if stance.track_mm >= 0.0 else "narrower"
    yield f"the track of the axle becomes {_far(stance.track_mm, wording)} {way}"


def _mind(result: FitResult) -> Iterable[str]:
    if result.fit is not None:
        yield ("wheels centered by conical or ball seats may have any clearance: fasteners then do "
               "the work, tightened in steps with the weight off the wheel")
    if result.stance is not None:
        yield "an offset far from the maker's loads wheel bearings and steering otherwise"


def _next(result: FitResult) -> Iterable[str]:
    fit = result.fit
    if fit is None:
        return
    if _stuck(fit):
        yield "do not drive it on with its fasteners: it is not the wheel or ring for this hub"
    elif result.gap is not None and result.gap.zone is Zone.BEYOND:
        yield "fit the hub ring that belongs to wheel and hub, and measure the runout again"
