"""Readings round one turn put in order: angles wrapped, and what cannot be used refused."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.vectors import FULL_TURN_DEG, difference, wrap

FEWEST_READINGS = 6
MOST_READINGS = 720
SAME_PLACE_DEG = 0.1
LARGEST_MM = 100.0  # no dial gauge on a wheel travels so far
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


def readings_round_a_turn(
    readings_mm: Sequence[float],
    angles_deg: Sequence[float] | None,
    ignore_deg: Sequence[float],
    where: str,
) -> tuple[Floats, Floats, tuple[float, ...]]:
    """Readings [mm] and angles in [0, 360) [deg] without the ignored ones, and which those were.

    Raises
    ------
    ReadingError : too few, repeated angles, more than a turn, half a turn unread, no such place.
    """
    count = len(readings_mm)
    if count > MOST_READINGS:
        raise ReadingError(f"{count} readings are too many", where, f"write up to {MOST_READINGS}")
    for index, value in enumerate(readings_mm, start=1):
        check_value(value, f"{where}, reading {index}" if where else f"reading {index}")
    angles = _angles(count, angles_deg, where)
    keep = np.ones(count, dtype=bool)
    for place in ignore_deg:
        keep[_nearest(angles, place, where)] = False
    kept = angles[keep]
    if len(kept) < FEWEST_READINGS:
        raise ReadingError(
            f"{len(kept)} readings are too few for one turn", where,
            f"take {FEWEST_READINGS} or more, or write the high and the low",
        )
    gap = float(np.diff(np.append(np.sort(kept), kept.min() + FULL_TURN_DEG)).max())
    if gap >= LARGEST_GAP_DEG:
        raise ReadingError(
            f"{gap:.0f} deg of the turn have no reading", where, "take readings all the way round"
        )
    left_out = tuple(float(angle) for angle in angles[~keep])
    return np.asarray(readings_mm, dtype=float)[keep], kept, left_out


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
