"""Driveshaft angles: operating angles of the joints, what they leave uncancelled, what mends it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field, single
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.joints import line as joints
from vibecheck.metrology.joints.line import JointKind, Line, Piece, WorkingAngle
from vibecheck.metrology.orders.rotating_parts import RATIO
from vibecheck.metrology.orders.tire_size import wheel_hz
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Measured, Quantity

DIFFERENCE_FINDING = "driveshaft_angle"  # ids of the rules
JOINT_FINDING = "joint_angle"
INCLINOMETER_DEG = 0.2  # expanded, of one reading with a careful repeat; from memory
FASTEST_RPM = 20_000.0
STRAIGHTEST_DEG = 0.05  # a tilt smaller than this cannot be set
_ANGLE, _LIST = Quantity.ANGLE, Shape.LIST


class Joint(StrEnum):
    """A joint as it is built."""

    SINGLE = "single"
    DOUBLE = "double"
    CV = "cv"
    RUBBER = "rubber"

    @property
    def turns(self) -> JointKind:
        """How it turns its driven side."""
        return JointKind.SINGLE if self is Joint.SINGLE else JointKind.EVEN


@dataclass(frozen=True)
class JudgedJoint:
    """One joint: how it is built, its working angle, and what that proves.

    `most` judges a single joint against the largest usual angle; None for other joints. `still` is
    where the angle stands under the least one, at which its needles do not roll: "within" is
    proven too straight, "beyond" proven bent enough.
    """

    joint: Joint
    angle: WorkingAngle
    most: Decision | None
    still: Zone | None


@dataclass(frozen=True)
class Tilt:
    """How far to raise the pinion's nose [deg], and what is left uncancelled then [deg]."""

    tilt_deg: float
    left_deg: float


@dataclass(frozen=True)
class DriveshaftResult:
    """A line of shafts worked out and judged.

    Attributes
    ----------
    line : working angles and what they leave uncancelled.
    joints : each with its judgment, from the transmission to the axle.
    shaft_rpm : None where no speed is known.
    left : angular acceleration at the axle against its limit [rad/s2]; None without a speed.
    largest_deg : for one single joint at that speed; None without a speed.
    tilt : None where a tilt of the axle changes nothing.
    along_shaft : the joint at the axle is the only one that turns unevenly.
    difference_deg : of the two working angles with k = 2; None unless two single joints are all.
    plan_read : whether plan angles were typed.
    """

    line: Line
    joints: tuple[JudgedJoint, ...]
    shaft_rpm: float | None
    left: Decision | None
    largest_deg: float | None
    tilt: Tilt | None
    along_shaft: bool
    difference_deg: tuple[float, float] | None
    plan_read: bool
    readings: tuple[str, ...]


def run(texts: Texts, tell: Tell | None = None) -> DriveshaftResult:
    """Work out and judge a line of shafts.

    Raises
    ------
    InputError family : angles, joints, speeds or ratios that cannot be or do not match.
    """
    typed = Typed(texts)
    pieces, kinds = _pieces(typed), _kinds(typed)
    built = kinds or (Joint.SINGLE,) * (len(pieces) - 1)
    turns = tuple(each.turns for each in built)
    found = joints.work_out(pieces, turns)
    rpm = _shaft_rpm(typed)
    limit = typed.above_zero("limit", Quantity.NUMBER) or joints.UNCANCELLED_RAD_S2
    with at_field("limit"):
        left = None if rpm is None else found.judged(rpm, limit)
    only_two = turns == (JointKind.SINGLE, JointKind.SINGLE)
    return DriveshaftResult(
        found, tuple(_judged(one, angle) for one, angle in zip(built, found.joints, strict=True)),
        rpm, left, None if rpm is None else joints.largest_angle_deg(rpm), _tilt(pieces, turns),
        turns.count(JointKind.SINGLE) == 1 and turns[-1] is JointKind.SINGLE,
        joints.difference(pieces) if only_two else None, bool(typed.text("plan")),
        _readings(typed),
    )


def answers(result: DriveshaftResult, surface: str) -> tuple[FindingAnswer, ...]:
    """By how much two single joints differ, and the steepest of all single joints."""
    sizes: dict[str, tuple[float, float]] = {}
    if result.difference_deg is not None:
        sizes[DIFFERENCE_FINDING] = result.difference_deg
    crosses = [each.angle for each in result.joints if each.joint is Joint.SINGLE]
    if crosses:
        steepest = max(crosses, key=lambda each: each.angle_deg)
        sizes[JOINT_FINDING] = steepest.angle_deg, steepest.uncertainty_deg
    return tuple(FindingAnswer(finding, "", *size, _ANGLE, "deg", result.readings)
                 for finding, size in sizes.items())


