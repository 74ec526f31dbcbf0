"""The runout calculator: typed text to a judged runout and to findings."""

from __future__ import annotations

import math

import pytest
from calculator_helpers import bent, refusal, said, texts, values_of

from vibecheck.calculators.runout import CALCULATOR, RunoutResult, run
from vibecheck.errors import ReadingError
from vibecheck.report.calculators.runout import turn_figure
from vibecheck.report.wording import Wording

answers_of = CALCULATOR.answers_of


class TestNumbers:
    @pytest.mark.parametrize(
        ("high", "low", "tir_mm", "zone"),
        [("7 thou", "-2.5 thou", 0.2413, "within"), ("47 thou", "0 thou", 1.1938, "beyond")],
    )
    def test_thousandths_against_half_a_millimetre(
        self, high: str, low: str, tir_mm: float, zone: str
    ):
        """9.5 thou is within and 47 thou a plain bend (common practice, no source)."""
        found = run(texts(high=high, low=low, tolerance="0.5 mm"))

        assert tir_mm == pytest.approx(found.runout.tir_mm, abs=1e-4)
        assert found.decision is not None and zone == found.decision.zone

    def test_an_offset_surface_runs_out_by_twice_its_offset(self):
        """ISO 1101 and ASME Y14.5: a surface offset by e has a runout of 2 e."""
        text = " ".join(f"{0.3 * math.cos(math.radians(20 * n)):.3f}" for n in range(18))
        found = run(texts(readings=text, division="0.001"))

        assert 0.3 == pytest.approx(found.runout.eccentricity_mm, abs=0.001)
        assert 0.6 == pytest.approx(found.runout.tir_mm, abs=0.01)

    def test_decimal_commas_and_inches(self):
        found = run(texts(tir="0,018 in +/- 0,001 in"))

        assert 0.4572 == pytest.approx(found.runout.tir_mm)
        assert 0.0254 == pytest.approx(found.runout.uncertainty_mm)

    def test_the_plot_has_every_reading_at_its_angle(self):
        found = run(texts(readings="1 2 3 4 5 6 thou", angles="300 240 180 120 60 0"))

        figure = turn_figure(found, Wording())
        assert (0.0, 60.0, 120.0, 180.0, 240.0, 300.0) == figure.x
        assert 6 * 0.0254 == pytest.approx(figure.y[0])


class TestHub:
    def test_a_hub_face_tilts_the_wheel(self):
        """Similar triangles: 0.1 mm at 50 mm from the axis is 0.4 mm at 200 mm."""
        found = run(texts(tir="0.1 mm +/- 0.01", face_radius="50", bead_radius="200 mm",
                                bead_offset="100 mm"))
        assert found.carried is not None

        assert (0.4, 0.2) == pytest.approx((found.carried.lateral_mm, found.carried.radial_mm))
        assert 0.04 == pytest.approx(found.carried.lateral_uncertainty_mm)
        assert "lateral 0.400 +/- 0.040 mm" in said("runout", found)

    def test_a_spigot_carries_the_wheel_with_it(self):
        found = run(texts(tir="0.1 mm +/- 0.01", clearance="0.03 mm"))
        assert found.carried is not None

        assert 0.1 == pytest.approx(found.carried.radial_mm)
        assert math.hypot(0.01, 2 * 0.03 / math.sqrt(3)) == pytest.approx(
            found.carried.radial_uncertainty_mm)

    @pytest.mark.parametrize(
        ("typed", "field"),
        [
            (texts(tir="0.1", face_radius="50"), "bead_radius"),
            (texts(tir="0.1", bead_radius="200"), "face_radius"),
            (texts(tir="0.1", face_radius="0", bead_radius="200"), "face_radius"),
            (texts(tir="0.1", face_radius="50", bead_radius="200", clearance="1"),
             "clearance"),
        ],
    )
    def test_half_of_the_geometry_is_refused(self, typed: dict[str, str], field: str):
        assert field == refusal(lambda: run(typed)).where


