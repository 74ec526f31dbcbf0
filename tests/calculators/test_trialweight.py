"""Trial weights on the car: weights found, findings, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from calculator_helpers import refusal, said

from vibecheck.calculators.trialweight import CALCULATOR, run
from vibecheck.metrology.balance.two_planes import RimPlanes
from vibecheck.metrology.vectors import Vector, difference
from vibecheck.virtual.balancer import Rotor, run_rotor

answers_of = CALCULATOR.answers_of
PLANES = RimPlanes(190.0, 190.0, 170.0)


def trial(
    first: str, runs: tuple[str, ...], trials: tuple[str, ...], **others: str
) -> dict[str, str]:
    """Typed texts with numbered runs and trial weights."""
    numbered = {f"run{number}": text for number, text in enumerate(runs, start=1)}
    numbered |= {f"trial{number}": text for number, text in enumerate(trials, start=1)}
    return {"first": first, **numbered, **others}


def spoken(reading: Vector) -> str:
    return f"{reading.amplitude:.4f} at {reading.angle_deg:.3f}"


class TestTrialWeights:
    def test_a_rotor_on_springs_is_balanced_in_two_planes(self):
        """The equations of motion of a rigid rotor, integrated in time, answer the trials."""
        wrong = (Vector(25.0, 70.0), Vector(18.0, 200.0))
        tried = (Vector(30.0, 0.0), Vector(30.0, 90.0))
        both = [vector.xy for vector in wrong]
        states = [wrong,
                  (summed(both[0], tried[0]), wrong[1]), (wrong[0], summed(both[1], tried[1]))]
        first, inner, outer = run_rotor(Rotor(), PLANES, 900.0, states)
        found = run(trial(
            first="; ".join(map(spoken, first)),
            runs=("; ".join(map(spoken, inner)), "; ".join(map(spoken, outer))),
            trials=("30 g at 0", "30 g at 90"), uncertainty="0.01"))

        for weight, fault in zip(found.found.weights, wrong, strict=True):
            assert fault.amplitude == pytest.approx(weight.amplitude, abs=0.5)
            off = abs(difference(weight.angle_deg, fault.angle_deg))
            assert 180.0 == pytest.approx(off, abs=2)

    def test_without_phase_three_places_do(self):
        """|V0 + T| by the law of cosines; imbalance 20 g at 250 deg, 1 unit a gram."""
        fault = Vector(20.0, 250.0)
        runs = [abs(fault.xy + Vector(30.0, place).xy) for place in (0.0, 120.0, 240.0)]
        found = run(trial(
            first="20", runs=(" ".join(f"{size:.5f}" for size in runs),), trials=("30 g",),
            positions="0 120 240"))

        assert 20.0 == pytest.approx(found.found.weights[0].amplitude, abs=1e-3)
        assert 70.0 == pytest.approx(found.found.weights[0].angle_deg, abs=0.1)

    def test_positions_may_count_the_other_way(self):
        """|V0 + T| by the law of cosines; imbalance 20 g at 250 deg clockwise, places chalked
        counterclockwise at 0, 120 and 240 deg are 0, 240 and 120 deg clockwise."""
        fault = Vector(20.0, 250.0)
        runs = [abs(fault.xy + Vector(30.0, place).xy) for place in (0.0, 240.0, 120.0)]
        found = run(trial(
            first="20", runs=(" ".join(f"{size:.5f}" for size in runs),), trials=("30 g",),
            positions="0 120 240", counted="counterclockwise"))

        assert 70.0 == pytest.approx(found.found.weights[0].angle_deg, abs=0.1)
        assert "70 deg (2:30 o'clock)" in said("trialweight", found)

    def test_the_danger_of_a_raised_wheel_is_said(self):
        found = run(
            trial(first="8 at 0", runs=("10 at 40",), trials=("30 g at 0",)))

        text = said("trialweight", found)
        assert "can kill" in text and "maker's manual" in text
        assert "give the uncertainty" in text

    def test_the_weight_becomes_a_finding_of_its_corner(self):
        found = run(trial(
            first="8.4 at 30", runs=("12.1 at 75",), trials=("1.0 oz at 0",), uncertainty="0.4"))

        [answer] = answers_of(found)

        assert answer.finding == "on_car_weight"
        size, _, spread = answer.text.partition(" +/- ")
        assert size.endswith(" oz")
        ounces = found.found.weights[0].amplitude / 28.35
        assert float(size.split()[0]) == pytest.approx(ounces, abs=0.01)
        assert float(spread) == pytest.approx(found.found.radius_95_grams[0] / 28.35, rel=0.1)
        assert "first 8.4 at 30" in answer.readings

    def test_without_an_uncertainty_the_rules_own_counts(self):
        found = run(trial(
            first="8", runs=("9 12 5",), trials=("30 g",), positions="0 120 240"))

        [answer] = answers_of(found)

        assert "+/-" not in answer.text and answer.text.endswith(" g")

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (trial(first="", runs=("1 at 0",), trials=("3 g at 0",)), "first",
             "first run is missing"),
            (trial(first="8", runs=("1 at 0",), trials=("3 g at 0",)), "first", "size at"),
            (trial(first="8 at 0", runs=(), trials=()), "trial1", "trial weight is missing"),
            (trial(first="8 at 0", runs=("8 at 0",), trials=("3 g at 0",)), "run1",
             "too little to tell"),
            (trial(first="8 at 0", runs=("9 at 0",), trials=("0 g at 0",)), "run1", "0 g"),
            (trial(first="8 at 0", runs=("9 at 0", "9 at 0"), trials=("3 g at 0",)), "run1",
             "do not fit"),
            (trial(first="8", runs=("9 9",), trials=("3 g",), positions="0 120"), "positions",
             "2 trial positions"),
            (trial(first="8", runs=("9 9 9",), trials=(), positions="0 1 2"), "trial1",
             "one trial weight"),
            (trial(first="8", runs=("9 12 5",), trials=("30 g",), positions="0 120 240",
                   counted="round"), "counted", "no way to count"),
            (trial(first="8 at 0", runs=("9 at 40",), trials=("30 g at 0",),
                   counted="clockwise"), "counted", "no positions"),
        ],
    )
    def test_bad_input_names_the_field(self, typed: dict[str, str], field: str, says: str):
        error = refusal(lambda: run(typed))

        assert field == error.where
        assert says in error.what


def summed(fault: complex, trial: Vector) -> Vector:
    total = fault + trial.xy
    return Vector(abs(total), float(np.degrees(np.angle(total))))
