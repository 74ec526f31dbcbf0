"""Readings round one turn put in order: angles wrapped, and what cannot be used refused."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.vectors import FULL_TURN_DEG, difference, wrap

FEWEST_READINGS = 6
MOST_READINGS = 720
SAME_PLACE_DEG = 0.1
LARGEST_MM = 100.0  # no dial gauge on a wheel travels so far
LARGEST_TIR_MM = 15.0  # hardly any wheel that still rolls runs out so far; from memory
LARGEST_GAP_DEG = 180.0
COARSEST_DIVISION_MM = 1.0


def check_value(value: float, where: str = "") -> None:
    """Refuse a reading that no gauge on a wheel shows [mm]."""
    if not (math.isfinite(value) and abs(value) < LARGEST_MM):
        raise ReadingError(
            f"{value:g} mm is no runout reading", where, "check the unit and write it as 0.49 mm"
        )


def check_division(resolution_mm: float) -> None:
    """Refuse a gauge division that is not positive or coarser than 1 mm [mm]."""
    if not 0.0 < resolution_mm <= COARSEST_DIVISION_MM:
        raise ReadingError(
            f"a gauge division of {resolution_mm:g} mm cannot be", "", "write for example 0.01 mm"
        )


def check_total(tir_mm: float, where: str = "") -> None:
    """Refuse a high minus low that no part of a wheel end has [mm]."""
    if tir_mm > LARGEST_TIR_MM:
        raise ReadingError(
            f"a runout of {tir_mm:g} mm cannot be", where,
            f"check the unit; write up to {LARGEST_TIR_MM:g} mm",
        )


class TurnList(Struct, frozen=True, eq=False):
    """Readings of one turn put in order.

    Attributes
    ----------
    readings_mm, angles_deg : shape (N,) in the order taken, angles in [0, 360) [mm], [deg].
    gone : shape (N,) share of the turn done when each was taken [0 to 1].
    closing_mm : the first place read again at the end; None if it was not [mm].
    left_out_deg : places ignored as asked [deg].
    """

    readings_mm: Floats
    angles_deg: Floats
    gone: Floats
    closing_mm: float | None
    left_out_deg: tuple[float, ...]


def readings_round_a_turn(
    readings_mm: Sequence[float],
    angles_deg: Sequence[float] | None,
    ignore_deg: Sequence[float],
    where: str,
    closed: bool = False,
) -> TurnList:
    """Readings and angles in order, without the ignored ones.

    Parameters
    ----------
    readings_mm, angles_deg : as taken [mm], [deg]; None for angles means evenly round the turn.
    ignore_deg : places to leave out [deg].
    where : surface to name in a complaint.
    closed : the last reading was taken at the first place again. Angles that end a whole turn
        from where they began say so by themselves.

    Raises
    ------
    ReadingError : too few, repeated angles, more than a turn, half a turn unread, no such place.
    """
    count = len(readings_mm)
    if count > MOST_READINGS:
        raise ReadingError(f"{count} readings are too many", where, f"write up to {MOST_READINGS}")
    for index, value in enumerate(readings_mm, start=1):
        check_value(value, f"{where}, reading {index}" if where else f"reading {index}")
    closing = None
    if closed or _closes(count, angles_deg):
        closing = float(readings_mm[-1]) if count else None
        count = max(0, count - 1)
        readings_mm = readings_mm[:count]
        angles_deg = angles_deg if angles_deg is None else angles_deg[:count]
    angles = _angles(count, angles_deg, where)
    keep = np.ones(count, dtype=bool)
    for place in ignore_deg:
        keep[_nearest(angles, place, where)] = False
    _refuse_unread(angles[keep], where)
    readings = np.asarray(readings_mm, dtype=float)
    check_total(float(np.ptp(readings[keep])), where)
    return TurnList(
        readings[keep], angles[keep], (np.arange(count) / count)[keep], closing,
        tuple(float(angle) for angle in angles[~keep]),
    )


def _closes(count: int, angles_deg: Sequence[float] | None) -> bool:
    """True if the last angle lies one whole turn from the first, or on it again."""
    if angles_deg is None or len(angles_deg) != count or count <= FEWEST_READINGS:
        return False
    raw = [float(angles_deg[0]), float(angles_deg[-1])]
    if not all(math.isfinite(angle) for angle in raw):
        return False
    return abs(difference(raw[1], raw[0])) < SAME_PLACE_DEG


def _refuse_unread(angles: Floats, where: str) -> None:
    if len(angles) < FEWEST_READINGS:
        raise ReadingError(
            f"{len(angles)} readings are too few for one turn", where,
            f"take {FEWEST_READINGS} or more, or write the high and the low",
        )
    gap = float(np.diff(np.append(np.sort(angles), angles.min() + FULL_TURN_DEG)).max())
    if gap >= LARGEST_GAP_DEG:
        raise ReadingError(
            f"{gap:.0f} deg of the turn have no reading", where, "take readings all the way round"
        )


def _angles(count: int, angles_deg: Sequence[float] | None, where: str) -> Floats:
    if angles_deg is None:
        return np.arange(count) * FULL_TURN_DEG / max(1, count)
    if len(angles_deg) != count:
        raise ReadingError(
            f"there are {count} readings and {len(angles_deg)} angles", where,
            "write one angle for each reading",
        )
    raw = np.asarray(angles_deg, dtype=float)
    if not np.isfinite(raw).all():
        raise ReadingError("an angle is not a number", where, "write angles as 0 to 360 deg")
    if count and float(np.ptp(raw)) > FULL_TURN_DEG + SAME_PLACE_DEG:
        raise ReadingError(
            f"the angles span {float(np.ptp(raw)):g} deg, more than one turn", where,
            "write one turn from 0 to 360 deg",
        )
    wrapped = np.array([wrap(angle) for angle in raw])
    _refuse_repeats(raw, wrapped, where)
    return wrapped


def _refuse_repeats(raw: Floats, wrapped: Floats, where: str) -> None:
    turn = np.argsort(wrapped)
    for first, second in zip(turn, np.roll(turn, -1), strict=True):
        if first != second and abs(difference(wrapped[second], wrapped[first])) < SAME_PLACE_DEG:
            low, high = sorted((float(raw[first]), float(raw[second])))
            raise ReadingError(
                f"the angles {low:g} and {high:g} deg are the same place", where,
                "write one reading for each place",
            )


def _nearest(angles: Floats, place: float, where: str) -> int:
    apart = [abs(difference(float(angle), place)) for angle in angles]
    best = int(np.argmin(apart)) if apart else -1
    if best < 0 or not apart[best] < 1.0:
        raise ReadingError(
            f"there is no reading at {place:g} deg to leave out", where,
            "write an angle of the list",
        )
    return best