class TestFindings:
    def test_value_readings_and_angles_as_typed(self):
        typed = texts(readings="0 2 5 8 9 9 6 3 thou", uncertainty="1 thou")
        (surface, oval) = answers_of(run(typed), "bead_radial_outboard")

        assert ("bead_radial_outboard", "9 thou +/- 1") == (surface.finding, surface.text)
        assert ("0 thou", "2 thou") == surface.readings[:2]
        assert ("0", "45") == surface.angles[:2]
        assert "bead_oval" == oval.finding

    def test_a_narrow_dip_with_a_bulge_beside_it(self):
        """A drop squeezes metal up beside the low spot (common practice, no source)."""
        found = run(texts(readings=bent(0.5, 0.4, 36.0)))

        assert "dip_and_bulge" == values_of(answers_of(found, "bead_radial_inboard"))[
            "local_bend_shape"]

    def test_wide_and_deep(self):
        """A curb or pothole bends wide and deep (common practice, no source)."""
        found = run(texts(readings=bent(2.6, 0.0, 150.0)))

        assert "wide_and_deep" == found.bend_shape

    def test_smooth_needs_readings_enough(self):
        smooth = " ".join(f"{0.1 * math.cos(math.radians(20 * n)):.2f}" for n in range(18))
        few = " ".join(f"{0.1 * math.cos(math.radians(45 * n)):.2f}" for n in range(8))

        assert "none" == run(texts(readings=smooth, high="0.1", low="-0.1")).bend_shape
        assert "" == run(texts(readings=smooth)).bend_shape  # a narrow bend may lie between them
        assert "" == run(texts(readings=few)).bend_shape

    def test_other_surfaces_tell_nothing_of_the_wheel(self):
        found = run(texts(readings=bent(0.5, 0.4, 36.0)))

        assert ["assembly_radial"] == list(values_of(answers_of(found, "assembly_radial")))
        lateral = values_of(answers_of(found, "bead_lateral_inboard"))
        assert {"bead_lateral_inboard", "local_bend_shape"} == set(lateral)

    def test_high_and_low_give_the_runout_alone(self):
        found: RunoutResult = run(texts(high="0.3", low="-0.1"))
        (only,) = answers_of(found, "bead_radial_inboard")

        assert "0.4 mm +/- 0.0606" == only.text
        assert ("0.3 mm", "-0.1 mm") == only.readings

    def test_the_surface_must_be_said(self):
        found = run(texts(tir="0.3"))

        assert "surface" == refusal(lambda: answers_of(found)).where


class TestBadInput:
    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (texts(), "readings", "one kind of input"),
            (texts(tir="1", high="1", low="0"), "readings", "one kind of input"),
            (texts(high="1"), "low", "a high needs a low"),
            (texts(low="1"), "high", "a low needs a high"),
            (texts(high="0", low="1"), "high", "lies below the low"),
            (texts(readings="1 2 3"), "readings", "too few"),
            (texts(readings="1 2 3 4 5 6", angles="0 60 60 180 240 300"), "readings",
             "the same place"),
            (texts(readings="1 2 3 4 5 6", angles="0 60 120 180 240 361"), "readings",
             "more than one turn"),
            (texts(readings="1 2 3 4 5 6", angles="0 20 40 60 80 100"), "readings",
             "have no reading"),
            (texts(readings="1 2 3 4 5 6", angles="0 90"), "readings", "2 angles"),
            (texts(readings="1 mm 2 mm 3 in 4 mm 5 mm 6 mm"), "readings", "mixes"),
            (texts(readings="1 2 x 4 5 6"), "readings, reading 2", "'x'"),
            (texts(readings="1 2 900 4 5 6"), "readings, reading 3", "900 mm"),
            (texts(tir="-0.2"), "tir", "negative"),
            (texts(tir="0..2"), "tir", "two decimal marks"),
            (texts(tir="1,234"), "tir", "comma"),
            (texts(tir="0.2 miles"), "tir", "miles"),
            (texts(tir="0.2", tolerance="-1"), "tolerance", "negative"),
            (texts(tir="0.2", uncertainty="-1"), "uncertainty", "negative"),
            (texts(tir="0.2", division="0"), "division", "division"),
            (texts(readings="1 2 3 4 5 6 7", ignore="10"), "readings", "no reading at 10"),
        ],
    )
    def test_one_sentence_that_names_the_field(self, typed: dict[str, str], field: str, says: str):
        error = refusal(lambda: run(typed))

        assert isinstance(error, ReadingError)
        assert field == error.where
        assert says in error.what
