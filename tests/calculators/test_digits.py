"""What was typed keeps its digits and is as sure as it was written."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.calculators.calculator import FindingAnswer
from vibecheck.calculators.registry import listed
from vibecheck.calculators.runout import CALCULATOR, run
from vibecheck.metrology.runout.reading_uncertainty import SETUP_SD_MM
from vibecheck.metrology.units.values import UNITS, Quantity, parse

LENGTHS = [unit.name for unit in UNITS[Quantity.LENGTH]]


@pytest.mark.parametrize("typed", ["1/8 in", "1/16 in", "1/32 in", "3/64 in", "1/4 in"])
def test_a_fraction_is_a_total_like_any_other(typed: str) -> None:
    """Nobody typed a gauge division, so none is refused."""
    found = run({"tir": typed}).runout

    assert parse(typed, Quantity.LENGTH).value == pytest.approx(found.tir_mm)


@pytest.mark.parametrize("denominator", [2, 4, 8, 16, 32, 64])
def test_a_fraction_is_as_precise_as_its_denominator_says(denominator: int) -> None:
    """Half a mark to either side of it is another fraction: 1/16 lies between 1/32 and 3/32.

    The standard uncertainty of a value that lies evenly within a step is the step over the root
    of 12 (JCGM 100:2008, 4.3.7). Setting gauge and wheel up anew adds its own spread.
    """
    mark = 25.4 / denominator
    found = run({"tir": f"1/{denominator} in"}).runout

    digits = (mark / 2.0) / math.sqrt(12.0)
    assert 2.0 * math.hypot(digits, SETUP_SD_MM) == pytest.approx(found.uncertainty_mm)
    read = parse(f"1/{denominator} in", Quantity.LENGTH)
    assert read.step / math.sqrt(12.0) == pytest.approx(digits)
    assert found.uncertainty_mm < mark / 2.0


def test_a_sixteenth_does_not_carry_nearly_a_millimeter() -> None:
    found = run({"tir": "1/16 in"}).runout

    assert found.uncertainty_mm == pytest.approx(math.hypot(0.458, 0.06), abs=0.001)


def test_the_finer_a_fraction_the_surer() -> None:
    sizes = [run({"tir": f"1/{each} in"}).runout.uncertainty_mm for each in (8, 16, 32, 64)]

    assert sizes == sorted(sizes, reverse=True)


@pytest.mark.parametrize("typed", ["0.00024 m", "0.24 mm", "9.5 thou", "0.0095 in", "240 um",
                                   "0.0241234 cm", "18.1234567 thou"])
def test_no_total_loses_a_digit_on_its_way_into_a_case(typed: str) -> None:
    (answer, *_) = CALCULATOR.answers_of(run({"tir": typed}), "assembly_radial")

    kept = parse(answer.text, Quantity.LENGTH)
    assert kept.value == pytest.approx(parse(typed, Quantity.LENGTH).value, rel=1e-11)
    assert answer.text.startswith(typed)


@settings(max_examples=200, derandomize=True, deadline=None)
@given(value=st.floats(1e-6, 90.0), spread=st.floats(1e-5, 5.0), unit=st.sampled_from(LENGTHS))
def test_no_computed_value_loses_what_its_uncertainty_shows(
    value: float, spread: float, unit: str
) -> None:
    """A value is rounded far below its uncertainty, in every unit; the uncertainty to 1 %."""
    answer = FindingAnswer("x", "", value, spread, Quantity.LENGTH, unit)

    kept = parse(answer.text, Quantity.LENGTH)
    assert kept.value == pytest.approx(value, abs=spread / 500.0, rel=1e-9)
    assert kept.uncertainty == pytest.approx(spread, rel=0.01)


def test_ounces_and_newtons_keep_theirs_too() -> None:
    balance, match = listed("balance"), listed("match")
    assert balance is not None and match is not None
    (plane,) = balance.load().answers_of(balance.load().run(
        {"inner": "1.125 oz at 10", "outer": "0.5 oz at 20"}))

    assert plane.text.startswith("1.125 oz +/- ")
