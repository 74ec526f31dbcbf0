"""The balance and trial-weight benches: weights, limits, findings, and what they refuse."""

from __future__ import annotations

import math

import numpy as np
import pytest
from bench_helpers import refusal, values_of

from vibecheck.metrology.balance.two_planes import RimPlanes
from vibecheck.metrology.vectors import Vector, difference
from vibecheck.session.benches import trialweight
from vibecheck.session.benches.balance import BalanceTyped, run
from vibecheck.session.benches.trialweight import TrialTyped
from vibecheck.virtual.balancer import Rotor, run_rotor


class TestMachine:
    def test_equal_and_opposite_is_a_pure_couple(self):
        """30 g against 30 g on the other side shakes nothing up and down, it wobbles (statics)."""
        found = run(BalanceTyped(inner="30 at 0", outer="30 at 180", inner_radius="200 mm",
                                 distance="160 mm"))
        assert found.static_couple is not None

        assert 0.0 == pytest.approx(found.static_couple.static_g.amplitude, abs=1e-9)
        assert 30.0 == pytest.approx(found.static_couple.couple_g.amplitude)
        assert 30.0 == pytest.approx(found.couple_left_g)

    def test_permissible_residual_of_a_car_wheel(self):
        """ISO 21940-11, U = 1000 G m / omega: G 40, 20 kg at 120 km/h; formula from memory."""
        found = run(BalanceTyped(
            inner="30 at 0", outer="30 at 180", inner_radius="200 mm", distance="160 mm",
            mass="20 kg", speed="120 km/h", tire="205/55R16"))
        omega = 120 / 3.6 / (math.pi * 0.6319 * 0.971) * 2 * math.pi

        assert 1000 * 40 / omega * 20 / 200 == pytest.approx(found.permissible_g, rel=1e-3)

    def test_force_at_speed(self):
        """F = m r omega^2: 10 g at 200 mm and 107 rad/s pull with 23 N."""
        speed = 107.0 / (2 * math.pi) * math.pi * 0.6319 * 0.971 * 3.6
        found = run(BalanceTyped(inner="5 at 0", outer="5 at 0", inner_radius="200 mm",
                                 distance="160 mm", speed=f"{speed:.3f} km/h", tire="205/55R16"))

        assert 22.9 == pytest.approx(found.force_n, abs=0.05)

    def test_weights_behind_spokes(self):
        found = run(BalanceTyped(inner="35 g at 120", outer="0 g at 0", spokes="5",
                                 first_spoke="36", step="5"))
        placed = found.planes[0].placed

        assert {108.0, 180.0} == {weight.angle_deg for weight in placed}
        assert all(weight.amplitude % 5.0 == 0.0 for weight in placed)
        assert found.planes[0].left.amplitude <= 5.0
        assert () == found.planes[1].placed

    def test_ounces_stay_ounces(self):
        found = run(BalanceTyped(inner="1.25 at 10", outer="0.5 at 20", unit="oz"))

        assert values_of(found.assignments("LF"))["balance_residual"].startswith("1.250 oz +/- ")

    def test_two_mountings_tell_how_well_it_repeats(self):
        found = run(BalanceTyped(inner="20 at 90", outer="10 at 0", again_inner="10 at 90",
                                 again_outer="10 at 0"))
        made = values_of(found.assignments("RR"))

        assert 10.0 == pytest.approx(found.change_g)
        assert "15.0 g +/- 10" == made["balance_residual"]
        assert made["balance_does_not_repeat"].startswith("10.0 g +/- ")

    def test_one_mounting_says_nothing_of_repeating(self):
        made = values_of(run(BalanceTyped(inner="20 at 90", outer="10 at 0")).assignments("RR"))

        assert {"balance_residual": "20.0 g +/- 6"} == made

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (BalanceTyped(), "inner", "a plane without a reading"),
            (BalanceTyped(inner="3 at 0"), "outer", "a plane without a reading"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", again_inner="3 at 0"), "again_outer",
             "a plane without"),
            (BalanceTyped(inner="3", outer="3 at 0"), "inner", "size at an angle"),
            (BalanceTyped(inner="-3 at 0", outer="3 at 0"), "inner", "negative"),
            (BalanceTyped(inner="9 kg at 0", outer="3 at 0"), "inner", "9000 g"),
            (BalanceTyped(inner="3 at 0", outer="3 mm at 0"), "outer", "'mm'"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", distance="100"), "inner_radius",
             "radius is missing"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", inner_radius="200"), "distance",
             "distance is missing"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", spokes="2"), "spokes", "2 spokes"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", spokes="5", places="0 90"), "spokes",
             "twice"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", places="0 0"), "places", "same angle"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", step="0"), "step", "above zero"),
            (BalanceTyped(inner="3 at 0", outer="3 at 0", inner_radius="200", distance="160",
                          mass="20", speed="120", tire="205/55R16", grade="41"), "grade", "G 41"),
        ],
    )
    def test_bad_input_names_the_field(self, typed: BalanceTyped, field: str, says: str):
        error = refusal(lambda: run(typed))

        assert field == error.where
        assert says in error.what


