"""What a record holds near one wheel order, brought down to zero frequency and cut to few samples.

The shake near order k turns into a slow complex number: multiplied by exp(-2 pi i k turns), low
passed, and kept some 32 times a second. What keeps step with the wheel at exactly k then stands
still; a place of k (1 + e) goes round k e times a wheel turn. The samples are put at even steps
of wheel angle, so that all this holds while the speed changes.

Assumption: what is looked for lies within 12 Hz of the order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.record.even import EvenRecord, Stretch
from vibecheck.metrology.record.regrid import POINTS, Between, between_even

Real = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

SLOW_HZ = 32.0  # samples kept a second, about
TAPS = 8  # of the low pass, in kept samples
PASS_SHARE = 0.4  # of the kept rate: half width of the band that passes
VISIBLE_SHARE = 0.45  # of the sampling rate; above it the phone's own filter and folding set in
MOST_S, PART_S = 900.0, 120.0  # of a drive that is looked at, and of a part of a longer one
SHORTEST_RUN_S = 4.0


@dataclass(frozen=True, eq=False)
class Steps:
    """How samples at even steps of wheel angle follow from slow ones at even steps of time.

    Attributes
    ----------
    way_m, true_way_m : (m,) at the slow samples, by the speed shown and by it put right [m].
    between : from the slow samples to even steps of angle.
    speed_ms : at those steps [m/s].
    """

    way_m: Real
    true_way_m: Real
    between: Between
    speed_ms: Real


@dataclass(frozen=True, eq=False)
class Run:
    """A stretch of driving without gap, faster than some speed and slower than another.

    Attributes
    ----------
    rate_hz : samples a second.
    acceleration : (n, 3) [m/s2].
    speed_ms : (n,) shown [m/s].
    way_m : (n,) since the start of the run, by the speed shown [m].
    steps : worked out before, the same for every order: by way in a turn, samples a turn, lag.
    """

    rate_hz: float
    acceleration: npt.NDArray[np.floating]
    speed_ms: npt.NDArray[np.floating]
    way_m: Real
    steps: dict[tuple[float, float, float], Steps] = field(default_factory=dict, repr=False)


@dataclass(frozen=True, eq=False)
class Slowed:
    """A run near one order: (m, 3) slow complex shake at times (m,) [s] from the run's start."""

    run: Run
    order: float
    time_s: Real
    shake: Complex


@dataclass(frozen=True, eq=False)
class Turned:
    """The slow shake (m, 3) at even steps of wheel angle, with the speed there (m,) [m/s]."""

    a_turn: float
    shake: Complex
    speed_ms: Real


def runs_between(record: EvenRecord, slowest_ms: float, fastest_ms: float) -> list[Run]:
    """Runs of the record between two speeds [m/s].

    Of a long drive some minutes here and there are taken, evenly over all of it: more would tell
    little more.
    """
    places = [(piece, start, end) for piece in record.stretches
              for start, end in _places(piece, slowest_ms, fastest_ms, record.rate_hz)]
    total_s = sum(end - start for _, start, end in places) / record.rate_hz
    if total_s > MOST_S:
        parted = [(piece, a, b) for piece, start, end in places
                  for a, b in _cut(start, end, math.ceil((end - start) / record.rate_hz / PART_S))]
        places = parted[:: math.ceil(total_s / MOST_S)]
    return [_run(record.rate_hz, piece.acceleration[start:end], piece.speed_ms[start:end])
            for piece, start, end in places
            if piece.speed_ms is not None and end - start >= SHORTEST_RUN_S * record.rate_hz]


def _places(
    piece: Stretch, slowest_ms: float, fastest_ms: float, rate_hz: float
) -> list[tuple[int, int]]:
    """From and to of the samples of a stretch between two speeds."""
    if piece.speed_ms is None:
        return []
    inside = (piece.speed_ms >= slowest_ms) & (piece.speed_ms <= fastest_ms)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(np.int8)))
    return [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)
            if last - first >= SHORTEST_RUN_S * rate_hz]


