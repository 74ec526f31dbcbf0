"""Power spectral density by Welch's method, and its peaks with confidence.

Segments: Hann window, half overlap, mean of each segment removed. The sum of the three axes does
not depend on how the phone lay, so peaks are looked for there.

A peak counts if its height over the noise floor would come about by chance less than once in a
thousand spectra: for noise, the average of K segments follows chi-square with 2 K degrees of
freedom (K made smaller for the overlap). Its frequency is read off the shape of the Hann window's
main lobe and its uncertainty found by leaving out one block of neighboring segments at a time
(jackknife), so that it covers both noise and a tone that wanders.

References
----------
1. P. D. Welch, The use of fast Fourier transform for the estimation of power spectra,
   IEEE Trans. Audio Electroacoust. 15 (1967) 70-73: method, overlap and variance.
2. F. J. Harris, On the use of windows for harmonic analysis, Proc. IEEE 66 (1978) 51-83.
3. B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, SIAM, 1982.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record_even import EvenRecord

Real = npt.NDArray[np.float64]

SEGMENT_S = 4.0  # s; resolution 0.25 Hz
OVERLAP_CORRELATION = 1.0 / 36.0  # squared correlation of neighbors, Hann, half overlap [1]
FLOOR_BINS = 41  # bins around a peak whose median is the floor
FALSE_ALARM = 1e-3  # chance that noise alone shows such a peak anywhere in the spectrum
LOBE_BINS = 2  # bins either side that hold a tone's power
MOST_PEAKS = 12
BLOCK = 64  # segments transformed at once, to bound the memory
LOWEST_HZ = 1.0  # below this speed changes and road slope dominate
FEWEST_BLOCKS = 6  # for the jackknife, if there are so many segments
BLOCK_SEGMENTS = 8


@dataclass(frozen=True, eq=False)
class Spectrum:
    """Power spectral density of the three axes.

    Attributes
    ----------
    at : (m,) frequency [Hz], or order [unitless] in an order spectrum.
    density : (m, 3) one-sided power spectral density [(m/s2)^2 per unit of `at`].
    segments : (k, m) density of each segment, axes summed.
    unit : "Hz" or "order".
    """

    at: Real
    density: Real
    segments: Real
    unit: str

    @property
    def total(self) -> Real:
        """(m,) density of the axes together."""
        return np.asarray(self.density.sum(axis=1))

    @property
    def step(self) -> float:
        """Distance of two bins [unit of `at`]."""
        return float(self.at[1] - self.at[0])

    @property
    def independent(self) -> float:
        """Number of independent segments that the overlapping ones are worth [unitless]."""
        count = len(self.segments)
        return count / (1.0 + 2.0 * OVERLAP_CORRELATION * (count - 1) / count)


@dataclass(frozen=True)
class Peak:
    """One peak.

    Attributes
    ----------
    at : its place [Hz, or order].
    u_at : standard uncertainty of the place [same].
    rms : root mean square acceleration under the peak, axes together, floor removed [m/s2].
    u_rms : standard uncertainty of that [m/s2].
    freedom : degrees of freedom of the two uncertainties [unitless].
    up_share : share of its power in the third axis (up, if the record knows) [0 to 1].
    over_floor : height over the floor [unitless].
    chance : chance that noise alone shows such a peak anywhere in the spectrum [0 to 1].
    """

    at: float
    u_at: float
    rms: float
    u_rms: float
    freedom: int
    up_share: float
    over_floor: float
    chance: float

    @property
    def coverage_95(self) -> float:
        """Factor from standard to 95 % uncertainty: Student's t, within 1 % from 5 degrees on."""
        return 1.96 + 2.37 / self.freedom + 2.8 / self.freedom**2


def spectrum_of(record: EvenRecord, segment_s: float = SEGMENT_S) -> Spectrum:
    """Welch spectrum of a record, averaged over its stretches.

    Parameters
    ----------
    record : on an even grid.
    segment_s : length of a segment [s]; stretches shorter than this are passed over.

    Raises
    ------
    RecordError : no stretch is as long as two segments.
    """
    length = round(segment_s * record.rate_hz)
    pieces = [piece.acceleration for piece in record.stretches]
    return averaged(pieces, record.rate_hz, length, "Hz")


def averaged(pieces: Sequence[Real], rate: float, length: int, unit: str) -> Spectrum:
    """Welch spectrum over several pieces (n, 3) that share a sampling rate [1/unit]."""
    usable = [piece for piece in pieces if len(piece) >= length]
    parts = [segment_densities(piece, rate, length) for piece in usable]
    count = sum(len(part) for part in parts)
    if count < 3:
        raise RecordError(
            "the record has no stretch long enough for a spectrum", "record",
            "record for half a minute or more without interruption",
        )
    density = np.zeros(parts[0].shape[1:])
    for part in parts:
        density += part.sum(axis=0) / count
    segments = np.concatenate([part.sum(axis=2) for part in parts])
    at = np.asarray(np.fft.rfftfreq(length, 1.0 / rate), dtype=np.float64)
    return Spectrum(at, density, segments, unit)


