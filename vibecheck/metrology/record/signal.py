"""The numbers of a record: acceleration unit, gravity, dead or saturated sensor, speed.

Assumption: the phone keeps its place during the drive, so that the mean acceleration over the
record is gravity (a car's own speeding up and braking cancels over a drive).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.units.values import STANDARD_GRAVITY

Real = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.floating]

UNIT_M_S2 = {"m/s2": 1.0, "g": STANDARD_GRAVITY, "mg": STANDARD_GRAVITY / 1000.0}
SPEED_UNITS_M_S = {"m/s": 1.0, "km/h": 1.0 / 3.6, "mph": 1.609344 / 3.6}
GRAVITY_BAND = (8.3, 11.3)  # m/s2; a mean in here is gravity
REMOVED_BELOW = 2.0  # m/s2; a mean below this says that gravity was removed
LARGEST_M_S2 = 5_000.0
LARGEST_NUMBER = 1e7  # as written, whatever the unit
SATURATED_SHARE = 0.002  # of the samples at the limit: refused
SATURATED_COUNT = 10  # at least so many samples at the limit
BAND_SHARE, WIDEST_BAND_SHARE = 0.02, 0.1  # of the range: the band that a heap is compared with
BAND_STEPS = 5  # the band holds at least so many steps of the sensor
STEP_SAMPLES = 20_000  # samples looked at for the sensor's step
FASTEST_M_S = 110.0  # about 400 km/h
UNIT_WEIGHT = {"m/s": 0.6, "km/h": 0.25, "mph": 0.15}  # of speed columns without a unit, from
# memory: position sensors give m/s
TOP_KMH, TOP_SPREAD_KMH = 95.0, 35.0  # the highest speed of a drive that looks for a shake
AS_LIKELY = 0.25  # a unit so much as likely as the likeliest cannot be told from it
PIECE = 1 << 16  # samples looked at once


@dataclass(frozen=True)
class Signal:
    """Acceleration in m/s2.

    Attributes
    ----------
    acceleration : (n, 3) [m/s2].
    gravity : mean vector (3,) [m/s2] if the record contains gravity, else None.
    notes, warnings : what was assumed, and what is wrong with it.
    """

    acceleration: Numbers
    gravity: Real | None
    notes: tuple[Note, ...]
    warnings: tuple[Note, ...]


@dataclass(frozen=True)
class SpeedColumn:
    """Speed at every sample.

    Attributes
    ----------
    speed_ms : (n,) [m/s], or None where the column is blank.
    units : units that the column may be in, the one taken first; more than one where neither
        header nor numbers tell.
    notes : what was assumed.
    """

    speed_ms: npt.NDArray[np.float32] | None
    units: tuple[str, ...]
    notes: tuple[Note, ...]


def signal_of(raw: Numbers, unit: str, where: str) -> Signal:
    """Bring the axes to m/s2 and judge the sensor.

    Parameters
    ----------
    raw : (n, 3) [unit].
    unit : "m/s2", "g", "mg", or "" to judge it by gravity.
    where : the file, for complaints.

    Raises
    ------
    RecordError : an axis is constant, the sensor saturated, or the numbers are no acceleration.
    """
    _refuse_huge(_largest(raw), LARGEST_NUMBER, "", where)
    _refuse_dead(raw, where)
    notes: list[Note] = []
    warnings: list[Note] = []
    _judge_saturation(raw, where, warnings)
    mean = np.array([float(np.median(axis)) for axis in raw.T])
    still = float(np.linalg.norm(mean))
    chosen = _unit_by_gravity(still, unit, notes, where)
    size = still * UNIT_M_S2[chosen]
    acceleration = raw
    if UNIT_M_S2[chosen] != 1.0:
        acceleration = np.asarray(raw * raw.dtype.type(UNIT_M_S2[chosen]))
    _refuse_huge(_largest(acceleration), LARGEST_M_S2, " m/s2", where)
    if size < REMOVED_BELOW:
        notes.append(note(RecordNote.GRAVITY_REMOVED))
        return Signal(acceleration, None, tuple(notes), tuple(warnings))
    if not GRAVITY_BAND[0] <= size <= GRAVITY_BAND[1]:
        warnings.append(note(RecordNote.GRAVITY_UNSTEADY, mean_m_s2=size))
    else:
        notes.append(note(RecordNote.GRAVITY_INSIDE))
    return Signal(acceleration, mean * UNIT_M_S2[chosen], tuple(notes), tuple(warnings))


def speed_of(time_s: Real, raw: Numbers, unit: str, where: str) -> SpeedColumn:
    """Speed at every sample [m/s], and what was assumed.

    Missing and negative values are bridged; a speed that is held between updates (a position
    sensor updates about once a second) is joined by straight lines from update to update.

    Parameters
    ----------
    time_s, raw : (n,) [s], [unit].
    unit : "m/s", "km/h", "mph", or "" to judge it by the highest speed.
    where : the file, for complaints.

    Raises
    ------
    RecordError : the speed is zero throughout, or beyond 400 km/h.
    """
    fine = np.isfinite(raw) & (raw >= 0.0)
    if fine.sum() < 2:
        return SpeedColumn(None, (), (note(RecordNote.SPEED_BLANK),))
    times, given = (time_s, raw) if fine.all() else (time_s[fine], raw[fine])
    highest = float(given.max())
    if highest <= 0.0:
        raise RecordError(
            "the speed column is zero throughout", where,
            "record with location switched on, or leave the speed out",
        )
    notes: list[Note] = []
    units = (unit,) if unit in SPEED_UNITS_M_S else units_by_range(highest)
    if len(units) > 1:
        notes.append(note(RecordNote.SPEED_UNIT_AMBIGUOUS, taken=units[0], candidates=units,
                          highest=highest))
    elif unit not in SPEED_UNITS_M_S:
        notes.append(note(RecordNote.SPEED_UNIT_JUDGED, taken=units[0]))
    if highest * SPEED_UNITS_M_S[units[0]] > FASTEST_M_S:
        raise RecordError(
            f"a speed of {highest * SPEED_UNITS_M_S[units[0]] * 3.6:.0f} km/h cannot be", where,
            "name the unit in the header, for example speed (km/h)",
        )
    marks = _updates(given)
    if marks is not None:
        notes.append(note(RecordNote.SPEED_HELD))
        times, given = times[marks], given[marks]
    return SpeedColumn(_joined(time_s, times, given, SPEED_UNITS_M_S[units[0]]), units,
                       tuple(notes))


def units_by_range(highest: float) -> tuple[str, ...]:
    """Units that a speed column without one may be in, by its highest number, likeliest first."""
    weights = {}
    for unit, size in SPEED_UNITS_M_S.items():
        off = (highest * size * 3.6 - TOP_KMH) / TOP_SPREAD_KMH
        weights[unit] = UNIT_WEIGHT[unit] * math.exp(-0.5 * off * off)
    best = max(weights.values())
    if best <= 0.0:
        return (min(weights, key=lambda unit: SPEED_UNITS_M_S[unit]),)
    kept = [unit for unit in weights if weights[unit] >= AS_LIKELY * best]
    return tuple(sorted(kept, key=lambda unit: -weights[unit]))


def _joined(at: Real, times: Real, given: Numbers, size: float) -> npt.NDArray[np.float32]:
    """Values at all times by straight lines, times a size."""
    result = np.empty(len(at), dtype=np.float32)
    for start in range(0, len(at), PIECE):
        part = slice(start, start + PIECE)
        first = max(int(np.searchsorted(times, at[start])) - 1, 0)
        last = int(np.searchsorted(times, at[part][-1], side="right")) + 1
        result[part] = size * np.interp(at[part], times[first:last], given[first:last])
    return result


def _updates(speed: Numbers) -> npt.NDArray[np.intp] | None:
    """The samples at which a held speed changes; None if it changes all the time, or never."""
    changed = np.flatnonzero(speed[1:] != speed[:-1]) + 1
    if len(changed) == 0 or len(changed) > 0.5 * len(speed):
        return None
    return np.unique(np.concatenate([[0], changed, [len(speed) - 1]])).astype(np.intp)


def _largest(values: Numbers) -> float:
    return max(float(values.max()), -float(values.min()))


def _refuse_huge(largest: float, limit: float, unit: str, where: str) -> None:
    if largest > limit:
        raise RecordError(
            f"an acceleration of {largest:.3g}{unit} cannot be", where,
            "name the unit in the header, for example ax (m/s^2)",
        )


def _refuse_dead(raw: Numbers, where: str) -> None:
    moves = np.ptp(raw, axis=0) > 0.0
    if not moves.any():
        raise RecordError(
            "the signal never changes", where, "check that the sensor was recording"
        )
    for name, alive in zip("xyz", moves, strict=True):
        if not alive:
            raise RecordError(
                f"the {name} axis never changes", where, "export all three axes of the sensor"
            )


def _judge_saturation(raw: Numbers, where: str, warnings: list[Note]) -> None:
    """Samples heaped at the very largest or smallest value: the sensor's range was too small.

    A heap counts if more samples sit on the limit than in the rest of a narrow band under it. The
    band spans several of the sensor's steps, since a pure tone in coarse steps heaps a little too.
    """
    for name, axis in zip("xyz", raw.T, strict=True):
        for limit in (float(axis.max()), float(axis.min())):
            heap = int((axis == limit).sum())
            if heap < SATURATED_COUNT:
                continue
            band = max(BAND_SHARE * float(np.ptp(axis)), BAND_STEPS * _sensor_step(axis))
            near = int((np.abs(axis - limit) <= band).sum())
            if 2 * heap <= near or band > WIDEST_BAND_SHARE * float(np.ptp(axis)):
                continue
            if heap > SATURATED_SHARE * len(axis):
                raise RecordError(
                    f"the {name} axis is saturated at {limit:.4g} in {heap} samples", where,
                    "lay the phone on something softer, or set a wider sensor range",
                )
            warnings.append(note(RecordNote.SATURATED, axis=name, limit=limit, count=heap))


def _sensor_step(axis: Numbers) -> float:
    """The smallest difference between two values of a sensor."""
    levels = np.unique(axis[:STEP_SAMPLES])
    steps = np.diff(levels)
    real = steps[steps > 1e-9 * (levels[-1] - levels[0])]
    return float(real.min()) if len(real) else 0.0


def _unit_by_gravity(still: float, unit: str, notes: list[Note], where: str) -> str:
    low, high = GRAVITY_BAND
    fits = [name for name, size in UNIT_M_S2.items() if low <= still * size <= high]
    known = unit if unit in UNIT_M_S2 else ""
    if known and known not in fits and fits and still * UNIT_M_S2[known] > high:
        notes.append(
            note(RecordNote.UNIT_AGAINST_HEADER, named=known, gravity=still, taken=fits[0]))
        return fits[0]
    if known:
        return known
    if fits:
        notes.append(note(RecordNote.UNIT_BY_GRAVITY, gravity=still, taken=fits[0]))
        return fits[0]
    if still < REMOVED_BELOW:
        notes.append(note(RecordNote.UNIT_UNKNOWN))
        return "m/s2"
    raise RecordError(
        f"a mean of {still:.3g} is gravity in no unit", where,
        "name the unit in the header, for example ax (m/s^2)",
    )
