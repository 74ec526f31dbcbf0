"""The clock of a record: unit, order, repeated stamps, gaps, sampling rate and jitter.

Assumption: a stamp tells when its sample was taken. Where a phone stamps samples late and in
bursts, the jitter found here tells so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.columns import TIME_UNITS_S
from vibecheck.metrology.record.notes import RecordNote

Real = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]

SHORTEST_S = 4.0  # s
FEWEST_SAMPLES = 128
SLOWEST_HZ = 20.0
SLOW_HZ = 80.0  # below this the comfort weighting misses part of its band
SHORTEST_STEP_S, LONGEST_STEP_S = 0.0008, 0.25  # plausible sampling steps, 4 Hz to 1.25 kHz
SLOW_LOG_S = 5.0  # a step up to this long, in the unit that the header names, is believed
GAP_STEPS = 5.0  # a step this many times the usual one is a gap
MOST_BACKWARD = 0.01  # share of steps that may go back
MOST_REPEATED = 0.5  # share of stamps that may repeat the one before
PIECE, MOST_PIECES = 1 << 16, 16  # samples looked at once; pieces that the usual step is taken from
STEADY_JITTER = 0.02  # share of the step; below this the clock counts as steady


@dataclass(frozen=True)
class Clock:
    """A cleaned clock.

    Attributes
    ----------
    time_s : time from the first sample [s], rising.
    keep : which rows of the record these are, in this order; None for all as they are.
    rate_hz : usual sampling rate [Hz].
    jitter_s : standard deviation of the steps outside gaps [s].
    gaps : start and end of each gap [s].
    notes : what was assumed.
    warnings : what is wrong with it.
    """

    time_s: Real
    keep: Index | None
    rate_hz: float
    jitter_s: float
    gaps: tuple[tuple[float, float], ...]
    notes: tuple[Note, ...]
    warnings: tuple[Note, ...]


def clock_of(raw: Real, unit: str, where: str, in_place: bool = False) -> Clock:
    """Clean a clock column.

    Parameters
    ----------
    raw : the column (n,) [unit].
    unit : "s", "ms", "us", "ns", or "" to judge it by its usual step.
    where : the file, for complaints.
    in_place : whether the column may be overwritten.

    Raises
    ------
    RecordError : the clock stands still, runs backward, steps too coarsely or in no plausible
        unit, or the record is too short or sampled too slowly.
    """
    _refuse_few(len(raw), where)
    notes: list[Note] = []
    warnings: list[Note] = []
    keep = _rising(raw, where, warnings)
    if keep is not None:
        raw = raw[keep]
    _refuse_few(len(raw), where)
    usual = _usual_step(raw)
    chosen = unit if _plausible(usual, unit) else _unit_by_step(usual, unit, where)
    if chosen != unit:
        notes.append(note(RecordNote.TIME_UNIT_JUDGED, named=unit, taken=chosen))
    time_s = np.subtract(raw, float(raw[0]), out=raw if in_place else None)
    time_s *= TIME_UNITS_S[chosen]
    gaps, mean, jitter = _steps(time_s, GAP_STEPS * usual * TIME_UNITS_S[chosen])
    rate = 1.0 / mean
    _judge(time_s, rate, gaps, where, warnings)
    if jitter > STEADY_JITTER / rate:
        notes.append(note(RecordNote.CLOCK_JITTER, jitter_s=jitter))
    return Clock(time_s, keep, rate, jitter, gaps, tuple(notes), tuple(warnings))


def _refuse_few(count: int, where: str) -> None:
    if count < FEWEST_SAMPLES:
        raise RecordError(
            f"the record holds only {count} usable rows", where, "record at least 10 seconds"
        )


def _usual_step(raw: Real) -> float:
    """Median step of a rising clock, of a long one over evenly spread pieces of it."""
    pieces = np.array_split(raw, max(len(raw) // PIECE, 1))
    chosen = pieces[:: max(len(pieces) // MOST_PIECES, 1)]
    return float(np.median(np.concatenate([np.diff(piece) for piece in chosen])))


def _steps(time_s: Real, gap_s: float) -> tuple[tuple[tuple[float, float], ...], float, float]:
    """Gaps, and mean and standard deviation of the steps outside them [s]."""
    gaps: list[tuple[float, float]] = []
    count, total, squares = 0, 0.0, 0.0
    usual = float(time_s[-1]) / (len(time_s) - 1)
    for start in range(0, len(time_s) - 1, PIECE):
        part = time_s[start: start + PIECE + 1]
        steps = np.diff(part)
        wide = steps > gap_s
        gaps += [(float(part[i]), float(part[i + 1])) for i in np.flatnonzero(wide)]
        kept = steps[~wide] - usual
        count, total = count + len(kept), total + float(kept.sum())
        squares += float((kept**2).sum())
    mean = total / count
    return tuple(gaps), usual + mean, math.sqrt(max(squares / count - mean**2, 0.0))


def _rising(raw: Real, where: str, warnings: list[Note]) -> Index | None:
    """Which rows rise, in order; None if all do as they stand."""
    if (raw[1:] > raw[:-1]).all():
        return None
    steps = np.diff(raw)
    if not (steps != 0.0).any():
        raise RecordError("the clock never advances", where, "export a clock that counts")
    backward = int((steps < 0.0).sum())
    if backward > max(1, MOST_BACKWARD * len(steps)):
        raise RecordError(
            f"the clock runs backward {backward} times", where, "export the rows in time order"
        )
    order = np.argsort(raw, kind="stable")
    if backward:
        warnings.append(note(RecordNote.CLOCK_BACKWARD, count=backward))
    fresh = np.concatenate([[True], np.diff(raw[order]) > 0.0])
    repeated = int((~fresh).sum())
    if repeated > MOST_REPEATED * len(raw):
        raise RecordError(
            f"{repeated} of {len(raw)} rows repeat the time of the row before", where,
            "export a clock with at least millisecond steps",
        )
    if repeated:
        warnings.append(note(RecordNote.STAMPS_REPEATED, count=repeated))
    return np.asarray(order[fresh], dtype=np.intp)


def _plausible(step: float, unit: str) -> bool:
    return bool(unit) and SHORTEST_STEP_S <= step * TIME_UNITS_S[unit] <= LONGEST_STEP_S


def _unit_by_step(step: float, unit: str, where: str) -> str:
    fits = [name for name in TIME_UNITS_S if _plausible(step, name)]
    shown = f"{step:.3g} {unit}".strip()
    slow_log = unit != "" and LONGEST_STEP_S < step * TIME_UNITS_S[unit] <= SLOW_LOG_S
    if len(fits) == 1 and not slow_log:
        return fits[0]
    if slow_log:
        raise RecordError(
            f"the record has one sample every {shown}, too few to see a wheel turn", where,
            "record at 100 Hz or more",
        )
    raise RecordError(
        f"clock steps of {shown} fit no unit of time", where,
        "name the unit in the header, for example time (s)",
    )


def _judge(
    time_s: Real, rate: float, gaps: tuple[tuple[float, float], ...], where: str,
    warnings: list[Note],
) -> None:
    if rate < SLOWEST_HZ:
        raise RecordError(
            f"the record has only {rate:.0f} samples a second", where, "record at 100 Hz or more"
        )
    lost = sum(end - start for start, end in gaps)
    length = float(time_s[-1]) - lost
    if length < SHORTEST_S:
        raise RecordError(
            f"the record is only {length:.1f} s long", where, "record at least 10 seconds"
        )
    if rate < SLOW_HZ:
        warnings.append(note(RecordNote.SLOW_SAMPLING, rate_hz=rate))
    if gaps:
        warnings.append(note(RecordNote.GAPS, count=len(gaps), lost_s=lost))
