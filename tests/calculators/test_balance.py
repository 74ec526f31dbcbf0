"""Balance in two planes: weights, limits, findings, and what is refused."""

from __future__ import annotations

import math

import pytest
from calculator_helpers import refusal, texts, values_of

from vibecheck.calculators.balance import CALCULATOR, run

answers_of = CALCULATOR.answers_of


class TestMachine:
    def test_equal_and_opposite_is_a_pure_couple(self):
        """30 g against 30 g on the other side shakes nothing up and down, it wobbles (statics)."""
        found = run(texts(inner="30 at 0", outer="30 at 180", inner_radius="200 mm",
                                 distance="160 mm"))
        assert found.static_couple is not None

        assert 0.0 == pytest.approx(found.static_couple.static_g.amplitude, abs=1e-9)
        assert 30.0 == pytest.approx(found.static_couple.couple_g.amplitude)
        assert 30.0 == pytest.approx(found.couple_left_g)

    def test_permissible_residual_of_a_car_wheel(self):
        """ISO 21940-11, U = 1000 G m / omega: G 40, 20 kg at 120 km/h; formula from memory."""
        found = run(texts(
            inner="30 at 0", outer="30 at 180", inner_radius="200 mm", distance="160 mm",
            mass="20 kg", speed="120 km/h", tire="205/55R16"))
        omega = 120 / 3.6 / (math.pi * 0.6319 * 0.971) * 2 * math.pi

        assert 1000 * 40 / omega * 20 / 200 == pytest.approx(found.permissible_g, rel=1e-3)

    def test_force_at_speed(self):
        """F = m r omega^2: 10 g at 200 mm and 107 rad/s pull with 23 N."""
        speed = 107.0 / (2 * math.pi) * math.pi * 0.6319 * 0.971 * 3.6
        found = run(texts(inner="5 at 0", outer="5 at 0", inner_radius="200 mm",
                                 distance="160 mm", speed=f"{speed:.3f} km/h", tire="205/55R16"))

        assert 22.9 == pytest.approx(found.force_n, abs=0.05)

    def test_weights_behind_spokes(self):
        found = run(texts(inner="35 g at 120", outer="0 g at 0", spokes="5",
                                 first_spoke="36", step="5"))
        placed = found.planes[0].placed

        assert {108.0, 180.0} == {weight.angle_deg for weight in placed}
        assert all(weight.amplitude % 5.0 == 0.0 for weight in placed)
        assert found.planes[0].left.amplitude <= 5.0
        assert () == found.planes[1].placed

    def test_ounces_stay_ounces(self):
        found = run(texts(inner="1.25 oz at 10", outer="0.5 oz at 20"))

        assert values_of(answers_of(found))["balance_residual"].startswith("1.25 oz +/- ")

    def test_two_mountings_tell_how_well_it_repeats(self):
        found = run(texts(inner="20 at 90", outer="10 at 0", again_inner="10 at 90",
                                 again_outer="10 at 0"))
        made = values_of(answers_of(found))

        assert 10.0 == pytest.approx(found.change_g)
        assert "15 g +/- 10.2" == made["balance_residual"]
        assert made["balance_does_not_repeat"].startswith("10 g +/- ")

    def test_one_mounting_says_nothing_of_repeating(self):
        made = values_of(answers_of(run(texts(inner="20 at 90", outer="10 at 0"))))

        assert {"balance_residual": "20 g +/- 6"} == made

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (texts(), "inner", "a plane without a reading"),
            (texts(inner="3 at 0"), "outer", "a plane without a reading"),
            (texts(inner="3 at 0", outer="3 at 0", again_inner="3 at 0"), "again_outer",
             "a plane without"),
            (texts(inner="3", outer="3 at 0"), "inner", "size at an angle"),
            (texts(inner="-3 at 0", outer="3 at 0"), "inner", "negative"),
            (texts(inner="9 kg at 0", outer="3 at 0"), "inner", "9000 g"),
            (texts(inner="3 at 0", outer="3 mm at 0"), "outer", "'mm'"),
            (texts(inner="3 at 0", outer="3 at 0", distance="100"), "inner_radius",
             "radius is missing"),
            (texts(inner="3 at 0", outer="3 at 0", inner_radius="200"), "distance",
             "distance is missing"),
            (texts(inner="3 at 0", outer="3 at 0", spokes="2"), "spokes", "2 spokes"),
            (texts(inner="3 at 0", outer="3 at 0", spokes="5", places="0 90"), "spokes",
             "twice"),
            (texts(inner="3 at 0", outer="3 at 0", places="0 0"), "places", "same angle"),
            (texts(inner="3 at 0", outer="3 at 0", step="0"), "step", "above zero"),
            (texts(inner="3 at 0", outer="3 at 0", inner_radius="200", distance="160",
                          mass="20", speed="120", tire="205/55R16", grade="41"), "grade", "G 41"),
        ],
    )
    def test_bad_input_names_the_field(self, typed: dict[str, str], field: str, says: str):
        error = refusal(lambda: run(typed))

        assert field == error.where
        assert says in error.what
