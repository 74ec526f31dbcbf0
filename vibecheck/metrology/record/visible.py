"""Which orders a record can show at which speed, and how fast to record so that none is missed.

A sample is needed more than twice in each shake (sampling theorem); what is faster folds down to a
frequency that has nothing to do with it. The last tenth below half the rate is left out, since the
phone's own filter and uneven clock take from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record.baseband import VISIBLE_SHARE

USUAL_RATES_HZ = (50.0, 100.0, 200.0, 400.0, 500.0, 1000.0)  # that phones offer; common practice
BAND_KMH = 20.0


@dataclass(frozen=True)
class SpeedBand:
    """Speeds from and to [km/h], the time driven there [s], the highest order to be seen there."""

    from_kmh: float
    to_kmh: float
    seconds: float
    highest_order: float


@dataclass(frozen=True)
class AdvisedRate:
    """How fast to record.

    Attributes
    ----------
    needed_hz : samples a second that the highest order asks for.
    advised_hz : the next rate that phones offer; `needed_hz` where none does.
    highest_order : of the parts asked about [wheel turns].
    """

    needed_hz: float
    advised_hz: float
    highest_order: float


def highest_order(rate_hz: float, kmh: float, circumference_m: float) -> float:
    """The highest wheel order that a sampling rate shows at a speed [unitless]."""
    return VISIBLE_SHARE * rate_hz * circumference_m * 3.6 / kmh


def fastest_for(rate_hz: float, order: float, circumference_m: float) -> float:
    """The speed up to which an order is seen [km/h]."""
    return VISIBLE_SHARE * rate_hz * circumference_m * 3.6 / order


def advised_rate(
    orders: Sequence[float], fastest_kmh: float, circumference_m: float
) -> AdvisedRate:
    """How fast to record so that every order is seen up to a speed.

    Parameters
    ----------
    orders : of the parts of this car [wheel turns].
    fastest_kmh : that will be driven [km/h].
    circumference_m : rolling circumference [m].

    Raises
    ------
    RecordError : no order, or a speed that is not above zero.
    """
    if not orders or not (math.isfinite(fastest_kmh) and fastest_kmh > 0.0):
        raise RecordError(f"a speed of {fastest_kmh:g} km/h cannot be", "speed", "write 100")
    highest = max(orders)
    needed = highest * fastest_kmh / 3.6 / circumference_m / VISIBLE_SHARE
    advised = next((rate for rate in USUAL_RATES_HZ if rate >= needed), needed)
    return AdvisedRate(needed, advised, highest)


def bands_of(
    speed_kmh: npt.NDArray[np.floating], rate_hz: float, circumference_m: float, slowest_kmh: float
) -> tuple[SpeedBand, ...]:
    """Bands of 20 km/h that were driven, each with the highest order it shows.

    Parameters
    ----------
    speed_kmh : (n,) at even steps of time [km/h].
    rate_hz : samples a second.
    circumference_m : rolling circumference [m].
    slowest_kmh : slower is left out [km/h].
    """
    found = []
    first = math.floor(slowest_kmh / BAND_KMH)
    for number in range(first, math.floor(float(speed_kmh.max(initial=0.0)) / BAND_KMH) + 1):
        low, high = max(number * BAND_KMH, slowest_kmh), (number + 1) * BAND_KMH
        inside = (speed_kmh >= low) & (speed_kmh < high)
        if inside.any():
            fastest = float(speed_kmh[inside].max())
            found.append(SpeedBand(low, high, float(inside.sum()) / rate_hz,
                                   highest_order(rate_hz, fastest, circumference_m)))
    return tuple(found)