def _pieces(typed: Typed) -> list[Piece]:
    side, plan = typed.values("side", _ANGLE), typed.values("plan", _ANGLE)
    if not side:
        raise ReadingError("no piece is read", "side", "write for example 3.0 8.5 3.5")
    with at_field("side"):
        _match("side", side, len(side))
    spread = _angle_spread(typed)
    if plan:
        _match("plan", plan, len(side))
    else:
        plan = tuple(Measured(0.0, _spread(each, spread), "deg", "") for each in side)
    phases = _phases(typed, len(side))
    return [
        Piece(one.value, other.value, max(_spread(one, spread), _spread(other, spread)), phase)
        for one, other, phase in zip(side, plan, phases, strict=True)
    ]


def _angle_spread(typed: Typed) -> float:
    spread = typed.above_zero("uncertainty", _ANGLE)
    if spread is not None and spread > joints.STEEPEST_DEG:
        raise ReadingError(f"an angle known to {short(typed.text('uncertainty'))} is not known",
                           "uncertainty", "write for example 0.2 deg")
    return spread or INCLINOMETER_DEG


def _spread(reading: Measured, usual: float) -> float:
    return reading.uncertainty or usual


def _match(name: str, readings: Sequence[Measured], count: int) -> None:
    """Refuse angles that no piece has, and a list of another length than the side view."""
    if len(readings) != count:
        raise ReadingError(f"{len(readings)} angles for {count} pieces", name,
                           "write one for each piece that is named in the side view")
    for reading in readings:
        if not max(abs(reading.value), reading.uncertainty or 0.0) <= joints.STEEPEST_DEG:
            raise ReadingError(f"a shaft lying at {short(reading.typed)} deg cannot be", name,
                               f"write degrees from level, up to {joints.STEEPEST_DEG:g}")


def _phases(typed: Typed, count: int) -> list[float]:
    """Phase error of every piece; those at the two ends have none."""
    shafts = max(0, count - 2)
    phases = [each.value for each in typed.values("out_of_phase", _ANGLE)] or [0.0] * shafts
    if len(phases) != shafts:
        raise ReadingError(f"{len(phases)} phase errors for {shafts} driveshaft pieces",
                           "out_of_phase", "write one for each piece between the two ends")
    if not all(abs(each) <= 360.0 for each in phases):
        raise ReadingError("a phase error over a turn cannot be", "out_of_phase",
                           "write degrees from the proper place, as 11")
    return [0.0, *phases, 0.0][:count] if shafts else [0.0] * count


def _kinds(typed: Typed) -> tuple[Joint, ...]:
    found = []
    for word in typed.text("joints").replace(",", " ").replace(";", " ").lower().split():
        if word not in list(Joint):
            raise ReadingError(f"'{short(word)}' is no kind of joint", "joints",
                               f"write {', '.join(Joint)}: one for each joint, front to rear")
        found.append(Joint(word))
    return tuple(found)


def _judged(joint: Joint, angle: WorkingAngle) -> JudgedJoint:
    if joint is not Joint.SINGLE:
        return JudgedJoint(joint, angle, None, None)
    size, spread = angle.angle_deg, angle.uncertainty_deg
    return JudgedJoint(joint, angle, decide(size, spread, joints.MOST_WORKING_DEG),
                       decide(size, spread, joints.LEAST_WORKING_DEG).zone)


def _tilt(pieces: Sequence[Piece], turns: Sequence[JointKind]) -> Tilt | None:
    if turns[-1] is not JointKind.SINGLE:
        return None
    tilt = joints.shim_deg(pieces, turns)
    if abs(tilt) < STRAIGHTEST_DEG:
        tilt = 0.0
    last = replace(pieces[-1], side_deg=pieces[-1].side_deg + tilt)
    if abs(last.side_deg) > joints.STEEPEST_DEG:
        return None
    return Tilt(tilt, joints.work_out([*pieces[:-1], last], turns).uncancelled_deg)