def segment_densities(values: Real, rate: float, length: int) -> Real:
    """One-sided density of each half-overlapping segment.

    Parameters
    ----------
    values : (n, k), n at least `length`.
    rate : samples per unit.
    length : samples in a segment.

    Returns
    -------
    (segments, length // 2 + 1, k) [value^2 per 1/unit of rate].
    """
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length)
    scale = 1.0 / (rate * float((window**2).sum()))
    hop = length - length // 2
    pieces = np.lib.stride_tricks.sliding_window_view(values, length, axis=0)[::hop]
    result = np.empty((len(pieces), length // 2 + 1, values.shape[1]))
    for first in range(0, len(pieces), BLOCK):
        block = pieces[first: first + BLOCK]
        centred = (block - block.mean(axis=2, keepdims=True)) * window
        transform = np.fft.rfft(centred, axis=2)
        power = scale * (transform.real**2 + transform.imag**2)
        result[first: first + BLOCK] = power.transpose(0, 2, 1)
    result[:, 1: (length + 1) // 2] *= 2.0
    return result


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
    total = spectrum.total
    floor = floor_of(spectrum)
    inside = (spectrum.at >= lowest) & (spectrum.at <= highest)
    inside[:LOBE_BINS] = inside[-LOBE_BINS - 1:] = False
    top = inside.copy()
    top[1:-1] &= (total[1:-1] >= total[:-2]) & (total[1:-1] > total[2:])
    found = []
    for bin_ in np.flatnonzero(top):
        ratio = float(total[bin_] / max(floor[bin_], 1e-300))
        chance = min(int(inside.sum()) * tail(ratio, spectrum.independent), 1.0)
        if chance < FALSE_ALARM:
            found.append(_peak(spectrum, int(bin_), floor, ratio, chance))
    found.sort(key=lambda peak: -peak.rms)
    return tuple(_without_skirts(found, spectrum.step)[:most])


def floor_of(spectrum: Spectrum) -> Real:
    """(m,) noise floor: running median, corrected from median to mean of chi-square noise."""
    total = spectrum.total
    half = FLOOR_BINS // 2
    padded = np.pad(total, half, mode="reflect") if len(total) > half else np.pad(
        total, half, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, FLOOR_BINS)
    median = np.median(windows, axis=1)
    # Wilson-Hilferty: median of chi-square with n degrees, over n, is about (1 - 2 / (9 n))^3.
    return np.asarray(median / (1.0 - 1.0 / (9.0 * spectrum.independent)) ** 3)


def tail(ratio: float, independent: float) -> float:
    """Chance that noise averaged over so many segments exceeds its mean by the ratio.

    Chi-square with 2 K degrees of freedom: exp(-K r) sum over j < K of (K r)^j / j!.
    """
    count = max(int(independent), 1)
    load = count * ratio
    if load <= 0.0:
        return 1.0
    logs = [-load + j * math.log(load) - math.lgamma(j + 1) for j in range(count)]
    most = max(logs)
    return min(math.exp(most) * sum(math.exp(value - most) for value in logs), 1.0)


def band_rms(spectrum: Spectrum, low: float, high: float) -> float:
    """Root mean square acceleration [m/s2] of the axes together between two places."""
    inside = (spectrum.at >= low) & (spectrum.at <= high)
    return math.sqrt(float(spectrum.total[inside].sum()) * spectrum.step)


def _peak(spectrum: Spectrum, bin_: int, floor: Real, ratio: float, chance: float) -> Peak:
    lobe = slice(bin_ - LOBE_BINS, bin_ + LOBE_BINS + 1)
    powers = spectrum.segments[:, lobe] - floor[lobe]
    blocks = _block_sums(powers)
    left_out = (powers.sum(axis=0) - blocks[0]) / (len(powers) - blocks[1])
    place, u_place = _jackknife(
        _lobe_place(powers.mean(axis=0)[None, :]), _lobe_place(left_out))
    power, u_power = _jackknife(
        powers.mean(axis=0)[None, :].sum(axis=1), left_out.sum(axis=1))
    rms = math.sqrt(max(power * spectrum.step, 0.0))
    axes = spectrum.density[lobe].sum(axis=0)
    return Peak(
        at=float(spectrum.at[bin_]) + place * spectrum.step,
        u_at=u_place * spectrum.step,
        rms=rms,
        u_rms=u_power * spectrum.step / (2.0 * rms) if rms > 0.0 else 0.0,
        freedom=len(left_out) - 1,
        up_share=float(axes[-1] / axes.sum()),
        over_floor=ratio,
        chance=chance,
    )


def _block_sums(powers: Real) -> tuple[Real, Real]:
    """Sums over blocks of neighboring segments, and how many segments each block holds (b, 1)."""
    count = len(powers)
    blocks = min(count, max(FEWEST_BLOCKS, count // BLOCK_SEGMENTS))
    edges = np.linspace(0, count, blocks + 1).astype(np.intp)
    return (np.add.reduceat(powers, edges[:-1], axis=0),
            np.diff(edges).astype(np.float64)[:, None])


def _jackknife(whole: Real, left_out: Real) -> tuple[float, float]:
    """The estimate, and its standard uncertainty from the estimates without each block [3]."""
    count = len(left_out)
    return float(whole[0]), math.sqrt((count - 1) * float(left_out.var()))


def _lobe_place(powers: Real) -> Real:
    """Place of a tone from the five bins of a Hann main lobe [bins from the middle one].

    With r the ratio of the larger neighbor's amplitude to the middle one's, the tone lies
    (2 r - 1) / (1 + r) towards that neighbor.
    """
    amplitude = np.sqrt(np.maximum(powers, 0.0))
    middle = np.maximum(amplitude[:, LOBE_BINS], 1e-300)
    before = amplitude[:, LOBE_BINS - 1] / middle
    after = amplitude[:, LOBE_BINS + 1] / middle
    right = (2.0 * after - 1.0) / (1.0 + after)
    left = -(2.0 * before - 1.0) / (1.0 + before)
    return np.asarray(np.clip(np.where(after >= before, right, left), -1.0, 1.0))


def _without_skirts(found: list[Peak], step: float) -> list[Peak]:
    """Drop small peaks that sit on the shoulders of a larger one."""
    kept: list[Peak] = []
    for peak in found:
        if all(abs(peak.at - other.at) > 2.5 * step or peak.rms > 0.5 * other.rms
               for other in kept):
            kept.append(peak)
    return kept
