"""From the weight wanted to weights that can be had: whole increments, and places behind spokes.

Weights come in steps (5 g for most adhesive strips, 1/4 oz for clip-on weights: common practice,
no source). On a spoked alloy wheel weights can be hidden only behind the spokes, so one weight
becomes two, at the places on either side of the wanted angle.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.two_planes import check_weight
from vibecheck.metrology.vectors import Vector, difference, vector_of, wrap

DEFAULT_STEP_G = 5.0  # g, common practice, no source
MOST_PLACES = 72  # a place each 5 degrees; more is a free angle
STEPS_AROUND = 2  # how many steps either side of the exact split are tried


@dataclass(frozen=True)
class Placed:
    """Weights that were chosen, and what they leave.

    Attributes
    ----------
    weights : the weights to stick or clip on [g, deg]; empty if none is better than any.
    left : the weight still wanted [g, deg] (the residual imbalance lies opposite).
    total_g : sum of the chosen weights [g].
    """

    weights: tuple[Vector, ...]
    left: Vector
    total_g: float


def in_steps(wanted: Vector, step_g: float = DEFAULT_STEP_G) -> Placed:
    """The nearest whole number of steps at the wanted angle.

    At most half a step is left.

    Parameters
    ----------
    wanted : weight to add [g, deg].
    step_g : size of one step [g].

    Raises
    ------
    ReadingError : the weight or the step cannot be.
    """
    check_weight(wanted, "wanted weight")
    _check_step(step_g)
    steps = math.floor(wanted.amplitude / step_g + 0.5)
    chosen = (Vector(steps * step_g, wrap(wanted.angle_deg)),) if steps else ()
    return _placed(wanted, chosen)


def at_places(
    wanted: Vector, places_deg: Sequence[float], step_g: float = DEFAULT_STEP_G
) -> Placed:
    """Whole steps at fixed places, so that least is left.

    The wanted weight is parted over the two places on either side of it, and all whole-step
    splits near the exact one are tried; among those that leave (almost) the same, the lightest
    is taken.

    Parameters
    ----------
    wanted : weight to add [g, deg].
    places_deg : angles of the places [deg], 2 to 72 of them, any order.
    step_g : size of one step [g].

    Raises
    ------
    ReadingError : a weight, step or place cannot be, two places coincide, or the places on either
        side of the wanted angle are half a turn or more apart.
    """
    check_weight(wanted, "wanted weight")
    _check_step(step_g)
    before, after = _neighbors(wanted.angle_deg, _checked_places(places_deg))
    exact_before, exact_after = split_between(wanted, before, after)
    best: tuple[float, float, tuple[Vector, ...]] | None = None
    for first in _steps_near(exact_before, step_g):
        for second in _steps_near(exact_after, step_g):
            weights = tuple(
                Vector(mass, place)
                for mass, place in ((first, before), (second, after)) if mass > 0.0
            )
            left = _placed(wanted, weights).left.amplitude
            candidate = (round(left, 9), first + second, weights)
            if best is None or candidate[:2] < best[:2]:
                best = candidate
    assert best is not None  # _steps_near never yields nothing
    return _placed(wanted, best[2])


def split_between(wanted: Vector, before_deg: float, after_deg: float) -> tuple[float, float]:
    """Exact masses [g] at two angles that together equal the wanted weight.

    Parameters
    ----------
    wanted : weight to add [g, deg].
    before_deg, after_deg : the two places [deg], less than half a turn apart, the wanted angle
        between them.
    """
    gap = math.radians(wrap(after_deg - before_deg))
    into = math.radians(difference(wanted.angle_deg, before_deg))
    scale = wanted.amplitude / math.sin(gap)
    return max(scale * math.sin(gap - into), 0.0), max(scale * math.sin(into), 0.0)


def behind_spokes(first_deg: float, spokes: int) -> tuple[float, ...]:
    """Angles [deg] behind evenly spaced spokes.

    Parameters
    ----------
    first_deg : angle from the valve stem to any spoke [deg].
    spokes : number of spokes, 3 or more.
    """
    if not 3 <= spokes <= MOST_PLACES:
        raise ReadingError(f"{spokes} spokes cannot carry a split", "spokes", "write 3 to 72")
    if not math.isfinite(first_deg):
        raise ReadingError("the angle of the first spoke is no number", "spokes", "write 0 to 360")
    return tuple(wrap(first_deg + index * 360.0 / spokes) for index in range(spokes))


def _checked_places(places_deg: Sequence[float]) -> list[float]:
    if not 2 <= len(places_deg) <= MOST_PLACES:
        raise ReadingError(
            f"{len(places_deg)} places cannot carry a split", "places", "write 2 to 72 angles"
        )
    if not all(math.isfinite(place) for place in places_deg):
        raise ReadingError("a place is no number", "places", "write angles, for example 0 72 144")
    ordered = sorted(wrap(place) for place in places_deg)
    gaps = [wrap(b - a) for a, b in zip(ordered, ordered[1:] + ordered[:1], strict=True)]
    if min(gaps) < 0.5 or max(gaps) > 359.5:
        raise ReadingError("two places are the same angle", "places", "write each angle once")
    return ordered


def _neighbors(angle_deg: float, ordered: list[float]) -> tuple[float, float]:
    before = max(ordered, key=lambda place: -wrap(angle_deg - place))
    after = ordered[(ordered.index(before) + 1) % len(ordered)]
    gap = wrap(after - before)
    if gap >= 179.5:
        raise ReadingError(
            f"the places either side of {wrap(angle_deg):.0f} degrees are {gap:.0f} degrees apart",
            "places", "name places less than half a turn apart around the wanted angle",
        )
    return before, after


def _steps_near(mass_g: float, step_g: float) -> list[float]:
    nearest = math.floor(mass_g / step_g)
    lowest = max(nearest - STEPS_AROUND, 0)
    return [count * step_g for count in range(lowest, nearest + STEPS_AROUND + 2)]


def _check_step(step_g: float) -> None:
    if not (math.isfinite(step_g) and 0.01 <= step_g <= 500.0):
        raise ReadingError(f"a weight step of {step_g:g} g cannot be", "step", "write 5")


def _placed(wanted: Vector, weights: tuple[Vector, ...]) -> Placed:
    total = sum((cmath.rect(w.amplitude, math.radians(w.angle_deg)) for w in weights), start=0j)
    return Placed(weights, vector_of(wanted.xy - total), sum(w.amplitude for w in weights))
