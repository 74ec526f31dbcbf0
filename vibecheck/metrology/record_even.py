"""A record on an even time grid, gap-free stretch by stretch, and turned so that z is up.

Interpolation is by six-point Lagrange polynomials (flat within 2 % up to a fifth of the sampling
rate); where stamps crowd, straight lines are used instead, since a polynomial through two samples
a hair apart would swing. Nothing is made up inside a gap.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record_load import Record

Real = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]

CHUNK = 16_384  # places interpolated at once, so that the working arrays stay in the cache
POINTS = 6  # knots of the polynomial
CROWDED = 0.3  # of the usual step; knots closer than this are not trusted with a polynomial
FADE_SAMPLES = 64  # carried on beyond each end before a Fourier interpolation
SHORTEST_STRETCH_S = 2.0  # s; shorter pieces between gaps are passed over


@dataclass(frozen=True, eq=False)
class Stretch:
    """A piece of the record without gaps on an even grid.

    Attributes
    ----------
    start_s : time of the first sample in the record [s].
    acceleration : (n, 3) [m/s2], mean removed; columns x, y, z or, after `upright`, two
        horizontal directions and up.
    speed_ms : (n,) [m/s], or None.
    """

    start_s: float
    acceleration: Real
    speed_ms: Real | None


@dataclass(frozen=True, eq=False)
class EvenRecord:
    """A record on an even grid.

    Attributes
    ----------
    rate_hz : sampling rate [Hz].
    stretches : the pieces between gaps, in time order.
    upright : whether the third column is up (known only if gravity was recorded).
    """

    rate_hz: float
    stretches: tuple[Stretch, ...]
    upright: bool

    @property
    def length_s(self) -> float:
        """Length of all stretches together [s]."""
        return sum(len(piece.acceleration) for piece in self.stretches) / self.rate_hz


def even(record: Record) -> EvenRecord:
    """Put a record on an even grid, mean removed, z up if gravity is known.

    Raises
    ------
    RecordError : no stretch between gaps is as long as 2 s.
    """
    axes = _upright_axes(record.gravity)
    edges = [0, *(int(np.searchsorted(record.time_s, end)) for _, end in record.gaps),
             len(record.time_s)]
    pieces = []
    for first, last in zip(edges, edges[1:], strict=False):
        time_s = record.time_s[first:last]
        if last - first < 2 * POINTS or time_s[-1] - time_s[0] < SHORTEST_STRETCH_S:
            continue
        grid = np.arange(time_s[0], time_s[-1], 1.0 / record.rate_hz)
        values = interpolated(time_s, record.acceleration[first:last], grid)
        values = (values - values.mean(axis=0)) @ axes.T
        speed = None
        if record.speed_ms is not None:
            speed = np.interp(grid, time_s, record.speed_ms[first:last])
        pieces.append(Stretch(float(time_s[0]), values, speed))
    if not pieces:
        raise RecordError(
            "gaps cut the record into pieces too short to use", record.source,
            "record again with other apps closed",
        )
    return EvenRecord(record.rate_hz, tuple(pieces), record.gravity is not None)


def interpolated(at: Real, values: Real, wanted: Real) -> Real:
    """Values at other places.

    Parameters
    ----------
    at : (n,) rising, n at least 6 [any unit].
    values : (n, k) or (n,).
    wanted : (m,) within the range of `at` [same unit].

    Returns
    -------
    (m, k) or (m,).
    """
    crowded = _crowded(at)
    flat = values.reshape(len(at), -1)
    result = np.zeros((len(wanted), flat.shape[1]))
    for start in range(0, len(wanted), CHUNK):
        piece = wanted[start: start + CHUNK]
        right = np.clip(np.searchsorted(at, piece, side="right"), 1, len(at) - 1)
        first = np.clip(right - POINTS // 2, 0, len(at) - POINTS)
        weights = _lagrange(at, first, piece)
        trouble = crowded[first]
        if trouble.any():
            weights[:, trouble] = _linear(at, first[trouble], right[trouble], piece[trouble])
        for point in range(POINTS):
            result[start: start + CHUNK] += weights[point, :, None] * flat[first + point]
    return np.asarray(result.reshape((len(wanted), *values.shape[1:])))


def doubled(values: Real) -> Real:
    """Twice as many samples on an even grid, (n, k) to (2 n, k), by Fourier interpolation.

    What was recorded keeps its size all the way up to half the sampling rate. The signal is
    first carried on beyond its ends (mirrored through the end point, fading out), so that the
    ends do not ring.
    """
    count = len(values)
    beyond = min(FADE_SAMPLES, count - 1)
    wide = np.pad(values, ((beyond, beyond), (0, 0)), mode="reflect", reflect_type="odd")
    fade = 0.5 - 0.5 * np.cos(np.pi * (np.arange(beyond) + 0.5) / beyond)
    wide[:beyond] *= fade[:, None]
    wide[-beyond:] *= fade[::-1, None]
    length = fast_length(len(wide))
    spectrum = np.fft.rfft(wide, length, axis=0)
    if length % 2 == 0:
        spectrum[-1] *= 0.5
    fine = np.fft.irfft(spectrum, 2 * length, axis=0) * 2.0
    return np.ascontiguousarray(fine[2 * beyond: 2 * (beyond + count)])


def fast_length(count: int) -> int:
    """The smallest of 2^a, 3 * 2^a and 5 * 2^a that is at least the count."""
    power = 1 << max(count - 1, 1).bit_length()
    return min(length for length in (power, power * 3 // 4, power * 5 // 8) if length >= count)


def _lagrange(at: Real, first: Index, wanted: Real) -> Real:
    """Weights (6, m) of the six knots."""
    step = (at[-1] - at[0]) / (len(at) - 1)
    knots = [(at[first + point] - wanted) / step for point in range(POINTS)]
    weights = np.ones((POINTS, len(wanted)))
    for point in range(POINTS):
        below = np.ones(len(wanted))
        for other in range(POINTS):
            if other != point:
                weights[point] *= knots[other]
                below *= knots[other] - knots[point]
        weights[point] /= below
    return weights


def _linear(at: Real, first: Index, right: Index, wanted: Real) -> Real:
    share = (wanted - at[right - 1]) / (at[right] - at[right - 1])
    weights = np.zeros((POINTS, len(wanted)))
    columns = np.arange(len(wanted))
    weights[right - 1 - first, columns] = 1.0 - share
    weights[right - first, columns] = share
    return weights


def _crowded(at: Real) -> npt.NDArray[np.bool_]:
    """For each first knot, whether any two of its six knots are too close."""
    steps = np.diff(at)
    close = steps < CROWDED * float(np.median(steps))
    count = np.concatenate([[0], np.cumsum(close)])
    last = len(at) - POINTS
    return np.asarray(count[POINTS - 1: POINTS + last] - count[: last + 1] > 0)


def _upright_axes(gravity: Real | None) -> Real:
    """Rows are two horizontal directions and up, in the phone's axes; unturned without gravity."""
    if gravity is None:
        return np.eye(3)
    up = gravity / np.linalg.norm(gravity)
    least = np.eye(3)[int(np.argmin(np.abs(up)))]
    across = np.cross(up, least)
    across /= np.linalg.norm(across)
    return np.array([np.cross(across, up), across, up])
