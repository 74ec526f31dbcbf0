"""Repeats of one surface: agree, disagree, one stands out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.repeats import NextReading, Reading, Repeat, e_number, together


def test_two_that_disagree_ask_for_a_third() -> None:
    """0.82 and 0.22 mm on one surface: nothing is replaced, everything between stays open."""
    found = together([Reading(0.82, 0.06), Reading(0.22, 0.06)])
    assert found.repeat is Repeat.DISAGREE and found.upcoming is NextReading.THIRD
    assert found.value - found.uncertainty == pytest.approx(0.16)
    assert found.value + found.uncertainty == pytest.approx(0.88)
    assert found.e_n > 1.0


def test_a_third_tells_which_stands_out() -> None:
    found = together([Reading(0.82, 0.06), Reading(0.22, 0.06), Reading(0.25, 0.06)])
    assert found.repeat is Repeat.ONE_STANDS_OUT and found.used == (1, 2)
    assert found.value == pytest.approx(0.235) and found.upcoming is NextReading.NONE
    none = together([Reading(0.82, 0.06), Reading(0.22, 0.06), Reading(0.5, 0.06)])
    assert none.repeat is Repeat.DISAGREE and none.upcoming is NextReading.FIND_THE_CAUSE
    split = together([Reading(0.8, 0.06), Reading(0.2, 0.06), Reading(0.81, 0.06),
                      Reading(0.21, 0.06)])
    assert split.repeat is Repeat.DISAGREE


def test_one_reading_asks_for_its_repeat() -> None:
    found = together([Reading(1.3, 0.06)])
    assert found.repeat is Repeat.SINGLE and found.upcoming is NextReading.REPEAT
    assert (found.value, found.uncertainty) == (1.3, pytest.approx(0.06))


def test_e_numbers() -> None:
    """ISO/IEC 17043, Annex B: E_n = (x1 - x2) / sqrt(U1^2 + U2^2)."""
    assert e_number(Reading(0.50, 0.03), Reading(0.45, 0.04)) == pytest.approx(1.0)
    assert e_number(Reading(0.5, 0.0), Reading(0.5, 0.0)) == 0.0
    assert math.isinf(e_number(Reading(0.5, 0.0), Reading(0.4, 0.0)))


def test_what_never_averages_out_stays() -> None:
    many = together([Reading(0.5, 0.06, 0.02)] * 100)
    assert many.uncertainty == pytest.approx(math.hypot(math.sqrt(0.06**2 - 0.02**2) / 10, 0.02))


@pytest.mark.parametrize("count", [2, 3, 5])
def test_honest_repeats_agree_and_their_mean_holds_the_truth(count: int) -> None:
    """Of 4,000 draws: all agree in 95 of 100, and the interval of what counts holds the truth."""
    rng = np.random.default_rng(count)
    held = agreed = 0
    for _ in range(4000):
        values = 0.5 + rng.normal(0.0, 0.03, count)
        found = together([Reading(float(value), 0.06) for value in values])
        agreed += found.repeat is Repeat.AGREE
        held += abs(found.value - 0.5) <= found.uncertainty
    assert 0.93 <= held / 4000 <= 0.97
    assert agreed / 4000 >= 0.93


def test_refusals() -> None:
    with pytest.raises(ReadingError, match="no reading"):
        together([])
    with pytest.raises(ReadingError, match="reading 2: a value"):
        together([Reading(0.5, 0.06), Reading(math.nan, 0.06)])
    with pytest.raises(ReadingError, match="cannot be"):
        together([Reading(0.5, -0.06)])