def slowed(run: Run, order: float, circumference_m: float) -> Slowed:
    """The shake near an order as a slow complex number; an amplitude of 1 gives a half.

    Parameters
    ----------
    run : at least 4 s long.
    order : of the wheel [unitless].
    circumference_m : way in a wheel turn that the order counts by [m].
    """
    every = max(int(run.rate_hz / SLOW_HZ), 1)
    half = TAPS * every // 2
    weights = _low_pass(half, PASS_SHARE / every)
    carrier = np.exp((-2j * math.pi * order / circumference_m) * run.way_m)
    kept = (len(carrier) - 2 * half - 1) // every + 1
    shake = np.empty((kept, 3), dtype=np.complex128)
    for axis in range(3):
        down = carrier * run.acceleration[:, axis]
        shake[:, axis] = np.lib.stride_tricks.sliding_window_view(
            down, 2 * half + 1)[::every] @ weights
    return Slowed(run, order, (half + every * np.arange(kept)) / run.rate_hz, shake)


def turned(slow: Slowed, circumference_m: float, a_turn: float, lag_s: float) -> Turned:
    """The slow shake at even steps of the wheel's angle, the lag of the speed taken off.

    Parameters
    ----------
    slow : from `slowed`, with the same circumference [m].
    a_turn : samples in a wheel turn.
    lag_s : the speed shown is that of so long ago [s].
    """
    if len(slow.time_s) < POINTS:
        return Turned(a_turn, np.empty((0, 3), dtype=np.complex128), np.empty(0))
    key = circumference_m, a_turn, lag_s
    known = slow.run.steps
    steps = known[key] if key in known else known.setdefault(key, _steps(slow, *key))
    shake = slow.shake
    if lag_s:
        ahead = steps.true_way_m - steps.way_m
        shake = shake * np.exp((-2j * math.pi * slow.order / circumference_m) * ahead)[:, None]
    values = steps.between.of(np.ascontiguousarray(shake).view(np.float64))
    return Turned(a_turn, np.ascontiguousarray(values).view(np.complex128), steps.speed_ms)


def _steps(slow: Slowed, circumference_m: float, a_turn: float, lag_s: float) -> Steps:
    run = slow.run
    clock = np.arange(len(run.way_m)) / run.rate_hz
    way = np.interp(slow.time_s, clock, run.way_m)
    true_way = way
    speed = np.interp(slow.time_s + lag_s, clock, run.speed_ms)
    if lag_s:
        true_way = _way_ahead(slow.time_s + lag_s, clock, run)
    turns = true_way / circumference_m
    grid = np.arange(turns[0], turns[-1], 1.0 / a_turn)
    at = np.interp(grid, turns, slow.time_s)
    kept_hz = (len(slow.time_s) - 1) / (slow.time_s[-1] - slow.time_s[0])
    steps = between_even((at - slow.time_s[0]) * kept_hz, len(slow.time_s))
    return Steps(way, true_way, steps, np.interp(at, slow.time_s, speed))


def fewest_a_turn(runs: Sequence[Run], circumference_m: float) -> float:
    """Samples in a wheel turn that lose nothing at the slowest speed of some runs."""
    slowest = min(float(run.speed_ms.min()) for run in runs)
    return SLOW_HZ * circumference_m / slowest


def _way_ahead(at: Real, clock: Real, run: Run) -> Real:
    """Way at later times; past the end of the run the last speed is held."""
    over = np.maximum(at - clock[-1], 0.0)
    way = np.interp(at, clock, run.way_m) + over * float(run.speed_ms[-1])
    return np.asarray(way)


def _run(
    rate: float, acceleration: npt.NDArray[np.floating], speed: npt.NDArray[np.floating]
) -> Run:
    middle = (speed[1:].astype(np.float64) + speed[:-1]) / (2.0 * rate)
    return Run(rate, acceleration, speed, np.concatenate([[0.0], np.cumsum(middle)]))


def _cut(first: int, last: int, parts: int) -> list[tuple[int, int]]:
    edges = np.linspace(first, last, parts + 1).astype(int)
    return [(int(a), int(b)) for a, b in zip(edges, edges[1:], strict=False)]


def _low_pass(half: int, cutoff: float) -> Real:
    """Windowed sinc of 2 half + 1 taps, cutoff in cycles a sample."""
    at = np.arange(-half, half + 1)
    taps = np.sinc(2.0 * cutoff * at) * (0.5 + 0.5 * np.cos(np.pi * at / (half + 1)))
    return np.asarray(taps / taps.sum())