def _shaft_rpm(typed: Typed) -> float | None:
    """Turns of the shaft per minute, typed or from the road speed."""
    typed_hz = typed.above_zero("rpm", Quantity.FREQUENCY, "rpm")
    speed = typed.above_zero("speed", Quantity.SPEED)
    if typed_hz is not None and speed is not None:
        raise ReadingError("shaft speed and road speed say the same twice", "rpm",
                           "give one of them")
    if typed_hz is not None:
        return _turning(60.0 * typed_hz, "rpm")
    if speed is None:
        return None
    rolling, ratio = typed.rolling(), typed.above_zero("axle_ratio", Quantity.NUMBER)
    if rolling is None:
        raise ReadingError("a road speed needs the tire size", "tire", "write 205/55R16")
    if ratio is None:
        raise ReadingError("a road speed needs the axle ratio", "axle_ratio", "write 3.73")
    if not RATIO[0] <= ratio <= RATIO[1]:
        raise ReadingError(f"an axle ratio of {ratio:g} cannot be", "axle_ratio", "write 3.73")
    return _turning(60.0 * ratio * wheel_hz(speed, rolling.circumference_m), "speed")


def _turning(rpm: float, where: str) -> float:
    if not 0.0 < rpm <= FASTEST_RPM:
        raise ReadingError(f"a shaft turning at {rpm:.4g} rpm cannot be", where,
                           f"check the unit; up to {FASTEST_RPM:g} rpm")
    return rpm


def _readings(typed: Typed) -> tuple[str, ...]:
    return tuple(f"{name} {text}" for name in ("side", "plan")
                 for text in single(typed.values(name, _ANGLE)))


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {name: facts[fact] for name, fact in (("tire", "tire_size"), ("axle_ratio",) * 2)
            if facts.get(fact)}


CALCULATOR = Calculator(
    name="driveshaft",
    about=(
        "A universal joint that works at an angle turns its shaft unevenly, twice per turn, and a "
        "second one has to undo it. Read the lie of every piece with an inclinometer, from the "
        "transmission's output over each driveshaft piece to the pinion, at ride height with the "
        "weight on the wheels. It says at which angle each joint works, what is left that does "
        "not cancel, whether that is too much at the speed of the complaint, and how far the "
        "pinion is to be tilted. Lift and support the car as its maker's manual says, engine off "
        "and shaft at rest."
    ),
    empty=(
        "Type how far each piece slopes in the side view, from the transmission to the pinion, "
        "as 3.0 8.5 3.5. Front end up is positive."
    ),
    entries=(
        Field("side", "Side view", "3.0 8.5 3.5",
              "Slope of transmission output, each driveshaft piece and pinion, front to rear; "
              "front end up is positive.", _ANGLE, _LIST),
        Field("plan", "Seen from above", "0 1.0 0",
              "The same seen from above; rear end to the right is positive. Straight if empty.",
              _ANGLE, _LIST),
        Field("joints", "Joints", "single single",
              "One word for each joint, front to rear: single, double, cv (constant velocity) or "
              "rubber. All single if empty.", shape=Shape.TEXT),
        Field("speed", "Road speed", "105 {unit}", "At which it shakes; with tire and axle ratio.",
              Quantity.SPEED),
        TIRE,
        Field("axle_ratio", "Axle ratio", "3.73", "Driveshaft turns per wheel turn."),
        Field("rpm", "Or shaft speed", "3000 rpm", "Instead of the road speed; a bare number "
              "counts in rpm.", Quantity.FREQUENCY, own_unit="rpm"),
        Field("out_of_phase", "Yokes off by", "0",
              "Phase error of each driveshaft piece: how far its yokes are turned against the "
              "maker's marks [deg].", _ANGLE, _LIST, folded=True),
        Field("uncertainty", "Uncertainty", "0.2", "Of one angle read, at about 95 %; 0.2 deg if "
              "empty.", _ANGLE, folded=True),
        Field("limit", "Limit at the axle", "400",
              "Angular acceleration that is accepted [rad/s2]; 400 if empty.", folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"side": "5.0 deg 12.0 deg 0.0 deg", "rpm": "3000 rpm"},
                "A raised rear axle whose pinion lies level while the transmission slopes by "
                "5 deg.",
                ("tilt the pinion's nose up by 5.0 deg",)),
        Example({"side": "3.0 deg 5.5 deg 3.2 deg", "speed": "105 km/h", "tire": "205/55R16",
                 "axle_ratio": "3.73"},
                "Transmission and pinion lie almost parallel: the two joints undo each other.",
                ("proven within the limit",)),
        Example({"side": "2.0 deg 14.0 deg 10.0 deg", "joints": "double single",
                 "rpm": "2800 rpm"},
                "A double joint at the transmission turns evenly by itself: the pinion belongs "
                "along the shaft, not parallel to the transmission.",
                ("point the pinion along the shaft",)),
    ),
)
