"""The page of a weight that is moved."""

from __future__ import annotations

from vibecheck.calculators.moveweight import MoveResult
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_PLANES = ("inner plane", "outer plane")
ONE_GRAM = 1.0  # the digits of a weight worth telling


def page(result: MoveResult, wording: Wording) -> tuple[Block, ...]:
    """The weights that do the same where they can go."""
    if len(result.after) == 1:
        (after,), (before,) = result.after, result.before
        headline = f"{_weight(after, wording)} does what {_weight(before, wording)} did"
        lines: tuple[str, ...] = ()
    else:
        headline = "the same effect in the other planes: " + " and ".join(
            _weight(each, wording) for each in result.after)
        lines = tuple(
            f"{name}: {_weight(after, wording)}, instead of {_weight(before, wording)}"
            for name, before, after in zip(_PLANES, result.before, result.after, strict=True)
        )
    return result_page(
        headline, titled("Weights to place", lines),
        mind=("counted for a stiff wheel and for weights at the radii given: forces and moments "
              "stay as they were",),
        next_steps=("spin it again on the machine, set to the planes that were used",),
    )


def _weight(weight: Vector, wording: Wording) -> str:
    size = wording.size(weight.amplitude, Quantity.MASS, ONE_GRAM)
    return f"{size} at {wording.angle(weight.angle_deg)}"
