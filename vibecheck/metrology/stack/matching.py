"""The best turn of one part on another: tire on wheel, or wheel on hub.

Turning the upper part by theta turns its vector along: total(theta) = carrier + exp(i theta) part.
The total is least where the high spot of the part meets the low spot of the carrier. It is the
same sum for radial runout [mm] and for the first harmonic of radial force variation [N]; all
amplitudes here are in whichever of the two was given.

Uncertainties given and returned are expanded, k = 2 (about 95 %). A predicted amplitude near
zero cannot be pinned down by them: see `low` and `high` of the result.

Assumptions: the vectors are those of `stack` (separated, with parts as they stand now); turning
changes no part. Which share of the total makes the work worth while is from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from vibecheck.errors import ReadingError
from vibecheck.metrology.places import Mark, PartTurn, turning
from vibecheck.metrology.vectors import (
    FULL_TURN_DEG,
    Vector,
    add,
    difference,
    turned,
    vector_of,
    wrap,
)

WORTH_SHARE = 0.25  # a gain below this share of the total is seldom felt
STUDS = (3, 10)
FEW_DEGREES = 5.0


class Worth(StrEnum):
    """Whether turning is worth the work."""

    YES = "worth"
    NO = "not_worth"
    UNSURE = "unsure"
    NOT_NEEDED = "not_needed"  # within the limit already
    NOT_ENOUGH = "not_enough"  # it helps, but stays beyond the limit


@dataclass(frozen=True)
class BestTurn:
    """The best turn and what it brings, amplitudes in the unit given.

    Attributes
    ----------
    turn_deg : of the upper part on its carrier from where it stands now, clockwise seen from
        outside the car, in [0, 360) [deg].
    before, after : total first-harmonic vector now and predicted.
    uncertainty_before, uncertainty_after : of their amplitudes.
    gain, uncertainty_gain : amplitude saved.
    worth : whether to do it.
    mark : on the carrier, where the turn is counted from: the valve stem for a tire on a wheel,
        the marked stud for a wheel on a hub.
    wrong_way : amplitude predicted if the turn is made the other way round.
    """

    turn_deg: float
    before: Vector
    after: Vector
    uncertainty_before: float
    uncertainty_after: float
    gain: float
    uncertainty_gain: float
    worth: Worth
    mark: Mark = Mark.VALVE_STEM
    wrong_way: float = 0.0

    @property
    def turning(self) -> PartTurn:
        """The turn as a person does it: the shorter way, with its sense and its mark."""
        return turning(self.turn_deg, self.mark)

    @property
    def low(self) -> float:
        """Least amplitude to be expected after the turn."""
        return max(0.0, self.after.amplitude - self.uncertainty_after)

    @property
    def high(self) -> float:
        """Greatest amplitude to be expected after the turn."""
        return self.after.amplitude + self.uncertainty_after

    @property
    def at_best(self) -> bool:
        """Whether the parts stand within a few degrees of their best turn already."""
        return min(self.turn_deg, FULL_TURN_DEG - self.turn_deg) < FEW_DEGREES


def best_turn(
    carrier: Vector,
    part: Vector,
    carrier_uncertainty: float,
    part_uncertainty: float,
    stud_count: int | None = None,
    limit_tir: float | None = None,
) -> BestTurn:
    """Where to turn the part on its carrier.

    Parameters
    ----------
    carrier, part : first-harmonic vectors as they stand now, angles from one mark on the carrier.
    carrier_uncertainty, part_uncertainty : expanded, of the amplitudes.
    stud_count : None for a tire, which turns freely; for a wheel on a hub the count of its studs.
    limit_tir : largest high-to-low accepted, if one is known [unit of the vectors].

    Raises
    ------
    ReadingError : a number that cannot be.
    """
    _check(carrier, part, carrier_uncertainty, part_uncertainty, stud_count, limit_tir)
    free = wrap(carrier.angle_deg + 180.0 - part.angle_deg)
    turn = free if stud_count is None else _nearest_stud(free, stud_count)
    before, after = add((carrier, part)), add((carrier, turned(part, turn)))
    spread = math.hypot(carrier_uncertainty, part_uncertainty)
    gain = before.amplitude - after.amplitude
    gain_spread = _gain_uncertainty(
        before, after, turn, carrier_uncertainty, part_uncertainty
    )
    worth = _worth(before, after, spread, gain, gain_spread, limit_tir)
    mark = Mark.VALVE_STEM if stud_count is None else Mark.MARKED_STUD
    wrong_way = add((carrier, turned(part, -turn))).amplitude
    return BestTurn(
        turn, before, after, spread, spread, gain, gain_spread, worth, mark, wrong_way
    )


def turns_table(
    carrier: Vector, part: Vector, stud_count: int
) -> tuple[tuple[float, float], ...]:
    """Every turn that the studs allow [deg] with the total amplitude it gives."""
    _check(carrier, part, 0.0, 0.0, stud_count, None)
    turns = [place * FULL_TURN_DEG / stud_count for place in range(stud_count)]
    return tuple((turn, add((carrier, turned(part, turn))).amplitude) for turn in turns)


def _nearest_stud(free_deg: float, stud_count: int) -> float:
    step = FULL_TURN_DEG / stud_count
    turns = [place * step for place in range(stud_count)]
    return min(turns, key=lambda turn: (round(abs(difference(turn, free_deg)), 9), turn))


def _gain_uncertainty(
    before: Vector, after: Vector, turn_deg: float, carrier: float, part: float
) -> float:
    """Spread of |before| - |after|, which share both vectors and so part of their error."""
    ahead = vector_of(before.xy).angle_deg
    behind = vector_of(after.xy).angle_deg
    by_carrier = _gap(ahead, behind)
    by_part = _gap(ahead, behind - turn_deg)
    return math.hypot(carrier * by_carrier, part * by_part)


def _gap(first_deg: float, second_deg: float) -> float:
    """Length of the difference of two unit vectors [unitless]."""
    return float(2.0 * abs(np.sin(np.deg2rad(first_deg - second_deg) / 2.0)))


def _worth(
    before: Vector, after: Vector, spread: float, gain: float, gain_spread: float,
    limit_tir: float | None,
) -> Worth:
    if limit_tir is not None and before.tir + 2.0 * spread <= limit_tir:
        return Worth.NOT_NEEDED
    if gain <= WORTH_SHARE * before.amplitude or gain <= 0.0:
        return Worth.NO
    if gain <= gain_spread:
        return Worth.UNSURE
    if limit_tir is not None and after.tir - 2.0 * spread >= limit_tir:
        return Worth.NOT_ENOUGH
    return Worth.YES


def _check(
    carrier: Vector, part: Vector, carrier_uncertainty: float, part_uncertainty: float,
    stud_count: int | None, limit_tir: float | None,
) -> None:
    numbers = (carrier.amplitude, part.amplitude, carrier_uncertainty, part_uncertainty,
               0.0 if limit_tir is None else limit_tir)
    angles = (carrier.angle_deg, part.angle_deg)
    if not all(math.isfinite(value) and value >= 0.0 for value in numbers) or not all(
        math.isfinite(angle) for angle in angles
    ):
        raise ReadingError(
            "an amplitude, uncertainty or limit cannot be", "", "write numbers of 0 or more"
        )
    if stud_count is not None and not STUDS[0] <= stud_count <= STUDS[1]:
        raise ReadingError(
            f"{stud_count} studs are on no hub", "", f"write {STUDS[0]} to {STUDS[1]}"
        )
