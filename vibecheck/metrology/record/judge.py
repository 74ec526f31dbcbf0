"""Every order that a part of this car has, judged: does something stand there that keeps step?

Not the strongest peak but every order is looked at by itself, so that an oval under a hump is
found; one scale holds for all of them, so that two lines 6 % apart are not both the same part; a
line that a part explains keeps step only if it is narrow, phase-steady and seen at more than one
speed. What could not be seen at this rate, speed or floor is said to be so, and never speaks
against a part.

Assumption: a driveline in one gear throughout, no slip.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.orders.rotating_parts import OrderLine, Part
from vibecheck.metrology.record.baseband import Run, runs_between
from vibecheck.metrology.record.even import EvenRecord
from vibecheck.metrology.record.lag import HELD_SHARE, Lag, lag_of
from vibecheck.metrology.record.lines import FALSE_ALARM, Line, Near, best_line, near_order
from vibecheck.metrology.record.scale import (
    GRID,
    LineSeen,
    Prior,
    Scale,
    elsewhere,
    interval_of_order,
    match,
    scale_of,
    stated_scale,
    widened,
)
from vibecheck.metrology.record.visible import fastest_for

Real = npt.NDArray[np.float64]

SLOWEST_KMH = 20.0
STEADY_WIDTH = 1.6  # times the width allowed; a wider top is no line
STEADY_PHASE = 0.22  # least steadiness of the phase from segment to segment
SURE = 0.8  # confidence from which a part is named
RATHER = 0.5  # confidence below which a line is rather another's
CLEAR_RMS = 0.05  # m/s2; a record that would show this much speaks against a part
STEADY_ALARM = 1e-6  # chance that noise shows a line, where no other speed can bear it out
LISTED_RMS = 0.0005  # m/s2; a fainter line is not listed
NEAR_SCALE = 2.0  # half widths of the scale's interval in which a part is looked for again
MOST_UNLISTED = 4
SWEEP_FROM, SWEEP_TO = 0.75, 1.15  # of the speed driven: the sweep that would prove a line


class OrderVerdict(StrEnum):
    """What a record says of one order of one part."""

    KEEPS_STEP = "keeps_step"  # narrow, phase-steady, at more than one speed
    FITS = "fits"  # a line there, from one steady speed only
    ONE_SPEED = "one_speed"  # a line there at one speed, gone at the others that were driven
    UNSURE = "unsure"  # a line there that another part or nothing known explains as well
    ABSENT = "absent"  # what people feel would have been seen; nothing there
    COVERED = "covered"  # the road or a resonance is louder there than what people feel
    UNSEEN = "unseen"  # above half the sampling rate, or too little driving at a fit speed


class SettledBy(StrEnum):
    """What would settle it."""

    SWEEP = "sweep"  # a slow sweep between two speeds
    OTHER_GEAR = "other_gear"  # the same speed in another gear
    FASTER_RATE = "faster_rate"  # more samples a second
    LONGER = "longer"  # a longer record, or a smoother road


@dataclass(frozen=True)
class PartOrder:
    """An order of a part: what turns, how often it shakes in its turn, and in a wheel turn."""

    part: Part
    order: float
    per_wheel_turn: float


@dataclass(frozen=True, eq=False)
class JudgedOrder:
    """What a record says of one order.

    Attributes
    ----------
    turning : the order.
    verdict : what it says.
    confidence : that the line is this part's and not another's [0 to 1]; 0 without a line.
    line : the line found, or None.
    order, low, high : the line's order, put right by the scale that tire and speed let expect,
        and its 95 % interval [wheel orders]; None without a line.
    limit_rms : a shake from here on would have been found [m/s2]; inf where unseen.
    seen_kmh : speeds driven at which it could be seen [km/h], None where unseen.
    seen_to_kmh : up to this speed the rate shows it [km/h].
    rivals : other orders that stand in the same place.
    unknown : parts of unknown ratio that may stand there too.
    proof : what would settle it, or None.
    sweep_kmh : the sweep that would, if that is the proof [km/h].
    """

    turning: PartOrder
    verdict: OrderVerdict
    confidence: float
    line: Line | None
    order: float | None
    low: float | None
    high: float | None
    limit_rms: float
    seen_kmh: tuple[float, float] | None
    seen_to_kmh: float
    rivals: tuple[PartOrder, ...]
    unknown: tuple[Part, ...]
    proof: SettledBy | None
    sweep_kmh: tuple[float, float] | None

    @property
    def named(self) -> bool:
        """Whether this part is named as one that shakes."""
        return self.verdict in (OrderVerdict.KEEPS_STEP, OrderVerdict.FITS)


@dataclass(frozen=True, eq=False)
class Unlisted:
    """A line that keeps step, or fits, where no known part has an order."""

    line: Line
    verdict: OrderVerdict
    order: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class RecordJudgement:
    """All orders of a record judged.

    Attributes
    ----------
    orders : every order of the car, as asked.
    unlisted : lines that none of them explains.
    scale : one for all.
    lag : of the speed shown.
    swept : whether the speed changed enough to tell what turns from what does not.
    """

    orders: tuple[JudgedOrder, ...]
    unlisted: tuple[Unlisted, ...]
    scale: Scale
    lag: Lag
    swept: bool


def turning_of(lines: Sequence[OrderLine]) -> tuple[PartOrder, ...]:
    """The orders of a table that are geared to the wheels."""
    return tuple(PartOrder(line.part, line.order, line.per_wheel_turn)
                 for line in lines if line.geared)


def judge(
    record: EvenRecord, circumference_m: float, turning: Sequence[PartOrder], prior: Prior,
    elsewhere: Sequence[float] = (), unknown: Sequence[tuple[Part, float, float]] = (),
    speed_recorded: bool = True,
) -> RecordJudgement:
    """Judge every order of a car.

    Parameters
    ----------
    record : on an even grid, with speed.
    circumference_m : by which wheel turns are counted [m].
    turning : every order the car has.
    prior : of the scale, from tire and speed.
    elsewhere : further orders to look at, where a peak stands [wheel orders].
    unknown : parts of unknown ratio, with the orders between which they may stand.
    speed_recorded : False for a constant speed that was typed; then there is no lag.
    """
    room = _Room(record, circumference_m)
    orders = sorted({each.per_wheel_turn for each in turning})
    low, high = prior.window()
    windows = {order: (order * low, order * high) for order in orders}
    nears = {order: room.near(order) for order in orders}
    lag = lag_of(nears, windows, room.runs) if speed_recorded else Lag(0.0, False, HELD_SHARE)
    if lag.open_share > 0.0:
        prior = widened(prior, lag.open_share)
    first = {order: best_line(near, windows[order], lag.seconds, lag.tries)
             for order, near in nears.items() if near is not None}
    lines = _apart([line for line in first.values() if line is not None and _is_line(line)])
    others = _others(room, elsewhere, lines, lag)
    places = [_place(line, lag) for line in lines]
    scale, density = scale_of(prior, places, orders)
    task = _Task(room, prior, scale, orders, tuple(lines) + tuple(others), lag, tuple(unknown))
    found = {order: _line_at(task, order, first.get(order), nears[order]) for order in orders}
    judged = tuple(_judged(task, each, found[each.per_wheel_turn], turning) for each in turning)
    taken = [each.line for each in judged if each.line is not None]
    spare = tuple(_unlisted(prior, line) for line in _apart([*lines, *others])
                  if not any(_same(line, other) for other in taken))
    return RecordJudgement(judged, spare, stated_scale(scale, density), lag, room.swept)


class _Room:
    """A record's runs, and the orders that were looked at."""

    def __init__(self, record: EvenRecord, circumference_m: float) -> None:
        self.record, self.circumference_m = record, circumference_m
        self.runs = runs_between(record, SLOWEST_KMH / 3.6, math.inf)
        speeds = [run.speed_ms for run in self.runs]
        self.slowest_kmh = min((float(each.min()) for each in speeds), default=0.0) * 3.6
        self.fastest_kmh = max((float(each.max()) for each in speeds), default=0.0) * 3.6

    @property
    def swept(self) -> bool:
        return self.fastest_kmh > 1.12 * self.slowest_kmh > 0.0

    def runs_for(self, order: float) -> list[Run]:
        limit = fastest_for(self.record.rate_hz, order, self.circumference_m)
        if limit >= self.fastest_kmh:
            return self.runs
        return runs_between(self.record, SLOWEST_KMH / 3.6, limit / 3.6)

    def near(self, order: float) -> Near | None:
        return near_order(self.runs_for(order), order, self.circumference_m)


