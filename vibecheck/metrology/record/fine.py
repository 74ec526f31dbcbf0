"""Is there a line at an order, or only the top of a hump? A fine spectrum about the order tells.

A line that keeps step is narrower than any hump of the car's springs, if the segments are long
enough: its power stands over the floor a few bins to its left and right. The floor is drawn from
those near bins alone, carried up to the top of a hump by its curvature. Since the length of the
segments in which the angle is known well enough is not known beforehand, several are tried and
each try is paid for in the chance of a false alarm.

Each segment counts by its own level, so that a pothole does not speak for the whole ride.

References
----------
1. P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70-73: averaged windowed segments.
2. F. J. Harris, On the use of windows for harmonic analysis, Proc. IEEE 66 (1978) 51-83: a Hann
   window's half-power width is 1.44 bins, its noise bandwidth 1.5 bins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from vibecheck.distributions import mean_square_tail
from vibecheck.metrology.record.baseband import Turned
from vibecheck.metrology.record.regrid import fast_length
from vibecheck.metrology.record.spectrum import OVERLAP_CORRELATION

Real = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]
Index = npt.NDArray[np.intp]

HANN_HALF_POWER, HANN_NOISE = 1.44, 1.5  # bins [2]
HANN_SQUARED = 0.375  # mean square of the window [2]
SHORTEST_S, LONGEST_S = 5.0, 40.0  # of a segment
FEWEST_SEGMENTS = 3
PADDED = 2  # bins per bin of a plain transform
MOST_SUMMED = 200  # bins either side; so few are summed faster than transformed
MOST_ALIKE = 8  # bins by which the waves that are kept differ
MOST_WAVES = 100_000  # samples of half a segment times bins; to bound the memory
NEAR, FAR = (3.0, 6.0), (7.0, 10.0)  # plain bins from the line: where the floor is read
CURVE = 0.41  # share of the fall from near to far that lies between near and the line: parabola,
# mean square distance of near 21.5, of far 73.5: 21.5 / (73.5 - 21.5)


@dataclass(frozen=True, eq=False)
class Fine:
    """A fine spectrum about one order, from segments of one length.

    Most are made to see whether a line stands out at all; what only a line needs is worked out
    when it is read.

    Attributes
    ----------
    turns : wheel turns in a segment [unitless].
    offset : (m,) orders from the middle [unitless].
    ratio : (m,) power over the near floor, each segment by its own level [unitless].
    segments : (k, m) power over the segment's own level [unitless].
    level : (k,) that level [(m/s2)^2 per order].
    speeds_ms : (n,) each, along the pieces that the segments are from, one after the other [m/s].
    length : samples in a segment; half of it from one to the next.
    """

    turns: float
    offset: Real
    ratio: Real
    segments: Real
    level: Real
    speeds_ms: Sequence[Real]
    length: int

    @cached_property
    def power(self) -> Real:
        """(m,) plain mean [(m/s2)^2 per order]."""
        return np.asarray((self.segments * self.level[:, None]).mean(axis=0))

    @cached_property
    def floor(self) -> Real:
        """(m,) near floor of the plain mean [(m/s2)^2 per order]."""
        return near_floor(self.power)

    @cached_property
    def speed_ms(self) -> Real:
        """(k,) mean speed of each segment [m/s]."""
        return np.concatenate([_means(each, self.length, self.length // 2)
                               for each in self.speeds_ms])

    @property
    def independent(self) -> float:
        """Independent segments that the overlapping ones are worth [unitless]."""
        count = len(self.segments)
        return count / (1.0 + 2.0 * OVERLAP_CORRELATION * (count - 1) / count)

    @property
    def width(self) -> float:
        """Half-power width of a line that keeps step exactly [orders]."""
        return HANN_HALF_POWER / self.turns

    def limit_ratio(self, chance: float) -> float:
        """Ratio that noise exceeds with such a chance in one bin [unitless]."""
        return _limit_ratio(chance, self.independent)

    def rms_of(self, excess: float) -> float:
        """Root mean square of a line [m/s2] whose top stands so far over the floor [per order]."""
        return math.sqrt(max(excess, 0.0) * HANN_NOISE / self.turns)


@lru_cache(maxsize=256)
def _limit_ratio(chance: float, independent: float) -> float:
    low, high = 1.0, 200.0
    for _ in range(40):
        middle = (low + high) / 2.0
        rarer = mean_square_tail(middle, independent) <= chance
        low, high = (low, middle) if rarer else (middle, high)
    return high


def lengths(pieces: Sequence[Turned], wheel_hz: float) -> list[int]:
    """Segment lengths to try [samples], short to long; lengths that transform fast."""
    if not pieces:
        return []
    a_turn = pieces[0].a_turn
    longest = max(len(piece.shake) for piece in pieces)
    most = min(2.0 * longest / (FEWEST_SEGMENTS + 1), LONGEST_S * wheel_hz * a_turn)
    found, length = [], SHORTEST_S * wheel_hz * a_turn
    while length <= most:
        found.append(fast_length(round(0.85 * length)))
        length *= 2.0
    return [length for length in found if length <= most]


def fine_of(pieces: Sequence[Turned], length: int, half: float) -> Fine | None:
    """Fine spectrum from half-overlapping segments; None with under three.

    Parameters
    ----------
    pieces : near one order, all with as many samples a turn.
    length : samples in a segment.
    half : orders to look at on either side of the middle [unitless].
    """
    a_turn = pieces[0].a_turn
    half_length = max(length // 2, 1)
    length = 2 * half_length
    # One-sided density of a real shake whose complex amplitude is a half of its own: twice.
    scale = 2.0 / (a_turn * HANN_SQUARED * length)
    turns = length / a_turn
    reach = min(math.ceil((half * turns + FAR[1] + 2.0) * PADDED), length - 1 - PADDED)
    long_enough = [piece for piece in pieces if len(piece.shake) >= length]
    if sum(len(piece.shake) // half_length - 1 for piece in long_enough) < FEWEST_SEGMENTS:
        return None
    segments = np.concatenate([_powers(piece.shake, half_length, reach) for piece in long_enough])
    segments *= scale
    level = _medians(segments)
    level = np.maximum(level, 1e-12 * float(level.max()) + 1e-300)
    segments /= level[:, None]
    mean = segments.mean(axis=0)
    bins = np.arange(-reach, reach + 1)
    return Fine(turns, bins / (PADDED * turns), mean / near_floor(mean), segments, level,
                [piece.speed_ms for piece in long_enough], length)


def _powers(shake: Complex, half_length: int, reach: int) -> Real:
    """(k, 2 reach + 1) power of half-overlapping Hann segments, its axes summed [(m/s2)^2]."""
    if reach <= MOST_SUMMED and half_length * reach <= MOST_WAVES:
        return _summed(shake, half_length, reach)
    return _transformed(shake, half_length, reach)


def _summed(shake: Complex, half_length: int, reach: int) -> Real:
    """Each bin by itself, its cosines and sines times the samples: less work while they are few.

    A segment's two halves are laid on each other about its middle, since cosines are even there
    and sines odd; the first sample has no weight.
    """
    cut = np.lib.stride_tricks.sliding_window_view(
        shake, 2 * half_length, axis=0)[::half_length]
    ahead, behind = cut[..., half_length + 1:], cut[..., half_length - 1:0:-1]
    even, odd = np.empty((2, *cut.shape[:2], half_length)), np.empty((2, *ahead.shape))
    for part, whole, one, other in ((0, cut.real, ahead.real, behind.real),
                                    (1, cut.imag, ahead.imag, behind.imag)):
        even[part, ..., 0] = whole[..., half_length]
        np.add(one, other, out=even[part, ..., 1:])
        np.subtract(one, other, out=odd[part])
    cosines, sines = _waves(half_length, -(-reach // MOST_ALIKE) * MOST_ALIKE)[..., : reach + 1]
    shape = (2, *cut.shape[:2], reach + 1)
    cos = (even.reshape(-1, half_length) @ cosines).reshape(shape)
    sin = (odd.reshape(-1, half_length - 1) @ sines[1:]).reshape(shape)
    both = np.einsum("pkam,pkam->km", cos, cos) + np.einsum("pkam,pkam->km", sin, sin)
    apart = np.einsum("kam,kam->km", cos[0], sin[1])
    apart -= np.einsum("kam,kam->km", cos[1], sin[0])
    apart *= 2.0
    found = np.empty((len(cut), 2 * reach + 1))
    found[:, reach:] = both + apart
    found[:, reach::-1] = both - apart
    return found


@lru_cache(maxsize=64)  # every order and lag is looked at through the same few
def _waves(half_length: int, reach: int) -> Real:
    """(2, n, reach + 1) cosines and sines of the bins from zero up, from the middle of a window."""
    length = 2 * half_length
    window = 0.5 + 0.5 * np.cos(2.0 * np.pi * np.arange(half_length) / length)
    angles = 2.0 * np.pi * np.arange(PADDED * length) / (PADDED * length)
    place = np.outer(np.arange(half_length), np.arange(reach + 1)) % (PADDED * length)
    return np.asarray(window[:, None] * np.stack([np.cos(angles)[place], np.sin(angles)[place]]))


def _transformed(shake: Complex, half_length: int, reach: int) -> Real:
    """Every half of a segment is transformed once and serves both segments that it is part of.

    A Hann window, laid on afterwards, weighs a bin with those a plain bin away on either side.
    """
    wide = reach + PADDED
    count = len(shake) // half_length
    halves = shake[: count * half_length].reshape(count, half_length, -1).transpose(0, 2, 1)
    spectrum = np.fft.fft(halves, 2 * PADDED * half_length, axis=-1)
    found = np.concatenate([spectrum[..., -wide:], spectrum[..., : wide + 1]], axis=-1)
    whole = found[1:] * np.exp((-1j * np.pi / PADDED) * np.arange(-wide, wide + 1))
    whole += found[:-1]
    held = 0.5 * whole[..., PADDED:-PADDED]
    held -= 0.25 * (whole[..., : -2 * PADDED] + whole[..., 2 * PADDED:])
    return np.asarray((held.real**2 + held.imag**2).sum(axis=1))


def _medians(rows: Real) -> Real:
    """(k,) median of each row of (k, m)."""
    middle = rows.shape[1] // 2
    if rows.shape[1] % 2:
        return np.asarray(np.partition(rows, middle, axis=1)[:, middle])
    pair = np.partition(rows, (middle - 1, middle), axis=1)[:, middle - 1: middle + 1]
    return np.asarray(pair.mean(axis=1))


def near_floor(power: Real) -> Real:
    """(..., m) what the floor under a line would be, from the bins near it on both sides."""
    total = np.zeros((*power.shape[:-1], power.shape[-1] + 1))
    np.cumsum(power, axis=-1, out=total[..., 1:])
    near, far = _beside(total, *NEAR), _beside(total, *FAR)
    fall = np.log(np.maximum(near, 1e-300)) - np.log(np.maximum(far, 1e-300))
    return np.asarray(near * np.exp(CURVE * np.maximum(fall, 0.0)))


def _means(values: Real, length: int, hop: int) -> Real:
    """Mean of each segment of so many values, a hop apart."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    return np.asarray((total[length:] - total[:-length])[::hop] / length)


def _beside(total: Real, first: float, last: float) -> Real:
    """Mean over the bins so far away on both sides, of their running sum from nought (..., m + 1);
    at the ends over those there are."""
    left, right, held = _reaches(
        total.shape[-1] - 1, round(first * PADDED), round(last * PADDED))
    whole = (total[..., left[1]] - total[..., left[0]]
             + total[..., right[1]] - total[..., right[0]])
    return np.asarray(whole / held)


@lru_cache(maxsize=256)
def _reaches(count: int, inner: int, outer: int) -> tuple[Index, Index, Index]:
    """From and to of the bins beside each of so many, left and right, and how many they are."""
    place = np.arange(count)
    left = np.clip([place - outer, place - inner + 1], 0, count)
    right = np.clip([place + inner, place + outer + 1], 0, count)
    held = left[1] - left[0] + right[1] - right[0]
    return left, right, np.maximum(held, 1)
