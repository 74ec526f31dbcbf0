"""Driveshaft angles as typed: handbook figures, rules of the trade, exact kinematics, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts, values_of

from vibecheck.calculators.driveshaft import (
    CALCULATOR,
    DIFFERENCE_FINDING,
    JOINT_FINDING,
    Joint,
    run,
)
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.joints.line import JointKind, Piece
from vibecheck.metrology.units.choice import US
from vibecheck.virtual.driveline import turned_out

answers_of = CALCULATOR.answers_of
ROAD = {"speed": "65 mph", "tire": "205/55R16", "axle_ratio": "3.73"}


def test_the_rule_for_three_joints() -> None:
    """SAE AE-7: three joints in a plane leave sqrt(|a^2 - b^2 + c^2|) (from memory).

    2, 1 and 3 deg: sqrt(4 - 1 + 9) = 3.46 deg.
    """
    found = run(texts(side="0 2 3 0"))

    assert [2.0, 1.0, 3.0] == pytest.approx([each.angle.angle_deg for each in found.joints])
    assert math.sqrt(12.0) == pytest.approx(found.line.uncancelled_deg, rel=1e-6)
    assert [JOINT_FINDING] == list(values_of(answers_of(found)))


@pytest.mark.parametrize(
    ("rpm", "deg"), [("5000", 3.25), ("4000", 4.25), ("3000 rpm", 5.83), ("2000", 8.67)]
)
def test_the_largest_angle_follows_the_printed_table(rpm: str, deg: float) -> None:
    """A shaft maker's table of largest joint angles by speed, printed in guides (from memory)."""
    assert deg == pytest.approx(run(texts(side="3 5 3", rpm=rpm)).largest_deg, rel=0.08)


def test_a_joint_in_both_views_has_the_compound_angle() -> None:
    """3 deg in one view and 4 in the other: 5 deg (small angles, right triangle)."""
    (joint,) = run(texts(side="0 3", plan="0 4")).joints

    assert 5.0 == pytest.approx(joint.angle.angle_deg, abs=0.01)


def test_road_speed_becomes_shaft_speed() -> None:
    """104.6 km/h on 1.9276 m (631.9 mm by two public size pages, rolling 0.971): 904 rpm of the
    wheel, times 3.73."""
    found = run({"side": "3 5 3", **ROAD})

    assert 65.0 * 1.609344 / 3.6 / 1.9276 * 60.0 * 3.73 == pytest.approx(found.shaft_rpm, rel=1e-3)


def test_parallel_ends_are_left_alone_and_a_level_pinion_is_raised() -> None:
    """Common practice, no source: with single joints the pinion lies parallel to the
    transmission's output; a raised truck with its pinion level wants it at the output's slope."""
    good, raised = run({"side": "3 5.5 3", **ROAD}), run(texts(side="5 12 0", rpm="3000"))

    assert good.left is not None and Zone.WITHIN is good.left.zone
    assert "leave the angles as they are" in said("driveshaft", good)
    assert raised.tilt is not None and 5.0 == pytest.approx(raised.tilt.tilt_deg, abs=0.02)
    assert raised.left is not None and Zone.BEYOND is raised.left.zone


def test_a_double_joint_wants_the_pinion_along_the_shaft() -> None:
    """Common practice for raised four-wheel drives, no source."""
    found = run(texts(side="2 14 10", joints="double single", rpm="2800"))

    assert found.along_shaft and found.tilt is not None
    assert 4.0 == pytest.approx(found.tilt.tilt_deg, abs=0.02)
    assert "point the pinion along the shaft" in said("driveshaft", found)
    assert Joint.DOUBLE is found.joints[0].joint and found.joints[0].most is None


def test_a_tilt_does_nothing_where_the_axle_has_a_joint_that_turns_evenly() -> None:
    found = run(texts(side="2 6 1", joints="single cv", rpm="4000"))

    assert found.tilt is None
    assert "no tilt of the axle mends it" in said("driveshaft", found)


def test_yokes_a_quarter_turn_off_add_up() -> None:
    """Two equal angles out of phase by 90 deg act as one of sqrt(2) times the angle (AE-7)."""
    found = run(texts(side="3 6 3", out_of_phase="90"))

    assert math.sqrt(2.0) * 3.0 == pytest.approx(found.line.uncancelled_deg, rel=1e-6)


