"""Lines that keep step with the wheel: found near one order, and held against the speed.

A line counts if noise would show such a top anywhere in the window, in any of the segment lengths
and lags tried, less than once in so many records. It is then looked for again in each band of
speed by itself, at the same order: what turns stands there in every band, what rings or hums at a
fixed frequency (or folds down from above half the sampling rate) does not.

References
----------
1. JCGM 100:2008: effective degrees of freedom (see `peaks`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from vibecheck.distributions import mean_square_log_tail, mean_square_tail
from vibecheck.metrology.record.baseband import (
    Run,
    Slowed,
    Turned,
    fewest_a_turn,
    slowed,
    turned,
)
from vibecheck.metrology.record.fine import PADDED, Fine, fine_of, lengths

Real = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

Look = tuple[list[Turned], list[Fine]]

FALSE_ALARM = 1e-4  # chance that noise alone shows a line in one window
PHASE_DRIFT = 0.15  # standard uncertainty of how far the phase drifts over a record, through
# resonances that are passed and the error of the speed's sum [turns of the order]
IN_A_BAND = 0.02  # chance that noise alone shows the line again in one band of speed
BAND_SHARE = 1.06  # a band of speed is at least so wide, and two bands so far apart
MOST_BANDS = 4
PHASE_SHARE, FEWEST_PHASE_TURNS = 4, 8  # of a segment: turns whose phase is held to the next's


@dataclass(frozen=True, eq=False)
class Near:
    """All that is needed to look near one order: the slow runs there and the samples a turn.

    `looks` are those taken before, by window.
    """

    order: float
    circumference_m: float
    slow: tuple[Slowed, ...]
    a_turn: float
    wheel_hz: float
    looks: dict[tuple[float, float], Look] = field(default_factory=dict, repr=False)


@dataclass(frozen=True, eq=False)
class Line:
    """The best line in a window.

    Attributes
    ----------
    order : where it stands [wheel turns by tire and speed as shown].
    chance : that noise alone shows such a top anywhere in the window [0 to 1].
    over_floor : power over the floor beside it [unitless].
    rms : of the line [m/s2].
    u_order, u_rms : standard uncertainties.
    width : half-power width [orders]; allowed : what the record's length allows [orders].
    steadiness : how well the phase keeps step from segment to segment [0 to 1].
    bands_kmh : lowest and highest speed of each band in which it was seen by itself [km/h].
    bands_tried : bands in which it was looked for.
    fine : the spectrum it was found in.
    """

    order: float
    chance: float
    over_floor: float
    rms: float
    u_order: float
    u_rms: float
    width: float
    allowed: float
    steadiness: float
    bands_kmh: tuple[tuple[float, float], ...]
    bands_tried: int
    fine: Fine

    @property
    def found(self) -> bool:
        """Whether it is more than noise."""
        return self.chance < FALSE_ALARM

    @property
    def keeps_step(self) -> bool:
        """Whether it was seen at more than one speed."""
        return self.found and _reach(self.bands_kmh) > BAND_SHARE


def near_order(runs: Sequence[Run], order: float, circumference_m: float) -> Near | None:
    """The runs slowed down near an order; None without a run."""
    if not runs:
        return None
    time = sum(len(run.way_m) / run.rate_hz for run in runs)
    way = sum(float(run.way_m[-1]) for run in runs)
    return Near(order, circumference_m,
                tuple(slowed(run, order, circumference_m) for run in runs),
                fewest_a_turn(runs, circumference_m), way / time / circumference_m)


def turned_near(near: Near, lag_s: float) -> list[Turned]:
    """The slow runs at even steps of angle."""
    return [turned(slow, near.circumference_m, near.a_turn, lag_s) for slow in near.slow]


def best_line(
    near: Near, window: tuple[float, float], lag_s: float = 0.0, tries: int = 1
) -> Line | None:
    """The line that stands out most in a window of orders; None where no segment fits.

    Parameters
    ----------
    near : the record near an order.
    window : from and to [wheel orders].
    lag_s : of the speed shown [s].
    tries : how many such looks are taken, all of which are paid for.
    """
    pieces, spectra = _looked_at(near, window, lag_s)
    found = _best_top(near, spectra, window, tries)
    if found is None:
        return None
    chance, fine, top = found
    offset = _top_between(fine, top)
    bands, tried = max((_bands(each, offset, len(spectra)) for each in spectra),
                       key=lambda each: (_reach(each[0]), len(each[0])))
    return _line(near, pieces, math.exp(chance), fine, top, offset, bands, tried)


def log_chance_of_best(near: Near, window: tuple[float, float], lag_s: float) -> float:
    """Natural logarithm of the chance alone of the line that `best_line` finds; 0 without one."""
    found = _best_top(near, _looked_at(near, window, lag_s)[1], window, 1)
    return 0.0 if found is None else found[0]


def _looked_at(near: Near, window: tuple[float, float], lag_s: float) -> Look:
    """The turned runs and their spectra; those without a lag, mostly used again, are kept."""
    if lag_s == 0.0 and window in near.looks:
        return near.looks[window]
    pieces = turned_near(near, lag_s)
    look = pieces, _spectra(near, pieces, window)
    if lag_s == 0.0:
        near.looks[window] = look
    return look


def _spectra(
    near: Near, pieces: Sequence[Turned], window: tuple[float, float]
) -> list[Fine]:
    half = max(window[1] - near.order, near.order - window[0])
    return [fine for length in lengths(pieces, near.wheel_hz)
            if (fine := fine_of(pieces, length, half)) is not None]


def _best_top(
    near: Near, spectra: Sequence[Fine], window: tuple[float, float], tries: int
) -> tuple[float, Fine, int] | None:
    """Logarithm of the chance, spectrum and bin of the top that stands out most."""
    found: tuple[float, Fine, int] | None = None
    for fine in spectra:
        inside = np.flatnonzero((near.order + fine.offset >= window[0])
                                & (near.order + fine.offset <= window[1]))
        if len(inside) == 0:
            continue
        top = int(inside[np.argmax(fine.ratio[inside])])
        chance = mean_square_log_tail(float(fine.ratio[top]), fine.independent)
        chance += math.log(max(len(inside) / PADDED, 1.0) * len(spectra) * tries)
        if found is None or chance < found[0]:
            found = min(chance, 0.0), fine, top
    return found


def _line(
    near: Near, pieces: Sequence[Turned], chance: float, fine: Fine, top: int, offset: float,
    bands: tuple[tuple[float, float], ...], tried: int,
) -> Line:
    excess = float(fine.power[top] - fine.floor[top])
    rms = fine.rms_of(excess)
    ratio = float(fine.ratio[top])
    count = fine.independent
    # A tone in noise, over segments of known length: sqrt(6) / (pi length sqrt(2 signal count)).
    signal = max(ratio - 1.0, 0.1)
    u_order = math.sqrt(3.0 / (signal * count)) / (math.pi * fine.turns)
    turns = sum(len(piece.shake) for piece in pieces) / near.a_turn
    u_order = math.hypot(u_order, PHASE_DRIFT / turns)
    u_rms = rms * math.sqrt(2.0 / (signal * count)) / 2.0 if rms > 0.0 else 0.0
    return Line(near.order + offset, chance, ratio, rms, u_order, u_rms,
                _width(fine, top), fine.width, _steadiness(pieces, offset, fine.turns), bands,
                tried, fine)


def _top_between(fine: Fine, top: int) -> float:
    """Place of a top between its bins: parabola through the logarithms of three."""
    if not 0 < top < len(fine.offset) - 1:
        return float(fine.offset[top])
    a, b, c = np.log(np.maximum(fine.power[top - 1: top + 2], 1e-300))
    bend = a - 2.0 * b + c
    shift = 0.5 * (a - c) / bend if bend < 0.0 else 0.0
    step = float(fine.offset[1] - fine.offset[0])
    return float(fine.offset[top]) + float(np.clip(shift, -0.5, 0.5)) * step


def _width(fine: Fine, top: int) -> float:
    """Half-power width over the floor [orders]."""
    half = (fine.power[top] - fine.floor[top]) / 2.0 + fine.floor[top]
    step = float(fine.offset[1] - fine.offset[0])
    reach = 0.0
    for direction in (-1, 1):
        place = top
        while 0 < place < len(fine.power) - 1 and fine.power[place] > half:
            place += direction
        inner, outer = fine.power[place - direction], fine.power[place]
        share = (inner - half) / (inner - outer) if inner > outer else 1.0
        reach += (abs(place - direction - top) + float(np.clip(share, 0.0, 1.0))) * step
    return reach


def _reach(bands: Sequence[tuple[float, float]]) -> float:
    """How many times faster the middle of the fastest band is than that of the slowest."""
    centers = [math.sqrt(low * high) for low, high in bands]
    return max(centers, default=1.0) / min(centers, default=1.0)


def _bands(
    fine: Fine, offset: float, tries: int
) -> tuple[tuple[tuple[float, float], ...], int]:
    """Bands of speed in which the line stands by itself, and how many were looked at."""
    top = int(np.argmin(np.abs(fine.offset - offset)))
    speed = fine.speed_ms
    low, high = float(speed.min()), float(speed.max())
    count = min(int(math.log(high / low) / math.log(BAND_SHARE)), MOST_BANDS)
    if count < 2:
        return ((low * 3.6, high * 3.6),), 1
    edges = np.geomspace(low, high * 1.000001, count + 1)
    which = np.clip(np.searchsorted(edges, speed, side="right") - 1, 0, count - 1)
    seen, tried = [], 0
    for band in range(count):
        rows = fine.segments[which == band]
        if len(rows) == 0:
            continue
        tried += 1
        mean = rows[:, max(top - 40, 0): top + 41].mean(axis=0)
        place = min(top, 40)
        if mean_square_tail(_ratio_at(mean, place), max(len(rows) * 0.9, 1.0)) * tries < IN_A_BAND:
            inside = speed[which == band]
            seen.append((float(inside.min()) * 3.6, float(inside.max()) * 3.6))
    return tuple(seen), tried


def _ratio_at(power: Real, place: int) -> float:
    """Power over the mean of the bins near it."""
    reach = np.arange(3 * PADDED, 10 * PADDED + 1)
    beside = np.concatenate([place - reach, place + reach])
    beside = beside[(beside >= 0) & (beside < len(power))]
    floor = float(power[beside].mean())
    return float(power[place - 1: place + 2].max()) / floor if floor > 0.0 else 0.0


def _steadiness(pieces: Sequence[Turned], offset: float, turns: float) -> float:
    """How well the phase at the line goes on from each group of turns to the next [0 to 1]."""
    ahead, size = 0j, 0.0
    group = max(turns / PHASE_SHARE, FEWEST_PHASE_TURNS)
    for piece in pieces:
        length = round(group * piece.a_turn)
        count = len(piece.shake) // length
        if count < 2:
            continue
        steps = np.arange(count * length) / piece.a_turn
        still = piece.shake[: count * length] * np.exp(-2j * np.pi * offset * steps)[:, None]
        groups = still.reshape(count, length, 3).sum(axis=1)
        ahead += complex((groups[1:] * groups[:-1].conj()).sum())
        sizes = np.sqrt((np.abs(groups) ** 2).sum(axis=1))
        size += float((sizes[1:] * sizes[:-1]).sum())
    return abs(ahead) / size if size > 0.0 else 0.0
