"""Power spectral density by Welch's method.

Segments: Hann window, half overlap, mean of each segment removed.

References
----------
1. P. D. Welch, The use of fast Fourier transform for the estimation of power spectra,
   IEEE Trans. Audio Electroacoust. 15 (1967) 70-73: method, overlap and variance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.distributions import chi_square_median_over_mean
from vibecheck.errors import RecordError
from vibecheck.metrology.record.even import EvenRecord

Real = npt.NDArray[np.float64]

SEGMENT_S = 4.0  # s; resolution 0.25 Hz
OVERLAP_CORRELATION = 1.0 / 36.0  # squared correlation of neighbors, Hann, half overlap [1]
FLOOR_BINS = 41  # bins around a peak whose median is the floor
MOST_SEGMENTS = 3000  # kept apart
BLOCK = 64  # segments transformed at once, to bound the memory


@dataclass(frozen=True, eq=False)
class Spectrum:
    """Power spectral density of the three axes.

    Attributes
    ----------
    at : (m,) frequency [Hz], or order [unitless] in an order spectrum.
    density : (m, 3) one-sided power spectral density [(m/s2)^2 per unit of `at`].
    segments : (k, m) density of each segment, axes summed; of a long record the means of so many
        neighbors that some thousand are left.
    unit : "Hz" or "order".
    count : segments there were; None for as many as `segments` has.
    """

    at: Real
    density: Real
    segments: npt.NDArray[np.floating]
    unit: str
    count: int | None = None

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
        count = len(self.segments) if self.count is None else self.count
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


def averaged(
    pieces: Iterable[npt.NDArray[np.floating]], rate: float, length: int, unit: str,
    expected: int | None = None,
) -> Spectrum:
    """Welch spectrum over several pieces (n, 3) that share a sampling rate [1/unit].

    Parameters
    ----------
    pieces : all at once, or one by one; those shorter than a segment are passed over.
    rate : samples per unit.
    length : samples in a segment.
    unit : "Hz" or "order".
    expected : about how many segments there will be; needed for pieces that come one by one.
    """
    hop = length - length // 2
    if expected is None:
        pieces = list(pieces)
        expected = sum(max((len(piece) - length) // hop + 1, 0) for piece in pieces)
    together = neighbors_together(expected)
    count, density = 0, np.zeros((length // 2 + 1, 3))
    rows: list[npt.NDArray[np.floating]] = []
    for piece in pieces:
        if len(piece) < length:
            continue
        for part in _densities(piece, rate, length):
            count += len(part)
            density = density + part.sum(axis=0)
            rows.append(_means(part.sum(axis=2), together))
    if count < 3:
        raise RecordError(
            "the record has no stretch long enough for a spectrum", "record",
            "record for half a minute or more without interruption",
        )
    at = np.asarray(np.fft.rfftfreq(length, 1.0 / rate), dtype=np.float64)
    return Spectrum(at, density / count, np.concatenate(rows), unit, count)


def neighbors_together(count: int) -> int:
    """How many neighboring segments stand in one row of a spectrum of so many."""
    return max(-(-count // MOST_SEGMENTS), 1)


def grouped(rows: Real, together: int) -> npt.NDArray[np.floating]:
    """Rows (k, m) of one piece's segments, grouped as those of its spectrum are."""
    if together < 2 or not len(rows):
        return rows
    return np.concatenate([_means(rows[first: first + BLOCK], together)
                           for first in range(0, len(rows), BLOCK)])


def _means(rows: Real, together: int) -> npt.NDArray[np.floating]:
    if together < 2:
        return rows
    starts = np.arange(0, len(rows), together)
    held = np.diff([*starts, len(rows)])[:, None]
    return np.asarray(np.add.reduceat(rows, starts, axis=0) / held, dtype=np.float32)


def _densities(
    values: npt.NDArray[np.floating], rate: float, length: int
) -> Iterator[Real]:
    """One-sided density of each half-overlapping segment, some segments at a time.

    Parameters
    ----------
    values : (n, k), n at least `length`.
    rate : samples per unit.
    length : samples in a segment.

    Yields
    ------
    (segments, length // 2 + 1, k) [value^2 per 1/unit of rate].
    """
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length)
    scale = 1.0 / (rate * float((window**2).sum()))
    hop = length - length // 2
    pieces = np.lib.stride_tricks.sliding_window_view(values, length, axis=0)[::hop]
    for first in range(0, len(pieces), BLOCK):
        block = pieces[first: first + BLOCK]
        centered = block - block.mean(axis=2, keepdims=True)
        centered *= window
        transform = np.fft.rfft(centered, axis=2)
        power = transform.real**2
        power += transform.imag**2
        power *= scale
        power[:, :, 1: (length + 1) // 2] *= 2.0
        yield power.transpose(0, 2, 1)


def floor_of(spectrum: Spectrum) -> Real:
    """(m,) noise floor: running median, corrected from median to mean of chi-square noise."""
    total = spectrum.total
    half = FLOOR_BINS // 2
    padded = np.pad(total, half, mode="reflect") if len(total) > half else np.pad(
        total, half, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, FLOOR_BINS)
    median = np.median(windows, axis=1)
    return np.asarray(median / chi_square_median_over_mean(2.0 * spectrum.independent))