@pytest.mark.parametrize(
    ("side", "most", "still"),
    [("0 0.1 0", Zone.WITHIN, Zone.WITHIN), ("0 1.5 0", Zone.WITHIN, Zone.BEYOND),
     ("0 3.1 0", Zone.UNDECIDED, Zone.BEYOND), ("0 5 0", Zone.BEYOND, Zone.BEYOND)],
)
def test_each_joint_is_judged_from_half_a_degree_to_three(
    side: str, most: Zone, still: Zone
) -> None:
    """0.5 deg for the needles to roll, 3 deg at highway speed: common practice, no source."""
    joint = run(texts(side=side, uncertainty="0.1")).joints[0]

    assert joint.most is not None
    assert (most, still) == (joint.most.zone, joint.still)


def test_the_difference_of_two_joints_and_the_steepest_are_findings() -> None:
    found = run(texts(side="2.0 +/- 0.1 6.0 3.5 +/- 0.1", uncertainty="0.3"))

    assert {DIFFERENCE_FINDING: "1.5 deg +/- 0.141", JOINT_FINDING: "4 deg +/- 0.316"} == (
        values_of(answers_of(found)))
    assert () == answers_of(run(texts(side="2 6 3.5", joints="cv rubber")))


def test_us_units_show_no_metric_ones() -> None:
    text = said("driveshaft", run({"side": "3 5.5 3.2", **ROAD}), US)

    assert "km/h" not in text and " mm" not in text
    assert "deg" in text


def test_what_is_stated_holds_for_lines_turned_exactly() -> None:
    """2,000 lines of three pieces (invented), read to a tenth of a degree with noise: the second
    order of the exact kinematics of each true line lies within the stated interval (k = 2)."""
    rng = np.random.default_rng(21)
    turn = np.linspace(0.0, 2.0 * math.pi, 90, endpoint=False)
    single = (JointKind.SINGLE, JointKind.SINGLE)
    held = 0
    for _ in range(2000):
        true = rng.uniform((-1.0, 3.0, 1.0), (1.0, 6.0, 4.0)), rng.uniform(-1.0, 1.0, 3)
        read = [" ".join(f"{each:.2f}" for each in view + rng.normal(0.0, 0.1, 3))
                for view in true]
        found = run(texts(side=read[0], plan=read[1]))
        pieces = [Piece(side, plan) for side, plan in zip(*true, strict=True)]
        exact = turned_out(pieces, single, turn)
        phasor = 8.0 * np.mean(exact * np.exp(-2j * turn))
        size = abs(found.line.phasor_rad2)
        held += abs(abs(phasor) - size) <= found.line.phasor_uncertainty_rad2

    assert 0.93 <= held / 2000 <= 0.97


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(plan="1 2"), "side", "no piece"),
        (texts(side="3"), "side", "1 pieces"),
        (texts(side="1 2 3 4 5 6 7"), "side", "7 pieces"),
        (texts(side="3 40 3"), "side", "40 deg"),
        (texts(side="3 4 3", plan="0 0"), "plan", "2 angles for 3"),
        (texts(side="3 4 3", plan="0 80 0"), "plan", "80 deg"),
        (texts(side="3 4 3", joints="single"), "joints", "2 joints, not 1"),
        (texts(side="3 4 3", joints="single elastic"), "joints", "'elastic'"),
        (texts(side="3 4 3", out_of_phase="1 2"), "out_of_phase", "2 phase errors for 1"),
        (texts(side="3 4 3", out_of_phase="900"), "out_of_phase", "over a turn"),
        (texts(side="3 4 +/- 99 3"), "side", "4±99 deg"),
        (texts(side="3 4 3", uncertainty="1e9"), "uncertainty", "not known"),
        (texts(side="3 4 3", uncertainty="0"), "uncertainty", "above zero"),
        (texts(side="3 4 3", rpm="3000", speed="100"), "rpm", "twice"),
        (texts(side="3 4 3", rpm="3000 Hz"), "rpm", "rpm cannot be"),
        (texts(side="3 4 3", speed="100"), "tire", "tire size"),
        (texts(side="3 4 3", speed="100", tire="205/55R16"), "axle_ratio", "axle ratio"),
        (texts(side="3 4 3", speed="100", tire="205/55R16", axle_ratio="99"), "axle_ratio", "99"),
        (texts(side="3 4 3", limit="-4"), "limit", "above zero"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
