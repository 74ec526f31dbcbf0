"""Values at other places than those recorded: from a jittered clock to an even grid, and finer.

Six-point Lagrange polynomials alone lose what lies near half the sampling rate (2 % of the
amplitude at a fifth of the rate, a quarter at two fifths). So what they miss is worked out at the
stamps themselves and added, over and over; a polynomial needs even knots for that, so where
stamps crowd or one is lacking nothing is added. Where stamps crowd, straight lines are used,
since a polynomial through two samples a hair apart would swing.

References
----------
1. F. Marvasti, M. Analoui, M. Gamshadzahi, Recovery of signals from nonuniform samples using
   iterative methods, IEEE Trans. Signal Processing 39 (1991) 872-878 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Real = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]

CHUNK = 16_384  # places interpolated at once, so that the working arrays stay in the cache
POINTS = 6  # knots of the polynomial
CROWDED = 0.3  # of the usual step; knots closer than this are not trusted with a polynomial
SPARSE = 1.7  # of the usual step; a step longer than this lacks a sample
FADE_SAMPLES = 64  # carried on beyond each end before a Fourier interpolation
FINER = 3  # times as many samples before a polynomial looks between them
PASSES, PASSES_FAST, FAST_HZ = 3, 1, 150.0  # one is enough where 60 Hz is far from half the rate


@dataclass(frozen=True, eq=False)
class Between:
    """How values at some places follow from those at others: knots and weights.

    Attributes
    ----------
    first : (m,) index of the first of six knots.
    weights : (6, m) of the knots.
    """

    first: Index
    weights: Real

    def of(self, values: Real) -> Real:
        """(m, k) or (m,) from values (n, k) or (n,) at the knots."""
        flat = values.reshape(len(values), -1)
        result = np.empty((len(self.first), flat.shape[1]))
        knots = np.empty((min(CHUNK, len(result)), flat.shape[1]))
        for start in range(0, len(result), CHUNK):
            first, weights = self.first[start:start + CHUNK], self.weights[:, start:start + CHUNK]
            whole, some = result[start:start + CHUNK], knots[:len(first)]
            flat.take(first, axis=0, out=whole, mode="clip")  # unchecked: they lie within
            whole *= weights[0, :, None]
            for point in range(1, POINTS):
                flat[point:].take(first, axis=0, out=some, mode="clip")
                some *= weights[point, :, None]
                whole += some
        return result.reshape((len(result), *values.shape[1:]))


def regridded(time_s: Real, values: Real, grid: Real) -> Real:
    """Values (n, k) at jittered stamps (n,) [s], on an even grid (m,) [s] within them [1]."""
    rate = (len(grid) - 1) / (grid[-1] - grid[0])
    to_grid = between(time_s, grid)
    found = to_grid.of(values)
    inside = time_s <= grid[-1]
    to_stamps = between_even(
        (time_s[inside] - grid[0]) * (FINER * rate), FINER * len(grid))
    uneven = _uneven(time_s)
    missed = np.zeros_like(values)
    for _ in range(PASSES_FAST if rate >= FAST_HZ else PASSES):
        missed[inside] = values[inside] - to_stamps.of(finer(found, FINER))
        missed[uneven] = 0.0
        found += to_grid.of(missed)
    return found


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
    return between(at, wanted).of(values)


def between(at: Real, wanted: Real) -> Between:
    """Knots and weights for places (m,) within the range of rising ones (n,), n at least 6."""
    crowded = _crowded(at)
    firsts = np.empty(len(wanted), dtype=np.intp)
    weights = np.empty((POINTS, len(wanted)))
    for start in range(0, len(wanted), CHUNK):
        part = slice(start, start + CHUNK)
        piece = wanted[part]
        right = np.clip(np.searchsorted(at, piece, side="right"), 1, len(at) - 1)
        first: Index = np.clip(right - POINTS // 2, 0, len(at) - POINTS).astype(np.intp)
        firsts[part] = first
        weights[:, part] = _lagrange(at, first, piece)
        trouble = np.flatnonzero(crowded[first])
        if len(trouble):
            weights[:, start + trouble] = _linear(
                at, first[trouble], right[trouble], piece[trouble])
    return Between(firsts, weights)


def between_even(wanted: Real, count: int) -> Between:
    """Knots and weights for places (m,) between so many samples [steps from the first]."""
    firsts = np.clip(np.floor(wanted).astype(np.intp) - (POINTS // 2 - 1), 0, count - POINTS)
    weights = np.empty((POINTS, len(wanted)))
    for start in range(0, len(wanted), CHUNK):
        part = slice(start, start + CHUNK)
        _lagrange_even(wanted[part] - firsts[part], weights[:, part])
    return Between(firsts, weights)


def finer(values: Real, times: int) -> Real:
    """So many times as many samples on an even grid, (n, k) to (times n, k), by Fourier.

    What was recorded keeps its size all the way up to half the sampling rate. The signal is
    first carried on beyond its ends (mirrored through the end point, fading out), so that the
    ends do not ring.
    """
    count = len(values)
    beyond = min(FADE_SAMPLES, count - 1)
    wide = np.empty((count + 2 * beyond, *values.shape[1:]))
    wide[beyond: beyond + count] = values
    wide[:beyond] = 2.0 * values[0] - values[beyond:0:-1]
    wide[beyond + count:] = 2.0 * values[-1] - values[-2: -2 - beyond: -1]
    fade = 0.5 - 0.5 * np.cos(np.pi * (np.arange(beyond) + 0.5) / beyond)
    wide[:beyond] *= fade[:, None]
    wide[-beyond:] *= fade[::-1, None]
    length = fast_length(len(wide))
    spectrum = np.fft.rfft(wide, length, axis=0)
    if length % 2 == 0:
        spectrum[-1] *= 0.5
    fine = np.fft.irfft(spectrum, times * length, axis=0) * times
    return np.ascontiguousarray(fine[times * beyond: times * (beyond + count)])


def fast_length(count: int) -> int:
    """The smallest of 2^a, 3 * 2^a and 5 * 2^a that is at least the count."""
    power = 1 << max(count - 1, 1).bit_length()
    return min(length for length in (power, power * 3 // 4, power * 5 // 8) if length >= count)


def _lagrange(at: Real, first: Index, wanted: Real) -> Real:
    """Weights (6, m) of the six knots."""
    step = (at[-1] - at[0]) / (len(at) - 1)
    knots = [(at[first + point] - wanted) / step for point in range(POINTS)]
    weights = np.empty((POINTS, len(wanted)))
    below = [np.ones(len(wanted)) for _ in range(POINTS)]
    for point in range(POINTS):
        for other in range(point):
            apart = knots[point] - knots[other]
            below[other] *= apart
            below[point] *= -apart
    beside = np.ones(len(wanted))
    for point in range(POINTS):
        weights[point] = beside
        beside = beside * knots[point]
    beside = np.ones(len(wanted))
    for point in reversed(range(POINTS)):
        weights[point] *= beside
        weights[point] /= below[point]
        beside = beside * knots[point]
    return weights


def _lagrange_even(off: Real, weights: Real) -> None:
    """Into weights (6, m), of six knots a step apart, for places (m,) from the first [steps]."""
    beside = np.ones_like(off)
    for point in range(POINTS):  # the knots before it
        weights[point] = beside
        beside = beside * (off - point)
    beside = np.ones_like(off)
    for point in reversed(range(POINTS)):  # and those behind
        weights[point] *= beside
        beside = beside * (off - point)
        weights[point] /= math.prod(point - other for other in range(POINTS) if other != point)


def _linear(at: Real, first: Index, right: Index, wanted: Real) -> Real:
    share = (wanted - at[right - 1]) / (at[right] - at[right - 1])
    weights = np.zeros((POINTS, len(wanted)))
    columns = np.arange(len(wanted))
    weights[right - 1 - first, columns] = 1.0 - share
    weights[right - first, columns] = share
    return weights


def _crowded(at: Real) -> Mask:
    """For each first knot, whether any two of its six knots are too close."""
    steps = np.diff(at)
    close = steps < CROWDED * float(np.median(steps))
    count = np.concatenate([[0], np.cumsum(close)])
    last = len(at) - POINTS
    return np.asarray(count[POINTS - 1: POINTS + last] - count[: last + 1] > 0)


def _uneven(at: Real) -> Mask:
    """For each stamp, whether it has a step that is too short or too long within reach."""
    steps = np.diff(at)
    usual = float(np.median(steps))
    odd = (steps < CROWDED * usual) | (steps > SPARSE * usual)
    count = np.concatenate([[0], np.cumsum(odd)])
    place = np.arange(len(at))
    return np.asarray(count[np.minimum(place + POINTS, len(steps))]
                      - count[np.maximum(place - POINTS, 0)] > 0)
