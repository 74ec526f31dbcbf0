"""The page of driveshaft angles."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.driveshaft import DriveshaftResult, Joint, JudgedJoint, Tilt
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.joints.line import LEAST_WORKING_DEG, MOST_WORKING_DEG
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_JOINTS = {
    Joint.SINGLE: "single cross", Joint.DOUBLE: "double joint", Joint.CV: "constant velocity",
    Joint.RUBBER: "rubber coupling",
}
_LEFT = {
    Zone.WITHIN: "proven within the limit", Zone.BEYOND: "proven beyond the limit",
    Zone.UNDECIDED: "too near the limit to be proven either way",
}
RESIDUE_DEG = 0.1  # the digits of a tilt that can be set


def page(result: DriveshaftResult, wording: Wording) -> tuple[Block, ...]:
    """Operating angles, what they leave, and the tilt that mends it."""
    rows = tuple(
        (str(number), _JOINTS[each.joint], _angle(each, wording),
         _judgment(each, result.largest_deg))
        for number, each in enumerate(result.joints, start=1)
    )
    return result_page(
        _headline(result, wording),
        (*section("Operating angle of each joint, front to rear",
                  (Table(("joint", "kind", "angle", "says"), rows, frozenset((0, 2))),)),
         *titled("Left uncancelled", _left(result, wording))),
        mind=_mind(result), next_steps=_next(result, wording),
    )


def _angle(each: JudgedJoint, wording: Wording) -> str:
    angle = each.angle
    return wording.spread(angle.angle_deg, angle.uncertainty_deg, Quantity.ANGLE)


def _too_steep(each: JudgedJoint, largest_deg: float | None) -> bool:
    """Proven over the usual angle, and not under what the speed in question allows."""
    if each.most is None or each.most.zone is not Zone.BEYOND:
        return False
    return largest_deg is None or each.angle.angle_deg + each.angle.uncertainty_deg > largest_deg


def _judgment(each: JudgedJoint, largest_deg: float | None) -> str:
    if each.most is None:
        return "turns evenly; its maker's figure counts"
    if _too_steep(each, largest_deg):
        at = "the highway" if largest_deg is None else "this speed"
        return f"more than {MOST_WORKING_DEG:g} deg: too steep for {at}"
    if each.most.zone is Zone.BEYOND:
        return f"more than the usual {MOST_WORKING_DEG:g} deg, less than this speed allows"
    if each.most.zone is Zone.UNDECIDED:
        return f"at about {MOST_WORKING_DEG:g} deg: as steep as is usual"
    if each.still is Zone.WITHIN:
        return f"under {LEAST_WORKING_DEG:g} deg: too straight, its needles do not roll"
    if each.still is Zone.UNDECIDED:
        return f"at about {LEAST_WORKING_DEG:g} deg: as straight as is usual"
    return f"within {LEAST_WORKING_DEG:g} to {MOST_WORKING_DEG:g} deg"


def _size(result: DriveshaftResult, wording: Wording) -> str:
    return wording.spread(result.line.uncancelled_deg, result.line.uncancelled_uncertainty_deg,
                          Quantity.ANGLE)


def _headline(result: DriveshaftResult, wording: Wording) -> str:
    size = _size(result, wording)
    if result.left is None:
        return f"what is left acts as one joint at {size}; with a speed it can be judged"
    return f"what is left acts as one joint at {size}: {_LEFT[result.left.zone]} at this speed"


def _left(result: DriveshaftResult, wording: Wording) -> Iterable[str]:
    if result.difference_deg is not None:
        apart = wording.spread(*result.difference_deg, Quantity.ANGLE)
        yield f"the two operating angles differ by {apart}"
    if result.left is not None and result.shaft_rpm is not None and result.largest_deg is not None:
        found = result.left
        yield (f"at {result.shaft_rpm:.0f} rpm of the shaft the axle is shaken twice per turn by "
               f"{found.value:.0f} +/- {found.uncertainty:.0f} rad/s2; limit {found.limit:.0f}")
        yield (f"largest angle of a single joint at this speed: {result.largest_deg:.1f} deg "
               "(by 1,000 rad/s2, the shaft's own)")


def _mind(result: DriveshaftResult) -> Iterable[str]:
    yield ("0.5 to 3 deg a joint is common practice; 400 and 1,000 rad/s2 are after SAE AE-7, "
           "1979, from memory: the vehicle maker's figures go first")
    if not result.plan_read:
        yield "not read from above: the line is taken as straight there"
    if any(each.joint in (Joint.DOUBLE, Joint.RUBBER) for each in result.joints):
        yield "a double joint or a coupling that is worn turns unevenly all the same"
    yield "angles move with load and with the axle's windup: measure at ride height"


def _next(result: DriveshaftResult, wording: Wording) -> Iterable[str]:
    too_much = result.left is None or result.left.zone is not Zone.WITHIN
    steep = any(_too_steep(each, result.largest_deg) for each in result.joints)
    if result.tilt is None:
        if too_much:
            yield ("no tilt of the axle mends it: look for a wrong place of transmission or center "
                   "support, and for yokes out of phase")
    elif too_much:
        yield from _shim(result, result.tilt, wording)
    if steep:
        yield ("a joint is too steep whatever cancels: look at ride height, lift parts and mounts "
               "of transmission and axle before shims")
    if any(each.still is Zone.WITHIN for each in result.joints):
        yield (f"a joint under {LEAST_WORKING_DEG:g} deg wears in one place: tilt both ends alike, "
               "so that its needles roll")
    if not too_much and not steep:
        yield "leave the angles as they are; look at runout and balance of the shaft"


def _shim(result: DriveshaftResult, tilt: Tilt, wording: Wording) -> Iterable[str]:
    if not tilt.tilt_deg:
        yield ("no tilt of the pinion leaves less: compare the line seen from above, and the marks "
               "of the yokes")
        return
    way = "up" if tilt.tilt_deg > 0.0 else "down"
    size = wording.size(abs(tilt.tilt_deg), Quantity.ANGLE, 10.0 * RESIDUE_DEG)
    left = wording.size(tilt.left_deg, Quantity.ANGLE, 10.0 * RESIDUE_DEG)
    lead = "point the pinion along the shaft: " if result.along_shaft else ""
    yield f"{lead}tilt the pinion's nose {way} by {size}; {left} is left then"
    yield "measure again with the weight on the wheels before the joints are blamed"
