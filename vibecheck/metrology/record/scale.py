"""One scale for all orders of a record: what tire, wear and speed leave open.

Orders are counted in wheel turns that follow from the speed shown and the tire as typed. If the
speed shown is high by a share h and the tire really rolls C instead of C0, everything that turns
with the wheels stands at its order times

    scale = (true speed / shown speed) (C0 / C) = C0 / (C (1 + h)).

The scale is the same for all orders of a record. Beforehand it is known from how the speed was
taken and what is known of the tire; lines that keep step narrow it down. Every scale is worked
out on one grid of its logarithm, so that densities of any shape combine exactly.

Assumptions: a dash reads 2 to 8 % high (now and then 0 to 10 %), common practice, no source, within
what [1] allows; a position sensor's speed is right within 0.5 % once its lag is off; a speed of
unknown origin is either, as likely; new tread is 8 mm deep (10/32 in), light truck 12 mm, a tire is
used down to 1.6 mm; one tire in seven differs from what was typed, by up to 5 %; hardly anything
but the wheels turns as slowly as they do.

That one in seven is the prior by which parts are named, whoever typed the size. A stated interval
cannot rest on it: with each size as typed it would hold too often, with each size off too seldom.
So it rests on where the size was read. Off the tire's side it is wrong once in a hundred; a label,
or a size of unknown origin, may be off by up to 4 % either way, all of it alike.

References
----------
1. UN ECE Regulation 39, 5.3: 0 <= shown - true <= true / 10 + 4 km/h (from memory, high
   confidence).
2. ETRTO: a radial tire rolls about 3.05 diameters (from memory), see `tire_size`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.orders.tire_size import Rolling

Real = npt.NDArray[np.float64]

STEP = 2e-4  # of the logarithm of the scale
REACH = 0.22  # of the logarithm of the scale, either way
GRID = np.arange(-REACH, REACH + STEP / 2.0, STEP)
SCALES, UPPER_EDGES = np.exp(GRID), GRID + STEP / 2.0
MIDDLE_AND_95 = (0.5, 0.025, 0.975)
FARTHEST = 9.0  # standard deviations; beyond them a density is nothing
MOST_SUMMED = 100  # steps either side; wider densities are laid together by FFT
DASH_USUAL, DASH_EVER = (0.02, 0.08), (0.0, 0.10)
DASH_USUAL_WEIGHT = 0.96
GPS_SHARE = 0.005  # standard uncertainty of a position sensor's speed
NEW_TREAD_MM, NEW_TRUCK_TREAD_MM, WORN_TREAD_MM = 8.0, 12.0, 1.6
TREAD_MM = 0.5  # standard uncertainty of a tread depth as typed, and of the depth when new [mm]
WRONG_SIZE_WEIGHT, WRONG_SIZE_SHARE = 0.15, 0.05
MISREAD_WEIGHT = 0.01  # of a size that was read off the tire's side
OPEN_SIZE_SHARE = 0.04  # by which a size from elsewhere may be off
LEFT_OF_SPEED_SHARE = 2e-4  # standard uncertainty of a sweep's scale, from a lag told within an
# eighth of a second and a speed that comes once a second
LEAST_PLACE_SHARE = 2e-4  # a line's place over its order is never known better
OFF_PROBABILITY = 0.8
ELSE_SPAN = 5.0  # orders over which something that is not listed may stand
SLOWEST_ELSE, SLOWER_WEIGHT = 1.3, 0.1  # below this order there is little else


class SpeedSource(StrEnum):
    """Where a speed was read."""

    DASH = "dash"
    GPS = "gps"
    UNKNOWN = "unknown"


class SizeSource(StrEnum):
    """Where a tire size was read."""

    TIRE = "tire"  # off the side of the tire that is fitted
    LABEL = "label"  # door label, invoice or memory: another may be fitted
    UNKNOWN = "unknown"


@dataclass(frozen=True, eq=False)
class Prior:
    """What is known of the scale before the orders are seen.

    Attributes
    ----------
    usual : (g,) density over `GRID`, tire as typed, sums to 1.
    wrong : (g,) density if the tire is of another size, or the speed off, sums to 1.
    wrong_weight : probability of that.
    stated : (g,) density by where the size was read, for the intervals that are stated, sums to 1.
    """

    usual: Real
    wrong: Real
    wrong_weight: float
    stated: Real

    @property
    def density(self) -> Real:
        """(g,) both together."""
        return np.asarray((1.0 - self.wrong_weight) * self.usual + self.wrong_weight * self.wrong)

    def window(self) -> tuple[float, float]:
        """Scales beyond which next to nothing is expected."""
        return quantile(self.density, 5e-4), quantile(self.density, 1.0 - 5e-4)


@dataclass(frozen=True)
class LineSeen:
    """A line as seen: its order, its standard uncertainty [wheel turns as counted]."""

    order: float
    u_order: float


class ScaleState(StrEnum):
    """What the orders say of the scale."""

    PRIOR_ONLY = "prior_only"  # no line that a known part explains
    AS_EXPECTED = "as_expected"
    SCALE_OFF = "scale_off"  # all orders are high or low: check tire size or speed


@dataclass(frozen=True)
class Scale:
    """The scale of all orders of a record.

    Attributes
    ----------
    value, low, high : by what is known and what was seen; 95 % interval [unitless].
    expected, expected_low, expected_high : by tire and speed alone; 95 % interval.
    off_probability : that tire size or speed are not as typed [0 to 1].
    state : what follows.
    """

    value: float
    low: float
    high: float
    expected: float
    expected_low: float
    expected_high: float
    off_probability: float
    state: ScaleState


def prior_of(
    rolling: Rolling, source: SpeedSource, tread_mm: float | None = None, truck: bool = False,
    speed_share: float | None = None, measured_u_m: float | None = None, lag_share: float = 0.0,
    size_from: SizeSource = SizeSource.UNKNOWN,
) -> Prior:
    """What tire and speed let one expect of the scale.

    Parameters
    ----------
    rolling : of the tire as typed; its usual value is what the turns are counted by [m].
    source : of the speed.
    tread_mm : tread depth as measured, or None [mm].
    truck : light truck tire, deeper when new.
    speed_share : expanded uncertainty of the speed if typed [share of 1].
    measured_u_m : expanded uncertainty of a measured roll-out, which `rolling` then holds [m];
        neither spread of makes nor wear nor a wrong size is left then.
    lag_share : standard uncertainty from a lag of the speed that is not known [share of 1].
    size_from : where the size was read; it moves what is stated, not which parts are named.
    """
    density = _speed(source, speed_share)
    if lag_share > 0.0:
        density = _both(density, _normal(lag_share))
    if measured_u_m is not None:
        usual = _both(density, _normal(measured_u_m / 2.0 / rolling.circumference_m))
        return Prior(usual, usual, 0.0, usual)
    around = rolling.circumference_m
    makes = _flat(math.log(around / rolling.high_m), math.log(around / rolling.low_m))
    usual = _both(density, makes)
    usual = _both(usual, _wear(around, tread_mm, truck))
    wrong = _both(usual, _flat(-WRONG_SIZE_SHARE, WRONG_SIZE_SHARE))
    if size_from is SizeSource.TIRE:
        stated = (1.0 - MISREAD_WEIGHT) * usual + MISREAD_WEIGHT * wrong
    else:
        stated = _both(usual, _flat(-OPEN_SIZE_SHARE, OPEN_SIZE_SHARE))
    return Prior(usual, wrong, WRONG_SIZE_WEIGHT, stated)


def scale_of(
    prior: Prior, lines: Sequence[LineSeen], orders: Sequence[float]
) -> tuple[Scale, Real]:
    """The scale from all lines together, and its density over `GRID`.

    Parameters
    ----------
    prior : before.
    lines : that keep step with something.
    orders : of every part the car has [wheel orders]; a line may also stem from something else.
    """
    usual, wrong = prior.usual * (1.0 - prior.wrong_weight), prior.wrong * prior.wrong_weight
    fit = np.ones(len(GRID))
    for line in lines:
        fit *= sum((match(line, order) for order in orders), np.zeros(len(GRID))) + elsewhere(line)
    usual, wrong = usual * fit, wrong * fit
    whole = usual + wrong
    total = float(whole.sum())
    off = float(wrong.sum()) / total
    state = ScaleState.PRIOR_ONLY
    mean, low, high = quantiles(whole / total)
    if lines and any(_explained(line, orders, mean) for line in lines):
        state = ScaleState.SCALE_OFF if off > OFF_PROBABILITY else ScaleState.AS_EXPECTED
    expected, least, most = quantiles(prior.density)
    return Scale(mean, low, high, expected, least, most, off, state), np.asarray(whole / total)


def match(line: LineSeen, order: float) -> Real:
    """(g,) density of a line at its place if it is of this order, over every scale."""
    spread = math.hypot(line.u_order, LEAST_PLACE_SHARE * order)
    off = (line.order - order * SCALES) / spread
    return np.asarray(np.exp(-0.5 * off * off) / (spread * math.sqrt(2.0 * math.pi)))


def elsewhere(line: LineSeen) -> float:
    """Density of a line at its place if it stems from nothing that is listed [per order]."""
    return (1.0 if line.order > SLOWEST_ELSE else SLOWER_WEIGHT) / ELSE_SPAN


def stated_scale(scale: Scale, density: Real) -> Scale:
    """A scale with the interval that is stated: with what a lag and a speed by jumps leave open."""
    spread = _both(density, _normal(LEFT_OF_SPEED_SHARE))
    _, low, high = quantiles(spread)
    return replace(scale, low=low, high=high)


def expected_roll(rolling: Rolling, density: Real) -> Rolling:
    """The roll by which the speed shown gives what is to be expected, with its spread [m].

    Its middle and expanded uncertainty are those of the 95 % interval of a scale's density; the
    speed's own uncertainty is held in it.
    """
    _, low, high = quantiles(density)
    middle = rolling.circumference_m / ((low + high) / 2.0)
    spread = middle * (high - low) / (high + low) * math.sqrt(3.0) / 2.0  # see `uncertainty_m`
    return Rolling(middle, middle - spread, middle + spread)


def quantile(density: Real, share: float) -> float:
    """The scale below which such a share of a density lies, between the steps of the grid."""
    return quantiles(density, (share,))[0]


def quantiles(density: Real, shares: Sequence[float] = MIDDLE_AND_95) -> tuple[float, ...]:
    """As `quantile`, for several shares."""
    total = np.cumsum(density)
    found = np.interp(np.asarray(shares) * total[-1], total, UPPER_EDGES)
    return tuple(math.exp(each) for each in found.tolist())


def interval_of_order(at: float, u_at: float, density: Real) -> tuple[float, float, float]:
    """An order as seen, put right by the scale: middle and 95 % interval [wheel orders]."""
    middle, low, high = quantiles(_blurred(density[::-1], max(u_at / at, STEP)))
    return at * middle, at * low, at * high


def _speed(source: SpeedSource, share: float | None) -> Real:
    if source is SpeedSource.DASH:
        usual = _flat(-math.log1p(DASH_USUAL[1]), -math.log1p(DASH_USUAL[0]))
        ever = _flat(-math.log1p(DASH_EVER[1]), -math.log1p(DASH_EVER[0]))
        both = DASH_USUAL_WEIGHT * usual + (1.0 - DASH_USUAL_WEIGHT) * ever
        return both if share is None else _both(both, _normal(share / 2.0))
    if source is SpeedSource.UNKNOWN:  # either
        return (_speed(SpeedSource.DASH, share) + _speed(SpeedSource.GPS, share)) / 2.0
    return _normal(GPS_SHARE if share is None else share / 2.0)


def _wear(around_m: float, tread_mm: float | None, truck: bool) -> Real:
    """Share by which a worn tire rolls less, as a shift of the scale."""
    new = NEW_TRUCK_TREAD_MM if truck else NEW_TREAD_MM
    shorter = 2.0 * math.pi / 1000.0 / around_m  # share of the roll for each mm of tread
    if tread_mm is None:
        return _flat(0.0, -math.log1p(-shorter * (new - WORN_TREAD_MM)))
    worn = min(max(new - tread_mm, 0.0), new)
    return _normal(shorter * TREAD_MM * math.sqrt(2.0), -math.log1p(-shorter * worn))


def _normal(spread: float, at: float = 0.0) -> Real:
    density = np.exp(-0.5 * ((GRID - at) / max(spread, STEP)) ** 2)
    return np.asarray(density / density.sum())


def _flat(low: float, high: float) -> Real:
    edges = np.clip((np.minimum(high, GRID + STEP / 2.0) - np.maximum(low, GRID - STEP / 2.0)),
                    0.0, None)
    if float(edges.sum()) <= 0.0:
        return _normal(STEP, (low + high) / 2.0)
    return np.asarray(edges / edges.sum())


def _both(one: Real, other: Real) -> Real:
    """Density of the sum of two independent logarithms."""
    middle = len(GRID) // 2
    size = 1 << (2 * len(GRID)).bit_length()
    product = np.fft.irfft(np.fft.rfft(one, size) * np.fft.rfft(other, size), size)
    density = np.maximum(product[middle: middle + len(GRID)], 0.0)
    return np.asarray(density / density.sum())


def _blurred(density: Real, spread: float) -> Real:
    """As `_both` with a normal one; one that is narrow is summed over the steps it reaches."""
    reach = math.ceil(FARTHEST * spread / STEP)
    if reach > MOST_SUMMED:
        return _both(density, _normal(spread))
    near = np.exp(-0.5 * (np.arange(-reach, reach + 1) * STEP / spread) ** 2)
    found = np.convolve(density, near, mode="same")
    return np.asarray(found / found.sum())


def _explained(line: LineSeen, orders: Sequence[float], scale: float) -> bool:
    return any(abs(line.order - order * scale) < 4.0 * math.hypot(
        line.u_order, LEAST_PLACE_SHARE * order) for order in orders)


def widened(prior: Prior, share: float) -> Prior:
    """The same with a further standard uncertainty [share of 1]."""
    more = _normal(share)
    return Prior(_both(prior.usual, more), _both(prior.wrong, more), prior.wrong_weight,
                 _both(prior.stated, more))
