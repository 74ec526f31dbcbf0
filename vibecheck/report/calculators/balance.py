"""The page of a balance in two planes."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.balance import BalanceResult, Plane
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_MASS = Quantity.MASS
ONE_GRAM = 1.0  # the digits of a weight worth telling


def page(result: BalanceResult, wording: Wording) -> tuple[Block, ...]:
    """Weights to place, static and couple, what the imbalance does."""
    inner, outer = (grams(each.wanted.amplitude, wording) for each in result.planes)
    return result_page(
        f"the machine asks for {inner} in the inner and {outer} in the outer plane",
        (*titled("Weights to place", (_plane(each, wording) for each in result.planes)),
         *titled("Static and couple", _parted(result, wording)),
         *titled("What it means", _meaning(result, wording))),
        mind=(_note(result, wording),), next_steps=_next(result),
    )


def grams(mass_g: float, wording: Wording) -> str:
    """A weight to a tenth of a gram, or as fine in the reader's unit."""
    return wording.size(mass_g, _MASS, ONE_GRAM)


def _plane(each: Plane, wording: Wording) -> str:
    placed = " and ".join(
        f"{wording.size(weight.amplitude, _MASS)} at {wording.angle(weight.angle_deg)}"
        for weight in each.placed)
    return (f"{each.plane}: {placed or 'nothing'} for {grams(each.wanted.amplitude, wording)} at "
            f"{wording.angle(each.wanted.angle_deg)}; leaves {grams(each.left.amplitude, wording)}")


def _parted(result: BalanceResult, wording: Wording) -> Iterable[str]:
    parted, left = result.static_couple, result.couple_left_g
    if parted is None or left is None:
        return
    yield (f"static {grams(parted.static_g.amplitude, wording)} at "
           f"{wording.angle(parted.static_g.angle_deg)}: shakes the wheel up and down")
    yield (f"couple {grams(parted.couple_g.amplitude, wording)} a plane, outer one at "
           f"{wording.angle(parted.couple_g.angle_deg)}: wobbles it")
    yield f"one static weight midway would leave a couple of {grams(left, wording)} a plane"


def _meaning(result: BalanceResult, wording: Wording) -> Iterable[str]:
    if result.force_n is not None:
        force = wording.size(result.force_n, Quantity.FORCE)
        yield f"as it is, the static part pulls with {force} at this speed"
    if result.permissible_g is not None:
        residual = wording.size(result.permissible_g, _MASS)
        yield (f"the standard's grade would still permit {residual} for the whole wheel; shops "
               "balance far finer")


def _note(result: BalanceResult, wording: Wording) -> str:
    if result.change_g is None:
        return "read at one mounting: how well it is centered is not known"
    return (f"the larger change between the two mountings is {grams(result.change_g, wording)}; "
            "the weights are the mean of both")


def _next(result: BalanceResult) -> Iterable[str]:
    if result.change_g is None:
        yield "turn the wheel half a turn on the machine's shaft and read both planes again"
    if result.static_couple is None:
        yield "give radius and distance of the planes to part static from couple"