PLANES = RimPlanes(190.0, 190.0, 170.0)


def spoken(reading: Vector) -> str:
    return f"{reading.amplitude:.4f} at {reading.angle_deg:.3f}"


class TestTrialWeights:
    def test_a_rotor_on_springs_is_balanced_in_two_planes(self):
        """The equations of motion of a rigid rotor, integrated in time, answer the trials."""
        wrong = (Vector(25.0, 70.0), Vector(18.0, 200.0))
        trial = (Vector(30.0, 0.0), Vector(30.0, 90.0))
        both = [vector.xy for vector in wrong]
        states = [wrong,
                  (summed(both[0], trial[0]), wrong[1]), (wrong[0], summed(both[1], trial[1]))]
        first, inner, outer = run_rotor(Rotor(), PLANES, 900.0, states)
        found = trialweight.run(TrialTyped(
            first="; ".join(map(spoken, first)),
            runs=("; ".join(map(spoken, inner)), "; ".join(map(spoken, outer))),
            trials=("30 g at 0", "30 g at 90"), uncertainty="0.01"))

        for weight, fault in zip(found.weights, wrong, strict=True):
            assert fault.amplitude == pytest.approx(weight.amplitude, abs=0.5)
            assert 180.0 == pytest.approx(abs(difference(weight.angle_deg, fault.angle_deg)), abs=2)

    def test_without_phase_three_places_do(self):
        """|V0 + T| by the law of cosines; imbalance 20 g at 250 deg, 1 unit a gram."""
        fault = Vector(20.0, 250.0)
        runs = [abs(fault.xy + Vector(30.0, place).xy) for place in (0.0, 120.0, 240.0)]
        found = trialweight.run(TrialTyped(
            first="20", runs=(" ".join(f"{size:.5f}" for size in runs),), trials=("30 g",),
            positions="0 120 240"))

        assert 20.0 == pytest.approx(found.weights[0].amplitude, abs=1e-3)
        assert 70.0 == pytest.approx(found.weights[0].angle_deg, abs=0.1)

    def test_the_danger_of_a_raised_wheel_is_said(self):
        found = trialweight.run(
            TrialTyped(first="8 at 0", runs=("10 at 40",), trials=("30 g at 0",)))

        assert any("can kill" in note and "maker's manual" in note for note in found.notes)
        assert any("give the uncertainty" in note for note in found.notes)

    def test_the_weight_becomes_a_finding_of_its_corner(self):
        found = trialweight.run(TrialTyped(
            first="8.4 at 30", runs=("12.1 at 75",), trials=("1.0 oz at 0",), uncertainty="0.4"))

        [assignment] = found.assignments("LF")

        assert assignment.finding == "on_car_weight" and assignment.corner == "LF"
        size, _, spread = assignment.value.partition(" +/- ")
        assert size.endswith(" oz")
        assert float(size.split()[0]) == pytest.approx(found.weights[0].amplitude / 28.35, abs=0.01)
        assert float(spread) == pytest.approx(found.radius_95_g[0] / 28.35, rel=0.1)
        assert "as found: 8.4 at 30" in assignment.readings

    def test_without_an_uncertainty_the_rules_own_counts(self):
        found = trialweight.run(TrialTyped(
            first="8", runs=("9 12 5",), trials=("30 g",), positions="0 120 240"))

        [assignment] = found.assignments("RR")

        assert "+/-" not in assignment.value and assignment.value.endswith(" g")

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (TrialTyped(first="", runs=("1 at 0",), trials=("3 g at 0",)), "first", "no reading"),
            (TrialTyped(first="8", runs=("1 at 0",), trials=("3 g at 0",)), "first", "size at"),
            (TrialTyped(first="8 at 0", runs=(), trials=()), "trials", "0 trial weights"),
            (TrialTyped(first="8 at 0", runs=("8 at 0",), trials=("3 g at 0",)), "runs",
             "too little to tell"),
            (TrialTyped(first="8 at 0", runs=("9 at 0",), trials=("0 g at 0",)), "runs", "0 g"),
            (TrialTyped(first="8 at 0", runs=("9 at 0", "9 at 0"), trials=("3 g at 0",)), "runs",
             "do not fit"),
            (TrialTyped(first="8", runs=("9 9",), trials=("3 g",), positions="0 120"), "positions",
             "2 trial positions"),
            (TrialTyped(first="8", runs=("9 9 9",), trials=(), positions="0 1 2"), "trials",
             "one trial weight"),
        ],
    )
    def test_bad_input_names_the_field(self, typed: TrialTyped, field: str, says: str):
        error = refusal(lambda: trialweight.run(typed))

        assert field == error.where
        assert says in error.what


def summed(fault: complex, trial: Vector) -> Vector:
    total = fault + trial.xy
    return Vector(abs(total), float(np.degrees(np.angle(total))))
