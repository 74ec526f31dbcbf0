"""The numbers of a record: acceleration unit, gravity, dead or saturated sensor, speed.

Assumption: the phone keeps its place during the drive, so that the mean acceleration over the
record is gravity (a car's own speeding up and braking cancels over a drive).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.units.values import STANDARD_GRAVITY

Real = npt.NDArray[np.float64]

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
FAST_M_S = 60.0  # a bare number above this is not m/s


@dataclass(frozen=True)
class Signal:
    """Acceleration in m/s2.

    Attributes
    ----------
    acceleration : (n, 3) [m/s2].
    gravity : mean vector (3,) [m/s2] if the record contains gravity, else None.
    notes, warnings : what was assumed, and what is wrong with it.
    """

    acceleration: Real
    gravity: Real | None
    notes: tuple[Note, ...]
    warnings: tuple[Note, ...]


def signal_of(raw: Real, unit: str, where: str) -> Signal:
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
    _refuse_huge(float(np.abs(raw).max()), LARGEST_NUMBER, "", where)
    _refuse_dead(raw, where)
    notes: list[Note] = []
    warnings: list[Note] = []
    _judge_saturation(raw, where, warnings)
    mean = np.median(raw, axis=0)
    still = float(np.linalg.norm(mean))
    chosen = _unit_by_gravity(still, unit, notes, where)
    size = still * UNIT_M_S2[chosen]
    acceleration = raw * UNIT_M_S2[chosen]
    _refuse_huge(float(np.abs(acceleration).max()), LARGEST_M_S2, " m/s2", where)
    if size < REMOVED_BELOW:
        notes.append(note(RecordNote.GRAVITY_REMOVED))
        return Signal(acceleration, None, tuple(notes), tuple(warnings))
    if not GRAVITY_BAND[0] <= size <= GRAVITY_BAND[1]:
        warnings.append(note(RecordNote.GRAVITY_UNSTEADY, mean_m_s2=size))
    else:
        notes.append(note(RecordNote.GRAVITY_INSIDE))
    return Signal(acceleration, mean * UNIT_M_S2[chosen], tuple(notes), tuple(warnings))


def speed_of(
    time_s: Real, raw: Real, unit: str, where: str
) -> tuple[Real | None, tuple[Note, ...]]:
    """Speed at every sample [m/s], and what was assumed.

    Missing and negative values are bridged; a speed that is held between updates (a position
    sensor updates about once a second) is joined by straight lines from update to update.

    Parameters
    ----------
    time_s, raw : (n,) [s], [unit].
    unit : "m/s", "km/h", "mph", or "" to take m/s (km/h if above 60).
    where : the file, for complaints.

    Raises
    ------
    RecordError : the speed is zero throughout, or beyond 400 km/h.
    """
    fine = np.isfinite(raw) & (raw >= 0.0)
    if fine.sum() < 2:
        return None, (note(RecordNote.SPEED_BLANK),)
    if not (raw[fine] > 0.0).any():
        raise RecordError(
            "the speed column is zero throughout", where,
            "record with location switched on, or leave the speed out",
        )
    notes: list[Note] = []
    chosen = unit if unit in SPEED_UNITS_M_S else ""
    if not chosen:
        chosen = "km/h" if float(raw[fine].max()) > FAST_M_S else "m/s"
        notes.append(note(RecordNote.SPEED_UNIT_JUDGED, taken=chosen))
    speed = raw[fine] * SPEED_UNITS_M_S[chosen]
    if float(speed.max()) > FASTEST_M_S:
        raise RecordError(
            f"a speed of {speed.max() * 3.6:.0f} km/h cannot be", where,
            "name the unit in the header, for example speed (km/h)",
        )
    times, speeds, held = _updates(time_s[fine], speed)
    if held:
        notes.append(note(RecordNote.SPEED_HELD))
    return np.interp(time_s, times, speeds), tuple(notes)


def _updates(time_s: Real, speed: Real) -> tuple[Real, Real, bool]:
    """Only the samples at which a held speed changes (or all, if it changes all the time)."""
    changed = np.flatnonzero(np.diff(speed) != 0.0) + 1
    if len(changed) == 0 or len(changed) > 0.5 * len(speed):
        return time_s, speed, False
    marks = np.unique(np.concatenate([[0], changed, [len(speed) - 1]]))
    return time_s[marks], speed[marks], True


def _refuse_huge(largest: float, limit: float, unit: str, where: str) -> None:
    if largest > limit:
        raise RecordError(
            f"an acceleration of {largest:.3g}{unit} cannot be", where,
            "name the unit in the header, for example ax (m/s^2)",
        )


def _refuse_dead(raw: Real, where: str) -> None:
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


def _judge_saturation(raw: Real, where: str, warnings: list[Note]) -> None:
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


def _sensor_step(axis: Real) -> float:
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
