"""Peaks of a spectrum, each with its place, its strength and what both are uncertain by.

The sum of the three axes does not depend on how the phone lay, so peaks are looked for there. A
peak counts if its height over the noise floor would come about by chance less than once in a
thousand spectra: for noise, the average of K segments follows chi-square with 2 K degrees of
freedom (K made smaller for the overlap).

Its place is read off the three highest bins of the Hann window's main lobe. Over frequency, its
uncertainty is found by leaving out one block of neighboring segments at a time (jackknife [2]),
so that it covers both noise and a tone that wanders. Over wheel orders the shake changes with
the speed all along, and only the differences of neighbors tell of noise [3].

References
----------
1. F. J. Harris, On the use of windows for harmonic analysis, Proc. IEEE 66 (1978) 51-83.
2. B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, SIAM, 1982.
3. J. von Neumann, R. H. Kent, H. R. Bellinson, B. I. Hart, The mean square successive difference,
   Annals of Mathematical Statistics 12 (1941) 153-162 (from memory).
4. JCGM 100:2008, G.4: effective degrees of freedom.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from vibecheck.distributions import mean_square_tail, student_t_two_sided_95
from vibecheck.metrology.record.spectrum import Spectrum, floor_of

Real = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

FALSE_ALARM = 1e-3  # chance that noise alone shows such a peak anywhere in the spectrum
LOBE_BINS = 2  # bins either side that hold a tone's power
MOST_PEAKS = 12
LOWEST_HZ = 1.0  # below this speed changes and road slope dominate
FEWEST_BLOCKS = 6  # of segments, if there are so many
BLOCK_SEGMENTS = 8
FLOOR_REACH = 20  # bins either side over which the floor near a peak is fitted
FEWEST_FLOOR_BINS = 5  # either side
STANDS_OUT = 3.0  # times the floor; such a bin and its neighbors are no floor
TONE_OVERLAP = 3.0 / 35.0  # correlation of the strength that two half-overlapping Hann segments
# show of one tone in white noise: sum of w^2 w'^2 over sum of w^4, calculated
MOST_FREEDOM = 1e6
NEIGHBOR_FREEDOM = 2.0 / 3.0  # degrees of freedom that each difference of neighbors is worth [3]


@dataclass(frozen=True)
class Peak:
    """One peak.

    Attributes
    ----------
    at : its place [Hz, or order].
    u_at : standard uncertainty of the place [same].
    freedom_at : degrees of freedom of that [unitless].
    rms : root mean square acceleration under the peak, axes together, floor removed; mean over
        the segments, in which the ends of the record count less [m/s2].
    u_rms : standard uncertainty of that [m/s2].
    freedom_rms : degrees of freedom of that [unitless].
    up_share : share of its power in the third axis (up, if the record knows) [0 to 1].
    over_floor : height over the floor [unitless].
    chance : chance that noise alone shows such a peak anywhere in the spectrum [0 to 1].
    """

    at: float
    u_at: float
    freedom_at: float
    rms: float
    u_rms: float
    freedom_rms: float
    up_share: float
    over_floor: float
    chance: float

    @property
    def half_at(self) -> float:
        """Half width of the 95 % interval of the place [as the place]."""
        return student_t_two_sided_95(self.freedom_at) * self.u_at

    @property
    def half_rms(self) -> float:
        """Half width of the 95 % interval of the strength [m/s2]."""
        return student_t_two_sided_95(self.freedom_rms) * self.u_rms


@dataclass(frozen=True, eq=False)
class Lobe:
    """A peak with what lies behind it.

    Attributes
    ----------
    peak : the peak.
    strengths : (k,) power of each segment under the peak, floor removed [(m/s2)^2].
    noise : power of the floor in one bin of one axis [(m/s2)^2].
    """

    peak: Peak
    strengths: Real
    noise: float


def peaks_of(
    spectrum: Spectrum, lowest: float = LOWEST_HZ, highest: float = math.inf,
    most: int = MOST_PEAKS,
) -> tuple[Peak, ...]:
    """Peaks that stand out of the noise, strongest first.

    Parameters
    ----------
    spectrum : of a record, by frequency or by order.
    lowest, highest : range to look in [unit of the spectrum].
    most : at most so many.
    """
    return tuple(lobe.peak for lobe in lobes_of(spectrum, lowest, highest, most))


def lobes_of(
    spectrum: Spectrum, lowest: float, highest: float, most: int = MOST_PEAKS
) -> tuple[Lobe, ...]:
    """As `peaks_of`, with what lies behind each peak."""
    total = spectrum.total
    floor = floor_of(spectrum)
    inside = (spectrum.at >= lowest) & (spectrum.at <= highest)
    inside[:LOBE_BINS] = inside[-LOBE_BINS - 1:] = False
    top = inside.copy()
    top[1:-1] &= (total[1:-1] >= total[:-2]) & (total[1:-1] > total[2:])
    quiet = _quiet(total, floor, inside)
    looked_at = int(inside.sum())
    found = []
    for bin_ in np.flatnonzero(top):
        ratio = float(total[bin_] / max(floor[bin_], 1e-300))
        chance = min(looked_at * mean_square_tail(ratio, spectrum.independent), 1.0)
        if chance < FALSE_ALARM:
            near = _floor_near(spectrum, int(bin_), floor, quiet)
            found.append(_lobe(spectrum, int(bin_), near, ratio, chance))
    found.sort(key=lambda lobe: -lobe.peak.rms)
    return tuple(_without_skirts(found, spectrum.step)[:most])


def moved(peak: Peak, by: float, uncertainty: float) -> Peak:
    """The peak with its place corrected, and the correction's uncertainty added [4].

    Parameters
    ----------
    by : added to the place [as the place].
    uncertainty : standard uncertainty of that, with as many degrees of freedom as one likes [same].
    """
    u_at = math.hypot(peak.u_at, uncertainty)
    freedom = MOST_FREEDOM
    if peak.u_at > 0.0:
        freedom = min(peak.freedom_at * (u_at / peak.u_at) ** 4, MOST_FREEDOM)
    return replace(peak, at=peak.at + by, u_at=u_at, freedom_at=freedom)


def _around(bin_: int) -> slice:
    return slice(bin_ - LOBE_BINS, bin_ + LOBE_BINS + 1)


def _quiet(total: Real, floor: Real, inside: Mask) -> Mask:
    """Which bins hold nothing but floor."""
    loud = total > STANDS_OUT * floor
    near = np.convolve(loud, np.ones(2 * LOBE_BINS + 1), mode="same") > 0.5
    return np.asarray(inside & ~near & (total > 0.0))


def _floor_near(spectrum: Spectrum, bin_: int, floor: Real, quiet: Mask) -> Real:
    """(5,) floor under a peak: a parabola through the logarithms of the quiet bins around it.

    The mean of the logarithm of chi-square noise with n degrees, over n, is about -1 / n.
    """
    offset = np.arange(-FLOOR_REACH, FLOOR_REACH + 1)
    place = bin_ + offset
    usable = (place >= 0) & (place < len(floor)) & (np.abs(offset) > LOBE_BINS)
    usable[usable] &= quiet[place[usable]]
    if min(usable[offset < 0].sum(), usable[offset > 0].sum()) < FEWEST_FLOOR_BINS:
        return np.asarray(floor[_around(bin_)])
    at = place[usable]
    curve = np.polynomial.polynomial.polyfit(
        offset[usable] / FLOOR_REACH, np.log(spectrum.total[at]), 2)
    axes = spectrum.density[at].mean(axis=0)
    freedom = 2.0 * spectrum.independent * float(axes.sum() ** 2 / (axes**2).sum())
    lobe = np.arange(-LOBE_BINS, LOBE_BINS + 1) / FLOOR_REACH
    return np.asarray(
        np.exp(np.polynomial.polynomial.polyval(lobe, curve) + 1.0 / freedom), dtype=np.float64)


def _lobe(spectrum: Spectrum, bin_: int, floor: Real, ratio: float, chance: float) -> Lobe:
    lobe = spectrum.segments[:, _around(bin_)] - floor
    strengths = lobe.sum(axis=1) * spectrum.step
    offset = float(_lobe_place(lobe.mean(axis=0)[None, :])[0])
    u_place, freedom_at = _spread(_pseudo_values(lobe, _lobe_place), spectrum.swept)
    rms = math.sqrt(max(float(strengths.mean()), 0.0))
    blocks = strengths if spectrum.swept else _pseudo_values(
        lobe, lambda each: np.asarray(each.sum(axis=1) * spectrum.step))
    u_power, freedom_rms = _spread(blocks, spectrum.swept, TONE_OVERLAP)
    axes = spectrum.density[_around(bin_)].sum(axis=0)
    peak = Peak(
        at=float(spectrum.at[bin_]) + offset * spectrum.step,
        u_at=u_place * spectrum.step,
        freedom_at=freedom_at,
        rms=rms,
        u_rms=u_power / (2.0 * rms) if rms > 0.0 else 0.0,
        freedom_rms=freedom_rms,
        up_share=float(axes[-1] / axes.sum()),
        over_floor=ratio,
        chance=chance,
    )
    noise = float(floor[LOBE_BINS]) * spectrum.step / len(axes)
    return Lobe(peak, strengths, noise)


def _pseudo_values(lobe: Real, estimate: Callable[[Real], Real]) -> Real:
    """(b,) what each block of neighboring segments makes of an estimate [2]."""
    count = len(lobe)
    blocks = min(count, max(FEWEST_BLOCKS, count // BLOCK_SEGMENTS))
    edges = np.linspace(0, count, blocks + 1).astype(np.intp)
    sums = np.add.reduceat(lobe, edges[:-1], axis=0)
    held = np.diff(edges).astype(np.float64)[:, None]
    without = estimate((lobe.sum(axis=0) - sums) / (count - held))
    whole = estimate(lobe.mean(axis=0)[None, :])
    return np.asarray(blocks * whole - (blocks - 1) * without)


def _spread(
    values: Real, neighbors: bool, correlation: float = 0.0
) -> tuple[float, float]:
    """Standard uncertainty of the mean of some values, and its degrees of freedom.

    Parameters
    ----------
    values : (n,) in the order of the record.
    neighbors : take it from the differences of neighbors alone, so that a change all along the
        record is not taken for noise.
    correlation : of neighbors, for that.
    """
    count = len(values)
    if not neighbors:
        return math.sqrt(float(values.var(ddof=1)) / count), count - 1.0
    single = float((np.diff(values) ** 2).mean()) / (2.0 * (1.0 - correlation))
    return (math.sqrt(single * (1.0 + 2.0 * correlation) / count),
            NEIGHBOR_FREEDOM * (count - 1))


def _lobe_place(powers: Real) -> Real:
    """Place of a tone from the five bins of a Hann main lobe [bins from the middle one].

    With a, b, c the amplitudes of the three middle bins, a Hann window gives a tone at
    2 (c - a) / (a + 2 b + c), from the shape of its transform [1].
    """
    amplitude = np.sqrt(np.maximum(powers, 0.0))
    before, middle, after = amplitude[:, LOBE_BINS - 1: LOBE_BINS + 2].T
    whole = np.maximum(before + 2.0 * middle + after, 1e-300)
    return np.asarray(np.clip(2.0 * (after - before) / whole, -1.0, 1.0))


def _without_skirts(found: list[Lobe], step: float) -> list[Lobe]:
    """Drop small peaks that sit on the shoulders of a larger one."""
    kept: list[Lobe] = []
    for lobe in found:
        peak = lobe.peak
        if all(abs(peak.at - other.peak.at) > 2.5 * step or peak.rms > 0.5 * other.peak.rms
               for other in kept):
            kept.append(lobe)
    return kept
