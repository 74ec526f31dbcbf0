"""The page of a balance on the car by trial weights."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.trialweight import TrialWeightResult
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.balance import grams
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

RAISED_WHEEL = (
    "a raised wheel under power can kill: follow the vehicle maker's manual for stands and drive "
    "modes, keep everybody out of the wheel's plane, and never exceed the speed it allows"
)


def page(result: TrialWeightResult, wording: Wording) -> tuple[Block, ...]:
    """The weights, their circles, what is left, and the danger."""
    weights = "; ".join(f"{grams(each.amplitude, wording)} at {wording.angle(each.angle_deg)}"
                        for each in result.found.weights)
    return result_page(
        f"take the trial weights off and add: {weights}",
        titled("Weights", _weights(result, wording)),
        mind=(RAISED_WHEEL, _left(result)),
        next_steps=("run once more with the weights on and read again",),
    )


def _weights(result: TrialWeightResult, wording: Wording) -> Iterable[str]:
    one = len(result.found.weights) == 1
    for place, weight in enumerate(result.found.weights):
        name = "the plane" if one else ("inner plane", "outer plane")[place]
        steps = " and ".join(wording.size(each.amplitude, Quantity.MASS)
                             for each in result.in_steps[place])
        text = (f"{name}: {grams(weight.amplitude, wording)} at "
                f"{wording.angle(weight.angle_deg)}; in steps {steps or 'nothing'}")
        if result.uncertainty_known:
            circle = grams(result.found.radius_95_grams[place], wording)
            text += f"; the right weight lies within {circle} of it"
        yield text


def _left(result: TrialWeightResult) -> str:
    if not result.uncertainty_known:
        return "how sure this is cannot be said: repeat a run and give the uncertainty"
    left = " and ".join(f"{size:.2g}" for size in result.found.left)
    return f"vibration still to be expected: {left} at most, in the unit read"