@dataclass(frozen=True, eq=False)
class _Task:
    """What the judging of one order needs."""

    room: _Room
    prior: Prior
    scale: Scale
    orders: Sequence[float]
    lines: tuple[Line, ...]
    lag: Lag
    unknown: tuple[tuple[Part, float, float], ...]


def _is_line(line: Line) -> bool:
    """Narrow, phase-steady, more than noise, and not gone at the other speeds driven."""
    return _is_narrow(line) and (line.keeps_step or line.bands_tried < 2)


def _is_narrow(line: Line) -> bool:
    sure = line.bands_tried >= 2 or line.chance < STEADY_ALARM
    return (line.found and sure and line.rms >= LISTED_RMS
            and line.width <= STEADY_WIDTH * line.allowed and line.steadiness >= STEADY_PHASE)


def _place(line: Line, lag: Lag) -> LineSeen:
    """Where a line stands; a lag that could not be told shifts it."""
    return LineSeen(line.order, math.hypot(line.u_order, lag.open_share * line.order))


def _same(one: Line, other: Line) -> bool:
    return abs(one.order - other.order) <= max(one.allowed, other.allowed) * 1.5


def _apart(lines: Sequence[Line]) -> list[Line]:
    """Each line once, the surest of those in one place."""
    kept: list[Line] = []
    for line in sorted(lines, key=lambda each: each.chance):
        if not any(_same(line, other) for other in kept):
            kept.append(line)
    return kept


