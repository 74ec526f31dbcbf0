"""Power spectral density by Welch's method.

Segments: Hann window, half overlap, mean of each segment removed.

References
----------
1. P. D. Welch, The use of fast Fourier transform for the estimation of power spectra,
   IEEE Trans. Audio Electroacoust. 15 (1967) 70-73: method, overlap and variance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record.even import EvenRecord

Real = npt.NDArray[np.float64]

SEGMENT_S = 4.0  # s; resolution 0.25 Hz
OVERLAP_CORRELATION = 1.0 / 36.0  # squared correlation of neighbors, Hann, half overlap [1]
FLOOR_BINS = 41  # bins around a peak whose median is the floor
BLOCK = 64  # segments transformed at once, to bound the memory


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
    def swept(self) -> bool:
        """Whether the shake may change with the speed all along; then only neighbors are alike."""
        return self.unit == "order"

    @property
    def step(self) -> float:
        """Distance of two bins [unit of `at`]."""
        return float(self.at[1] - self.at[0])

    @property
    def independent(self) -> float:
        """Number of independent segments that the overlapping ones are worth [unitless]."""
        count = len(self.segments)
        return count / (1.0 + 2.0 * OVERLAP_CORRELATION * (count - 1) / count)


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
        centered = (block - block.mean(axis=2, keepdims=True)) * window
        transform = np.fft.rfft(centered, axis=2)
        power = scale * (transform.real**2 + transform.imag**2)
        result[first: first + BLOCK] = power.transpose(0, 2, 1)
    result[:, 1: (length + 1) // 2] *= 2.0
    return result


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


def band_rms(spectrum: Spectrum, low: float, high: float) -> float:
    """Root mean square acceleration [m/s2] of the axes together between two places."""
    inside = (spectrum.at >= low) & (spectrum.at <= high)
    return math.sqrt(float(spectrum.total[inside].sum()) * spectrum.step)
