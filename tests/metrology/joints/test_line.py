"""Working angles and what they leave: exact kinematics, handbook figures, coverage."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.joints.line import (
    JointKind,
    Piece,
    difference,
    largest_angle_deg,
    phasor,
    shim_deg,
    work_out,
)
from vibecheck.virtual.driveline import turned_out

SINGLE, EVEN = JointKind.SINGLE, JointKind.EVEN
TURN = np.linspace(0.0, 2.0 * math.pi, 720, endpoint=False)
ANGLES = st.floats(min_value=-6.0, max_value=6.0)


def second_order(pieces: list[Piece], kinds: tuple[JointKind, ...]) -> float:
    """Amplitude of the turning twice per turn [rad], exactly."""
    off = turned_out(pieces, kinds, TURN)
    return float(abs(2.0 * np.mean(off * np.exp(-2j * TURN))))


def test_one_joint_turns_by_the_square_of_its_angle() -> None:
    """tan out = tan in / cos b: at 10 deg the lead is at most 0.44 deg (b^2 / 4)."""
    pieces = [Piece(0.0), Piece(10.0)]
    line = work_out(pieces)

    assert 10.0 == pytest.approx(line.uncancelled_deg, rel=1e-9)
    assert math.radians(10.0) ** 2 / 4.0 == pytest.approx(second_order(pieces, (SINGLE,)), rel=0.02)


@given(st.lists(st.tuples(ANGLES, ANGLES, st.floats(-90.0, 90.0)), min_size=2, max_size=5),
       st.data())
def test_the_sum_of_phasors_is_the_exact_turning(
    lies: list[tuple[float, float, float]], data: st.DataObject
) -> None:
    pieces = [Piece(side, plan, out_of_phase_deg=phase) for side, plan, phase in lies]
    kinds = tuple(data.draw(st.sampled_from((SINGLE, EVEN))) for _ in pieces[1:])
    sizes = sum(work_out(pieces).joints[at].angle_deg ** 2 for at in range(len(kinds)))
    slack = 0.03 * math.radians(1.0) ** 2 * sizes + 1e-9

    assert abs(phasor(pieces, kinds)) / 4.0 == pytest.approx(
        second_order(pieces, kinds), abs=slack
    )


@pytest.mark.parametrize("angle", [1.0, 2.5, 5.0])
def test_parallel_ends_cancel_and_one_yoke_a_quarter_off_doubles(angle: float) -> None:
    """Transmission and pinion parallel: the second joint undoes the first (common practice).

    With the yokes a quarter turn out of phase the two add: as one joint at sqrt(2) the angle.
    """
    parallel = [Piece(3.0), Piece(3.0 + angle), Piece(3.0)]
    wrong = [parallel[0], replace(parallel[1], out_of_phase_deg=90.0), parallel[2]]

    assert 0.0 == pytest.approx(work_out(parallel).uncancelled_deg, abs=1e-6)
    assert math.sqrt(2.0) * angle == pytest.approx(work_out(wrong).uncancelled_deg, rel=1e-9)


def test_a_joint_in_side_and_plan_view_has_the_compound_angle() -> None:
    """Two views of 3 and 4 deg make a compound angle of 5 deg (small angles, right triangle)."""
    joint = work_out([Piece(0.0), Piece(3.0, 4.0)]).joints[0]

    assert 5.0 == pytest.approx(joint.angle_deg, abs=0.01)


def test_three_joints_with_the_rear_one_left_over() -> None:
    """SAE AE-7's rule for three joints in a plane: equivalent = sqrt(|a^2 - b^2 + c^2|) (memory).

    2, 1 and 3 deg: sqrt(4 - 1 + 9) = 3.46 deg.
    """
    pieces = [Piece(0.0), Piece(2.0), Piece(3.0), Piece(0.0)]

    assert [2.0, 1.0, 3.0] == pytest.approx([j.angle_deg for j in work_out(pieces).joints])
    assert math.sqrt(12.0) == pytest.approx(work_out(pieces).uncancelled_deg, rel=1e-6)


@pytest.mark.parametrize(
    ("rpm", "deg"), [(5000, 3.25), (4000, 4.25), (3000, 5.83), (2000, 8.67), (1500, 11.5)]
)
def test_the_largest_angle_follows_the_printed_table(rpm: float, deg: float) -> None:
    """A shaft maker's table of largest joint angles by speed, printed in guides (memory)."""
    assert deg == pytest.approx(largest_angle_deg(rpm), rel=0.08)