def _others(room: _Room, elsewhere: Sequence[float], lines: list[Line], lag: Lag) -> list[Line]:
    """Lines where a peak stands that no window held."""
    found: list[Line] = []
    for order in elsewhere[:MOST_UNLISTED]:
        near = room.near(order)
        if near is None or any(abs(order - line.order) < 0.05 for line in [*lines, *found]):
            continue
        line = best_line(near, (order - 0.06, order + 0.06), lag.seconds, lag.tries)
        if line is not None and _is_line(line):
            found.append(line)
    return found


def _line_at(task: _Task, order: float, first: Line | None, near: Near | None) -> Line | None:
    """The line at an order by the scale of the record."""
    if near is None or first is None:
        return None
    scale = task.scale
    half = max(NEAR_SCALE * (scale.high - scale.low) / 2.0, 2e-3)
    window = order * (scale.value - half), order * (scale.value + half)
    if window[0] <= first.order <= window[1] and first.found:
        return first
    again = best_line(near, window, task.lag.seconds, task.lag.tries)
    return first if again is None else again


def _judged(
    task: _Task, each: PartOrder, line: Line | None, turning: Sequence[PartOrder]
) -> JudgedOrder:
    order = each.per_wheel_turn
    limit_kmh = fastest_for(task.room.record.rate_hz, order, task.room.circumference_m)
    if line is None:
        lacks = SettledBy.FASTER_RATE if limit_kmh < task.room.fastest_kmh else SettledBy.LONGER
        return JudgedOrder(each, OrderVerdict.UNSEEN, 0.0, None, None, None, None, math.inf, None,
                           limit_kmh, (), (), lacks, None)
    seen = task.room.slowest_kmh, min(task.room.fastest_kmh, limit_kmh)
    limit_rms = _limit(line, order, task.scale)
    confidence = _confidence(task, line, order)
    if not (_is_narrow(line) and confidence >= RATHER):
        clear = limit_rms <= CLEAR_RMS
        verdict = OrderVerdict.ABSENT if clear else OrderVerdict.COVERED
        return JudgedOrder(each, verdict, 0.0, None, None, None, None, limit_rms, seen,
                           limit_kmh, (), (), None if clear else SettledBy.LONGER, None)
    rivals = tuple(other for other in turning if other is not each
                   and abs(other.per_wheel_turn - order) * task.scale.value
                   < max(line.allowed, 0.01 * order))
    unknown = tuple(part for part, low, high in task.unknown if low <= line.order <= high)
    middle, low, high = interval_of_order(line.order, line.u_order, task.prior.stated)
    verdict = _verdict(line, confidence)
    proof, sweep = _proof(task, line, verdict, unknown)
    return JudgedOrder(each, verdict, confidence, line, middle, low, high, limit_rms, seen,
                       limit_kmh, rivals, unknown, proof, sweep)


def _verdict(line: Line, confidence: float) -> OrderVerdict:
    if line.bands_tried >= 2 and not line.keeps_step:
        return OrderVerdict.ONE_SPEED
    if confidence < SURE:
        return OrderVerdict.UNSURE
    return OrderVerdict.KEEPS_STEP if line.keeps_step else OrderVerdict.FITS


def _proof(
    task: _Task, line: Line, verdict: OrderVerdict, unknown: tuple[Part, ...]
) -> tuple[SettledBy | None, tuple[float, float] | None]:
    speed = float(line.fine.speed_ms.mean()) * 3.6
    if verdict in (OrderVerdict.FITS, OrderVerdict.ONE_SPEED) or (
            verdict is OrderVerdict.UNSURE and not task.room.swept):
        return SettledBy.SWEEP, (SWEEP_FROM * speed, SWEEP_TO * speed)
    if unknown:
        return SettledBy.OTHER_GEAR, None
    return None, None


def _confidence(task: _Task, line: Line, order: float) -> float:
    """That a line is of an order, the scale being what prior and all other lines say."""
    others = [_place(other, task.lag) for other in task.lines if not _same(line, other)]
    _, density = scale_of(task.prior, others, task.orders)
    place = _place(line, task.lag)
    every = sum((match(place, each) for each in task.orders), np.zeros(len(GRID)))
    mine = float((density * match(place, order)).sum())
    return mine / (float((density * every).sum()) + elsewhere(place))


def _limit(line: Line, order: float, scale: Scale) -> float:
    """A shake that would have been found at this order [m/s2]."""
    fine = line.fine
    half = max(order * (scale.high - scale.low) / 2.0, 4.0 * fine.width)
    inside = np.abs(fine.offset - order * (scale.value - 1.0)) <= half
    floor = float(np.median(fine.floor[inside]))
    ratio = fine.limit_ratio(FALSE_ALARM / max(int(inside.sum()), 1))
    return fine.rms_of(floor * (ratio - 1.0))


def _unlisted(prior: Prior, line: Line) -> Unlisted:
    middle, low, high = interval_of_order(line.order, line.u_order, prior.stated)
    verdict = OrderVerdict.KEEPS_STEP if line.keeps_step else OrderVerdict.FITS
    return Unlisted(line, verdict, middle, low, high)

