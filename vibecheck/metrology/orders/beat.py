"""Two wheels that turn almost alike: how the shake comes and goes, and what that says.

Two equal shakes at f1 and f2 sound as one that swells |f1 - f2| times a second. At one road speed
two tires of rolling circumferences C1 and C2 differ by v |1/C1 - 1/C2|, so the period of the
swelling tells how unequal they are. It cannot tell which of the two is larger.

References
----------
1. Beats of two tones, any textbook of acoustics; for instance T. D. Rossing et al., The Science of
   Sound, 3rd ed. 2002, ch. 8 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.errors import ReadingError
from vibecheck.metrology.orders.tire_size import wheel_hz


@dataclass(frozen=True)
class Beat:
    """A swelling: its period and k = 2 uncertainty [s], and the tires' difference [share]."""

    period_s: float
    period_uncertainty_s: float
    difference: float
    difference_uncertainty: float


def from_sizes(
    speed_kmh: float, first_m: float, second_m: float, uncertainty_m: float = 0.0, order: int = 1
) -> Beat:
    """The period from two rolling circumferences [m], each with uncertainty k = 2 [m].

    Raises
    ------
    ReadingError : equal circumferences, which never beat, or numbers that cannot be.
    """
    _order(order)
    hz = [order * wheel_hz(speed_kmh, each) for each in (first_m, second_m)]
    apart = abs(hz[0] - hz[1])
    if not apart > 0.0:
        raise ReadingError("two equal tires do not drift apart", "second tire",
                           "give two different rolls")  # fmt: skip
    spread = math.hypot(hz[0] / first_m, hz[1] / second_m) * uncertainty_m
    mean = (first_m + second_m) / 2.0
    share = abs(first_m - second_m) / mean
    return Beat(1.0 / apart, spread / apart**2, share, math.sqrt(2.0) * uncertainty_m / mean)


def from_period(
    period_s: float, speed_kmh: float, circumference_m: float, uncertainty_s: float = 0.0,
    order: int = 1,
) -> Beat:
    """How unequal two tires roll, from the period of the swelling at a steady speed.

    Parameters
    ----------
    period_s, uncertainty_s : from one loudest moment to the next, k = 2 [s].
    circumference_m : of either tire [m].
    order : of the shake that swells, 1 for once per turn.
    """
    _order(order)
    if not (math.isfinite(period_s) and period_s > 0.0):
        raise ReadingError("a period must be above zero", "period", "write seconds, as 8 s")
    turning = order * wheel_hz(speed_kmh, circumference_m)
    share = 1.0 / (period_s * turning)
    return Beat(period_s, uncertainty_s, share, share * uncertainty_s / period_s)


def _order(order: int) -> None:
    if order < 1:
        raise ReadingError("an order counts from 1", "order", "write a whole number as 1")