def test_the_shim_makes_the_ends_cancel() -> None:
    """A raised axle: transmission at 5, shaft at 12, pinion level. The pinion belongs at 5."""
    pieces = [Piece(5.0), Piece(12.0), Piece(0.0)]
    tilt = shim_deg(pieces)
    shimmed = [*pieces[:2], replace(pieces[2], side_deg=tilt)]

    assert 5.0 == pytest.approx(tilt, abs=0.01)
    assert work_out(shimmed).uncancelled_deg < 0.5


def test_a_double_joint_wants_the_pinion_along_the_shaft() -> None:
    """A double joint at the transmission turns evenly: the pinion is to point along the shaft,
    not to lie parallel to the transmission (common practice for raised four-wheel drives)."""
    pieces = [Piece(2.0), Piece(14.0), Piece(10.0)]

    assert 4.0 == pytest.approx(shim_deg(pieces, (EVEN, SINGLE)), abs=0.01)
    with pytest.raises(ReadingError, match="turns evenly"):
        shim_deg(pieces, (SINGLE, EVEN))


def test_two_joints_differ_by_the_ends_alone() -> None:
    """In one plane a slip of the shaft's own reading moves both angles and leaves the difference.

    Ends read to 0.2 deg each: root of 0.2^2 + 0.2^2 (JCGM 100:2008, 5.1.2).
    """
    apart, spread = difference([Piece(2.0), Piece(6.0), Piece(3.5)])

    assert 4.0 - 2.5 == pytest.approx(apart)
    assert 0.2 * math.sqrt(2.0) == pytest.approx(spread, rel=1e-6)


def test_the_stated_uncertainty_of_the_difference_holds() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(2000):
        true = [Piece(*rng.uniform(-1.0, 1.0, 2)), Piece(*rng.uniform(4.0, 7.0, 2)),
                Piece(*rng.uniform(-1.0, 3.0, 2))]
        read = [replace(piece, side_deg=piece.side_deg + rng.normal(0.0, 0.1),
                        plan_deg=piece.plan_deg + rng.normal(0.0, 0.1)) for piece in true]
        ends = [work_out(true).joints[at].angle_deg for at in (0, 1)]
        apart, spread = difference(read)
        held += abs(apart - abs(ends[0] - ends[1])) <= spread

    assert 0.93 <= held / 2000 <= 0.97


def test_what_is_left_is_judged_at_the_speed_in_question() -> None:
    line = work_out([Piece(0.0, uncertainty_deg=0.1), Piece(6.0, uncertainty_deg=0.1),
                     Piece(1.0, uncertainty_deg=0.1)])

    assert Zone.WITHIN is line.judged(600.0).zone
    assert Zone.BEYOND is line.judged(4000.0).zone


def test_the_stated_uncertainty_holds() -> None:
    """2,000 drawn lines: angle of the first joint and the phasor within their k = 2 interval."""
    rng = np.random.default_rng(7)
    held_angle = held_left = 0
    draws = 2000
    for _ in range(draws):
        true = [Piece(*rng.uniform(-1.0, 1.0, 2)), Piece(*rng.uniform(2.0, 6.0, 2)),
                Piece(*rng.uniform(-1.0, 1.0, 2))]
        read = [replace(piece, side_deg=piece.side_deg + rng.normal(0.0, 0.1),
                        plan_deg=piece.plan_deg + rng.normal(0.0, 0.1)) for piece in true]
        truth, found = work_out(true), work_out(read)
        joint = found.joints[0]
        held_angle += abs(joint.angle_deg - truth.joints[0].angle_deg) <= joint.uncertainty_deg
        along = np.exp(-1j * np.angle(found.phasor_rad2))
        off = ((found.phasor_rad2 - truth.phasor_rad2) * along).real
        held_left += abs(off) <= found.phasor_uncertainty_rad2

    assert 0.93 <= held_angle / draws <= 0.97
    assert 0.93 <= held_left / draws <= 0.97


@pytest.mark.parametrize(
    ("pieces", "kinds", "words"),
    [
        ([Piece(1.0)], (), "1 pieces"),
        ([Piece(1.0), Piece(2.0)], (SINGLE, SINGLE), "1 joints, not 2"),
        ([Piece(40.0), Piece(2.0)], (), "40 deg"),
        ([Piece(math.nan), Piece(2.0)], (), "nan deg"),
        ([Piece(1.0, uncertainty_deg=0.0), Piece(2.0)], (), "uncertainty"),
    ],
)
def test_what_cannot_be_is_refused(
    pieces: list[Piece], kinds: tuple[JointKind, ...], words: str
) -> None:
    with pytest.raises(ReadingError, match=words):
        work_out(pieces, kinds)
