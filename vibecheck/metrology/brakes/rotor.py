"""A rotor's thickness round one turn: how much it varies, and what is left to wear.

Thickness is read with a micrometer at places evenly round the turn, all at one radius. The
variation is the largest less the smallest reading; a rotor is also too thin anywhere that it is
thinner than the figure cast into it.

N places can miss the true extremes. A wave of k cycles per turn read at N even places is read at
m = N / gcd(N, k) phases of its own. Where m is even, opposite phases mirror each other and the
least share of its height that shows is cos(pi / m); where m is odd, it is (1 + cos(pi / m)) / 2;
with m = 1 nothing shows. `share_seen` states that worst share (calculated).

References
----------
1. Makers' service manuals (read): thickness variation at 4 to 8 or more places, limits 0.013 to
   0.03 mm; rotor lateral runout limits 0.03 to 0.1 mm.
2. Maker's service manual, 2004 (read): lateral runout wears in a thickness variation over about
   4,800 to 11,300 km (3,000 to 7,000 miles).
3. ISO 14253-1:2017: decision rules.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, decide
from vibecheck.metrology.orders.tire_size import wheel_hz

FEWEST_PLACES = 4
MOST_PLACES = 72
USUAL_UNCERTAINTY_MM = 0.005  # of one micrometer reading, k = 2; setup and feel, from memory
SLOPE_OF_WEAR_KM = (4_800.0, 11_300.0)  # over which runout wears in a variation [2]
USUAL_JUDDER_ORDERS = (1, 2)


@dataclass(frozen=True)
class Thickness:
    """A rotor measured round one turn.

    Attributes
    ----------
    variation_mm, variation_uncertainty_mm : largest less smallest, k = 2 [mm].
    thinnest_mm, thinnest_uncertainty_mm : the smallest reading, k = 2 [mm].
    thinnest_at, thickest_at : index of the places.
    places : how many.
    waves : the wave with most strength, in cycles per turn; 0 where there are too few places.
    """

    variation_mm: float
    variation_uncertainty_mm: float
    thinnest_mm: float
    thinnest_uncertainty_mm: float
    thinnest_at: int
    thickest_at: int
    places: int
    waves: int

    def varies(self, limit_mm: float) -> Decision:
        """The variation against its upper limit [mm]."""
        return decide(self.variation_mm, self.variation_uncertainty_mm, limit_mm)

    def worn(self, least_mm: float) -> Decision:
        """How far the thinnest place lies below the least thickness allowed, against none [mm].

        "Within" is proven thick enough, "beyond" proven too thin.
        """
        shortfall = max(0.0, least_mm) - self.thinnest_mm
        # A shift puts the signed shortfall on the scale of an upper limit.
        shift = abs(shortfall) + self.thinnest_uncertainty_mm + 1.0
        return decide(shortfall + shift, self.thinnest_uncertainty_mm, shift)


def thickness(
    readings_mm: Sequence[float], uncertainty_mm: float = USUAL_UNCERTAINTY_MM
) -> Thickness:
    """A rotor's thickness from readings at even places round one turn.

    Parameters
    ----------
    readings_mm : 4 to 72 thicknesses, in order round the turn [mm].
    uncertainty_mm : of one reading, k = 2 [mm].

    Raises
    ------
    ReadingError : too few or many places, a thickness that cannot be, an uncertainty not above 0.
    """
    _check(readings_mm, uncertainty_mm)
    low, high = min(readings_mm), max(readings_mm)
    return Thickness(
        variation_mm=high - low,
        variation_uncertainty_mm=math.sqrt(2.0) * uncertainty_mm,
        thinnest_mm=low,
        thinnest_uncertainty_mm=uncertainty_mm,
        thinnest_at=list(readings_mm).index(low),
        thickest_at=list(readings_mm).index(high),
        places=len(readings_mm),
        waves=_strongest_wave(readings_mm),
    )


def share_seen(places: int, waves: int) -> float:
    """The least share of a wave's high minus low that even places round the turn show [0 to 1].

    Parameters
    ----------
    places : even places round the turn.
    waves : cycles per turn, 1 or more.
    """
    if places < 1 or waves < 1:
        raise ReadingError("places and waves count from 1", "places", "write a whole number as 8")
    apart = places // math.gcd(places, waves)
    if apart == 1:
        return 0.0
    if apart % 2:
        return (1.0 + math.cos(math.pi / apart)) / 2.0
    return math.cos(math.pi / apart)


def judder_hz(speed_kmh: float, circumference_m: float, order: int) -> float:
    """How fast the pedal or wheel pulses in a stop at a speed [km/h]: order times wheel turns [Hz].

    A variation with one thick place pulses once per turn, one with two thick places twice.
    """
    if order < 1:
        raise ReadingError("an order counts from 1", "order", "write a whole number as 2")
    return order * wheel_hz(speed_kmh, circumference_m)


def judder_orders(hz: float, speed_kmh: float, circumference_m: float) -> tuple[float, int]:
    """The order of a pulse felt at a speed, as found and as the nearest whole number."""
    wheel = wheel_hz(speed_kmh, circumference_m)
    if not (math.isfinite(hz) and hz > 0.0 and wheel > 0.0):
        raise ReadingError("a pulse and a speed must be above zero", "pulse", "write 14 Hz")
    order = hz / wheel
    return order, max(1, round(order))


def _strongest_wave(readings: Sequence[float]) -> int:
    count = len(readings)
    mean = sum(readings) / count
    best, found = 0.0, 0
    for waves in range(1, (count - 1) // 2 + 1):
        turn = [2.0 * math.pi * waves * at / count for at in range(count)]
        cosine = sum((r - mean) * math.cos(t) for r, t in zip(readings, turn, strict=True))
        sine = sum((r - mean) * math.sin(t) for r, t in zip(readings, turn, strict=True))
        if math.hypot(cosine, sine) > best + 1e-12:
            best, found = math.hypot(cosine, sine), waves
    return found


def _check(readings: Sequence[float], uncertainty: float) -> None:
    if not FEWEST_PLACES <= len(readings) <= MOST_PLACES:
        raise ReadingError(
            f"{len(readings)} places tell nothing of a rotor", "thicknesses",
            f"measure {FEWEST_PLACES} to {MOST_PLACES} places evenly round it, better 8 or more",
        )
    for at, reading in enumerate(readings, start=1):
        if not (math.isfinite(reading) and 1.0 <= reading <= 100.0):
            raise ReadingError(
                f"{reading:g} mm is no thickness of a rotor", f"thicknesses, reading {at}",
                "check the unit and write it as 21.86 mm",
            )
    if not (math.isfinite(uncertainty) and uncertainty > 0.0):
        raise ReadingError("an uncertainty must be above zero", "uncertainty", "write 0.005 mm")
