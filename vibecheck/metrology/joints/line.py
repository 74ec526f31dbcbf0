"""Working angles of a line of shafts from inclinometer readings, and what is left uncancelled.

A line has pieces in order from the transmission to the axle (transmission output, one or more
driveshaft pieces, pinion) and a joint between each two. A universal (Cardan) joint that works at
an angle b [rad] turns its driven side unevenly, twice per turn:

    turned out = turned in + (b^2 / 4) sin 2 (turned in - plane)                              [1]

so its phasor is b^2, turned by twice the angle of the joint's plane round the shaft. The yokes of
a shaft that is in phase stand alike, and the driving yoke of the next joint stands a quarter turn
on from the one before: the next phasor counts with the other sign, and two equal angles in one
plane cancel. A shaft whose yokes are out of phase by p turns the next phasor by 2 p. The length
of the sum is the square of the *uncancelled angle*: one joint at that angle would do the same.
Its angular acceleration at the axle is b^2 w^2 [rad/s2], w the shaft's speed [rad/s].

Double joints, constant-velocity joints and rubber couplings turn evenly and add nothing; they
still have a working angle.

Angles: side view (front end up is positive) and plan view (rear end to the right is positive), as
an inclinometer and a straight edge give them [deg]. Uncertainties are expanded, k = 2, of one
piece's reading.

Assumptions: angles under 15 deg (the series [1] is cut after b^2); pieces are straight; the car
stands at ride height on its wheels or on a drive-on lift.

What these functions do not check: slack joints, and yokes bent out of square.

References
----------
1. Kinematics of the Cardan joint, tan out = tan in / cos b, expanded for small b: F. Schmelz, H.-C.
   Seherr-Thoss, E. Aucktor, Universal Joints and Driveshafts, 2nd ed. 2006, ch. 1 (from memory);
   held by an exact calculation with vectors in the tests.
2. SAE AE-7, Universal Joint and Driveshaft Design Manual, 1979: equivalent joint angle, and
   angular acceleration as b^2 w^2 (from memory).
3. JCGM 100:2008 (GUM), 5.1.2: propagation of uncertainty.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, decide

STEEPEST_DEG = 15.0
MOST_PIECES = 6
LEAST_WORKING_DEG = 0.5  # a needle bearing wants to roll; common practice
MOST_WORKING_DEG = 3.0  # a joint of a road car at highway speed; common practice
UNCANCELLED_RAD_S2 = 400.0  # angular acceleration at the axle felt as a shake [2], from memory
_STEP_DEG = 1e-4


class JointKind(StrEnum):
    """How a joint turns its driven side."""

    SINGLE = "single"  # one cross: unevenly
    EVEN = "even"  # double joint, constant-velocity joint or rubber coupling


@dataclass(frozen=True)
class Piece:
    """One piece of the line: its lie [deg], the reading's uncertainty, its yokes' phase error."""

    side_deg: float
    plan_deg: float = 0.0
    uncertainty_deg: float = 0.2
    out_of_phase_deg: float = 0.0


@dataclass(frozen=True)
class WorkingAngle:
    """The angle at which one joint works, with uncertainty k = 2 [deg]."""

    angle_deg: float
    uncertainty_deg: float
    kind: JointKind


@dataclass(frozen=True)
class Line:
    """A line of shafts worked out.

    Attributes
    ----------
    joints : working angles, from the transmission to the axle.
    uncancelled_deg, uncancelled_uncertainty_deg : the equivalent single angle left at the axle.
    phasor_rad2 : the sum of the joints' phasors, of length uncancelled^2 [rad^2].
    phasor_uncertainty_rad2 : of the phasor along its own direction, k = 2 [rad^2].
    """

    joints: tuple[WorkingAngle, ...]
    uncancelled_deg: float
    uncancelled_uncertainty_deg: float
    phasor_rad2: complex
    phasor_uncertainty_rad2: float

    def acceleration(self, shaft_rpm: float) -> tuple[float, float]:
        """Angular acceleration at the axle and its uncertainty [rad/s2] at a shaft speed [rpm]."""
        squared = (shaft_rpm * math.pi / 30.0) ** 2
        return abs(self.phasor_rad2) * squared, self.phasor_uncertainty_rad2 * squared

    def judged(self, shaft_rpm: float, limit_rad_s2: float = UNCANCELLED_RAD_S2) -> Decision:
        """What is left uncancelled at a shaft speed [rpm], against its limit [rad/s2]."""
        return decide(*self.acceleration(shaft_rpm), limit_rad_s2)


def work_out(pieces: Sequence[Piece], kinds: Sequence[JointKind] = ()) -> Line:
    """The working angles of a line, and what they leave uncancelled.

    Parameters
    ----------
    pieces : two to six, from the transmission to the axle.
    kinds : of the joints between them; all single if empty.

    Raises
    ------
    ReadingError : too few or too many pieces, angles that cannot be, kinds that do not match.
    """
    chosen = tuple(kinds) or (JointKind.SINGLE,) * (len(pieces) - 1)
    _check(pieces, chosen)
    joints = tuple(
        WorkingAngle(
            _between(pieces, at),
            _spread(pieces, lambda line, at=at: _between(line, at)),  # type: ignore[misc]
            kind,
        )
        for at, kind in enumerate(chosen)
    )
    total = phasor(pieces, chosen)
    along = cmath.exp(-1j * cmath.phase(total))
    spread = _spread(pieces, lambda line: (phasor(line, chosen) * along).real)
    equal = math.degrees(math.sqrt(abs(total)))
    return Line(joints, equal, _equal_spread(abs(total), spread), total, spread)


def phasor(pieces: Sequence[Piece], kinds: Sequence[JointKind]) -> complex:
    """The sum of the joints' phasors [rad^2], of the last shaft's turning against the first."""
    return _summed(pieces, kinds)[0]


def _summed(pieces: Sequence[Piece], kinds: Sequence[JointKind]) -> tuple[complex, float, float]:
    """The sum of the phasors [rad^2], and the sign and twist [rad] of a further joint's."""
    total = 0j
    sign, twist = 1.0, 0.0
    for at, kind in enumerate(kinds):
        if kind is JointKind.SINGLE:
            total += _one(*_bend(pieces[at], pieces[at + 1]), sign, twist)
            sign = -sign
        twist += math.radians(pieces[at + 1].out_of_phase_deg)
    return total, sign, twist


