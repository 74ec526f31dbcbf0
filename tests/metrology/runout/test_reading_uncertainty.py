"""One model of what a typed value is uncertain by, for calculators and cases alike."""

from __future__ import annotations

import math

import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.reading_uncertainty import (
    SETUP_SD_MM,
    of_high_minus_low,
    of_typed,
    rounding,
)
from vibecheck.metrology.runout.readings import from_high_low, from_tir
from vibecheck.metrology.units.values import Quantity, parse


@pytest.mark.parametrize(
    "typed", ["0.49 mm", "18 thou", "1/32 in", "12-13 thou", "0.5", "0.49 +/- 0.02"]
)
def test_a_case_and_a_calculator_state_the_same(typed: str) -> None:
    """What a case works out of a typed total with the beads' spread is what the runout has."""
    reading = parse(typed, Quantity.LENGTH)
    assert from_tir(reading).uncertainty_mm == pytest.approx(2 * of_typed(reading, SETUP_SD_MM))


def test_half_a_tenth_is_uncertain_by_the_setting_up() -> None:
    """0.49 mm is +/- 0.06 mm, whoever asks."""
    assert 2 * of_typed(parse("0.49 mm", Quantity.LENGTH), 0.03) == pytest.approx(0.06, abs=5e-4)
    assert from_high_low(0.49, 0.0).uncertainty_mm == pytest.approx(0.06, abs=1e-3)


@pytest.mark.parametrize("typed", ["0.49 +/- 0", "0.49 +/- 0.0001", "0.49 mm"])
def test_never_below_the_resolution_of_the_gauge(typed: str) -> None:
    """JCGM 100:2008, 4.3.7: division / sqrt(12)."""
    reading = parse(typed, Quantity.LENGTH)
    assert of_typed(reading, 0.0, 0.01) >= 0.01 / math.sqrt(12.0)
    assert of_typed(reading, 0.0) > 0.0
    assert of_high_minus_low(0.01, 0.0, 0.0) == pytest.approx(math.sqrt(2.0) * rounding(0.01))


def test_a_typed_uncertainty_goes_before_digits_that_are_coarser() -> None:
    assert of_typed(parse("0.1 +/- 0.01", Quantity.LENGTH), 0.03, 0.01) == pytest.approx(0.005)


def test_setting_up_averages_over_setting_ups_alone() -> None:
    often = of_high_minus_low(0.01, 0.01, 0.03, turns=100, setups=4)
    assert often == pytest.approx(math.sqrt(2 * (0.01**2 / 12 + 0.01**2 / 100) + 0.03**2 / 4))
    with pytest.raises(ReadingError, match="setup spread"):
        of_high_minus_low(0.01, 0.0, -0.1)
