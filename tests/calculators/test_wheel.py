"""The wheel so far: the four bead surfaces of one wheel together."""

from __future__ import annotations

import pytest
from calculator_helpers import RULES, bent

from vibecheck.calculators.runout import CALCULATOR, run
from vibecheck.calculators.wheel import SURFACES, WheelResult
from vibecheck.report.calculators.notes import PAST_THE_BEND
from vibecheck.report.calculators.pages import calculator_page
from vibecheck.report.calculators.wheel import wheel_sentences
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.answers import Assignment
from vibecheck.session.intake import take_in
from vibecheck.session.open_case import OpenCase
from vibecheck.session.wheel import wheel_so_far


def read(opened: OpenCase, surface: str, **typed: str) -> None:
    take_in(opened, CALCULATOR, run(typed), "", "LF", surface)


def at_left_front(opened: OpenCase) -> WheelResult:
    found = wheel_so_far(opened, "LF")
    assert found is not None
    return found


def sentences(opened: OpenCase) -> tuple[str, ...]:
    return wheel_sentences(at_left_front(opened), Wording())


def test_no_reading_no_verdict(opened: OpenCase):
    assert wheel_so_far(opened, "LF") is None
    opened.answer(["assembly_radial@LF=3 mm"])
    assert wheel_so_far(opened, "LF") is None


def test_one_surface_within_is_incomplete(opened: OpenCase):
    read(opened, "bead_radial_inboard", tir="0.2 mm +/- 0.02")
    found = at_left_front(opened)

    assert "incomplete" == found.verdict
    assert 3 == len(found.missing)
    assert "still to measure: inboard lateral" in sentences(opened)[-1]


def test_four_surfaces_within_are_sound(opened: OpenCase):
    for surface in SURFACES:
        read(opened, surface, tir="0.2 mm +/- 0.02")

    assert ("sound", ()) == (at_left_front(opened).verdict, at_left_front(opened).missing)


@pytest.mark.parametrize(
    ("tir", "verdict"),
    [
        # 9.5 thou within, 0.49 mm at the edge, 47 thou a plain bend (common practice);
        # beyond 1/8 in a wheel is rejected (49 CFR 570.10(b)).
        ("9.5 thou +/- 0.5", "incomplete"), ("0.49 mm +/- 0.02", "undecided"),
        ("47 thou +/- 1", "out_of_tolerance"), ("3.3 mm +/- 0.05", "reject"),
    ],
)
def test_verdicts(opened: OpenCase, tir: str, verdict: str):
    read(opened, "bead_lateral_outboard", tir=tir)

    assert verdict == at_left_front(opened).verdict


def test_a_typed_limit_counts_for_its_own_surfaces(opened: OpenCase):
    opened.set_facts(limits={"wheel_bead_lateral": "1.5 mm"})
    read(opened, "bead_lateral_inboard", tir="1.2 mm +/- 0.02")
    assert "incomplete" == at_left_front(opened).verdict

    read(opened, "bead_radial_inboard", tir="1.2 mm +/- 0.02")
    found = at_left_front(opened)
    assert "out_of_tolerance" == found.verdict
    assert "proven beyond the tolerance of 0.50 mm" in sentences(opened)[0]


def test_the_shape_comes_from_the_readings_in_the_case(opened: OpenCase):
    """A drop leaves a dip with a bulge beside it, the other side straight (common practice)."""
    read(opened, "bead_radial_inboard", readings=bent(0.9, 0.7, 36.0))
    read(opened, "bead_radial_outboard", tir="0.1 mm +/- 0.02")

    assert any("after a drop on a hard floor" in text for text in sentences(opened))


def test_a_new_wheel_with_a_dent_is_a_claim_on_the_carrier(opened: OpenCase):
    read(opened, "bead_radial_inboard", tir="0.49 mm +/- 0.02")
    assert not at_left_front(opened).carrier_claim

    opened.answer(["new_wheels=yes", "wheel_shipped=yes", "impact_mark@LF=dent"])
    assert at_left_front(opened).carrier_claim


def test_readings_spoiled_by_hand_fall_back_to_the_value(opened: OpenCase):
    spoiled = Assignment("bead_radial_inboard", "0.9 mm", "LF", ("a", "b", "c"), ("0", "1", "2"))
    opened.answer([spoiled])

    assert "out_of_tolerance" == at_left_front(opened).verdict


def test_other_corners_do_not_count():
    opened = OpenCase.new(None, place="bay", rules=RULES)
    opened.answer(["bead_radial_inboard@RF=0.9 mm"])

    assert wheel_so_far(opened, "LF") is None


BEND_MISSED = (  # invented: 24 readings, one of them in a dip 20 deg wide with a bulge beside it
    "0.08 0.10 0.11 0.10 0.08 0.07 0.05 0.03 -0.01 -0.02 -0.05 -0.06 -0.11 -0.42 0.04 -0.06 -0.10 "
    "-0.07 -0.05 -0.03 -0.00 0.02 0.05 0.07 mm")


def test_a_bend_between_readings_is_judged_the_same_everywhere(opened: OpenCase):
    bench = run({"readings": BEND_MISSED, "tolerance": "0.5 mm"})
    assert bench.runout.tir_mm == pytest.approx(0.53) and bench.runout.unseen_mm > 0.1
    assert bench.decision is not None and bench.decision.zone.value == "undecided"
    printed = " ".join(text_lines(calculator_page("runout", bench, Wording()), 100))
    assert f"> {PAST_THE_BEND} (206 deg (7 o'clock) over 42 deg)" in printed

    read(opened, "bead_radial_inboard", readings=BEND_MISSED)

    found = opened.diagnosis
    [reading] = [each for each in found.readings if each.finding == "bead_radial_inboard"]
    assert reading.judged.measured.value == pytest.approx(bench.runout.judged_mm[0], abs=0.001)
    wheel = at_left_front(opened)
    assert wheel.verdict == "undecided"
    value, spread = bench.runout.judged_mm
    assert f"{value:.2f} +/- {spread:.2f} mm" in sentences(opened)[0]
    assert "turn slowly past the bend" in sentences(opened)[0]


def test_what_was_seen_of_a_bend_is_enough_to_condemn(opened: OpenCase):
    """What lies unseen can only add: readings beyond the limit prove it without that."""
    deep = BEND_MISSED.replace("-0.42", "-0.85")

    read(opened, "bead_radial_inboard", readings=deep)

    assert at_left_front(opened).verdict == "out_of_tolerance"