def _one(across: float, up: float, sign: float, twist: float) -> complex:
    """The phasor of one single joint [rad^2]; all angles [rad]."""
    plane = math.atan2(up, across)
    return sign * (across * across + up * up) * cmath.exp(2j * (plane - twist))


def difference(pieces: Sequence[Piece]) -> tuple[float, float]:
    """By how much the first and the last joint's working angles differ, with k = 2 [deg].

    A slip of the piece between two joints moves both alike and is not counted twice.

    Raises
    ------
    ReadingError : as `work_out`.
    """
    _check(pieces, (JointKind.SINGLE,) * (len(pieces) - 1))

    def apart(line: Sequence[Piece]) -> float:
        return _between(line, 0) - _between(line, len(line) - 2)

    return abs(apart(pieces)), _spread(pieces, apart)


def shim_deg(pieces: Sequence[Piece], kinds: Sequence[JointKind] = ()) -> float:
    """How far to tilt the axle (the last piece, front end up) so that least is left uncancelled.

    Positive raises the pinion's nose [deg]. The search covers what a wedge or an adjustable arm
    can do, 6 deg either way.

    Raises
    ------
    ReadingError : as `work_out`; or the last joint turns evenly, so that a tilt changes nothing.
    """
    chosen = tuple(kinds) or (JointKind.SINGLE,) * (len(pieces) - 1)
    _check(pieces, chosen)
    if chosen[-1] is not JointKind.SINGLE:
        raise ReadingError(
            "the joint at the axle turns evenly at any angle", "joints",
            "a tilt of the axle does not change what is left",
        )

    others, sign, twist = _summed(pieces[:-1], chosen[:-1])
    across, _ = _bend(pieces[-2], pieces[-1])
    front_deg, rear_deg = pieces[-2].side_deg, pieces[-1].side_deg

    def left(tilt: float) -> float:
        up = math.radians(front_deg - (rear_deg + tilt))
        return abs(others + _one(across, up, sign, twist))

    coarse = min((0.1 * step for step in range(-60, 61)), key=lambda tilt: (left(tilt), abs(tilt)))
    fine = (coarse + 0.005 * step for step in range(-20, 21))
    return min(fine, key=lambda tilt: (left(tilt), abs(tilt)))


