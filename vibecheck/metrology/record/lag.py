"""How late the speed is: the lag that lets a line stand still in an up-and-down sweep.

A position sensor shows the speed of a second or so ago. While the car gains speed the wheel then
turns faster than shown, while it loses speed slower, so that a line is smeared; put right by the
true lag it is sharp. Going up alone, a lag looks much like another scale, so it then stays open
and widens the scale instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from vibecheck.metrology.record.baseband import Run
from vibecheck.metrology.record.lines import FALSE_ALARM, Near, log_chance_of_best

LAGS_S = (0.0, 1.0, 2.0, 3.0)
FINER_S = (0.5, 0.25, 0.125)
OPEN_S = 0.55  # standard uncertainty of a lag that could not be told [s]
HELD_SHARE = 7e-4  # standard uncertainty of the mean speed where one speed was held and typed, from
# a foot that wanders by some tenths of a percent [share of 1]
GAIN = 6.9  # natural logarithm of how much less likely noise must be with the lag taken off
LEAST_CHANGE = 0.05  # m/s2 of speeding up or slowing down that counts as such
BOTH_WAYS = 0.15  # share of the time in each direction
TRIES = 4  # independent looks that all lags tried are worth


@dataclass(frozen=True)
class Lag:
    """The lag of the speed shown.

    Attributes
    ----------
    seconds : taken off [s].
    known : whether an up-and-down sweep told it.
    open_share : standard uncertainty of the scale from a lag that was not told [share of 1].
    tries : looks that it took.
    """

    seconds: float
    known: bool
    open_share: float
    tries: int = 1


def lag_of(
    nears: Mapping[float, Near | None], windows: Mapping[float, tuple[float, float]],
    runs: Sequence[Run],
) -> Lag:
    """The lag under which lines stand out most.

    Parameters
    ----------
    nears, windows : by order, as for `best_line`.
    runs : the driving, for whether it went up and down.
    """
    up, down, share = _changes(runs)
    if max(up, down) < BOTH_WAYS:
        return Lag(0.0, False, share * OPEN_S)
    both = min(up, down) >= BOTH_WAYS
    every = {(lag, order): _score(near, windows[order], lag)
             for lag in LAGS_S for order, near in nears.items() if near is not None}
    if not every:
        return Lag(0.0, False, share * OPEN_S)
    best, order = max(every, key=lambda each: every[each])
    scores = {lag: max(every[lag, each] for each in nears if (lag, each) in every)
              for lag in LAGS_S}
    for step in FINER_S:
        for lag in (best - step, best + step):
            near = nears[order]
            if lag >= 0.0 and near is not None:
                scores[lag] = _score(near, windows[order], lag)
        best = max(scores, key=lambda lag: scores[lag])
    if scores[best] < scores[0.0] + GAIN:
        told = both and scores[0.0] > -math.log(FALSE_ALARM)
        return Lag(0.0, told, 0.0 if told else share * OPEN_S, TRIES)
    return Lag(best, both, 0.0 if both else share * OPEN_S, TRIES)


def _score(near: Near, window: tuple[float, float], lag_s: float) -> float:
    """How unlikely noise is to show the surest line [natural logarithm]."""
    return -log_chance_of_best(near, window, lag_s)


def _changes(runs: Sequence[Run]) -> tuple[float, float, float]:
    """Share of the time speeding up, slowing down, and mean relative change a second [1/s]."""
    up = down = total = 0.0
    changes = 0.0
    for run in runs:
        every = max(round(2.0 * run.rate_hz), 1)
        speed = run.speed_ms[::every].astype(np.float64)
        if len(speed) < 2:
            continue
        change = np.diff(speed) * run.rate_hz / every
        up += float((change > LEAST_CHANGE).sum())
        down += float((change < -LEAST_CHANGE).sum())
        changes += float((np.abs(change) / speed[:-1]).sum())
        total += len(change)
    if total == 0.0:
        return 0.0, 0.0, 0.0
    return up / total, down / total, changes / total