def largest_angle_deg(shaft_rpm: float, acceleration_rad_s2: float = 1000.0) -> float:
    """The largest working angle of one single joint at a shaft speed [rpm], by its acceleration.

    The shaft between two cancelling joints still turns unevenly: b^2 w^2 is to stay under about
    1,000 rad/s2 [2]. Makers' tables of largest angles follow this law.
    """
    if not (math.isfinite(shaft_rpm) and shaft_rpm > 0.0):
        raise ReadingError(f"a shaft speed of {shaft_rpm:g} rpm cannot be", "shaft speed",
                           "write a speed above zero")  # fmt: skip
    return math.degrees(math.sqrt(acceleration_rad_s2) / (shaft_rpm * math.pi / 30.0))


def _bend(front: Piece, rear: Piece) -> tuple[float, float]:
    """How the rear piece bends away from the front one, across and up [rad]."""
    across = math.radians(rear.plan_deg - front.plan_deg)
    return across, math.radians(front.side_deg - rear.side_deg)


def _between(pieces: Sequence[Piece], at: int) -> float:
    """The working angle of one joint [deg], from the two directions in space."""
    front, rear = (_direction(pieces[at]), _direction(pieces[at + 1]))
    cross = math.hypot(
        front[1] * rear[2] - front[2] * rear[1],
        front[2] * rear[0] - front[0] * rear[2],
        front[0] * rear[1] - front[1] * rear[0],
    )
    dot = sum(a * b for a, b in zip(front, rear, strict=True))
    return math.degrees(math.atan2(cross, dot))


def _direction(piece: Piece) -> tuple[float, float, float]:
    """Rearward along a piece: back, right, down."""
    right = math.tan(math.radians(piece.plan_deg))
    down = math.tan(math.radians(piece.side_deg))
    return 1.0, right, down


def _spread(pieces: Sequence[Piece], value: Callable[[Sequence[Piece]], float]) -> float:
    """Uncertainty of a value of the line, k = 2, by the slope for every reading [3]."""
    total = 0.0
    for at, piece in enumerate(pieces):
        for name in ("side_deg", "plan_deg"):
            now = getattr(piece, name)
            up, down = (
                value([*pieces[:at], replace(piece, **{name: now + step}), *pieces[at + 1:]])
                for step in (_STEP_DEG, -_STEP_DEG)
            )
            slope = (up - down) / (2.0 * _STEP_DEG)
            total += (slope * piece.uncertainty_deg) ** 2
    return math.sqrt(total)


def _equal_spread(size_rad2: float, spread_rad2: float) -> float:
    """Uncertainty of the uncancelled angle [deg]; its square is what is known evenly."""
    high = math.sqrt(size_rad2 + spread_rad2)
    return math.degrees(high - math.sqrt(size_rad2))


def _check(pieces: Sequence[Piece], kinds: Sequence[JointKind]) -> None:
    if not 2 <= len(pieces) <= MOST_PIECES:
        raise ReadingError(
            f"a line of {len(pieces)} pieces cannot be worked out", "side",
            f"give 2 to {MOST_PIECES}: transmission, driveshaft pieces, pinion",
        )
    if len(kinds) != len(pieces) - 1:
        raise ReadingError(
            f"{len(pieces)} pieces have {len(pieces) - 1} joints, not {len(kinds)}", "joints",
            "name a joint between each two pieces",
        )
    for piece in pieces:
        for angle in (piece.side_deg, piece.plan_deg):
            if not (math.isfinite(angle) and abs(angle) <= STEEPEST_DEG):
                raise ReadingError(
                    f"a shaft lying at {angle:g} deg cannot be", "side",
                    f"write degrees from level, up to {STEEPEST_DEG:g}",
                )
        if not (math.isfinite(piece.uncertainty_deg) and piece.uncertainty_deg > 0.0):
            raise ReadingError("an angle's uncertainty must be above zero", "uncertainty",
                               "write for example 0.2 deg")  # fmt: skip
