"""Soft grades: what a reading near a limit may and may not say.

The trade facts (0.49 mm lies at the very edge of 0.5 mm, 47 thou = 1.19 mm is a plain bend) are
common practice, no source. The decision zones are those of ISO 14253-1 (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from vibecheck.reasoning.grades import (
    BLUNDER,
    CLASS_SPREAD,
    EDGE_RATIO,
    binned_likelihood,
    graded_likelihood,
)

LIMIT = 0.5
values = st.floats(0.005, 8.0)
uncertainties = st.sampled_from([0.003, 0.01, 0.03, 0.1, 0.2])
limits = st.sampled_from([[0.5], [0.5, 1.0], [0.5, 0.7], [0.5, 2.0, 2.4], [0.3, 0.4, 3.0]])


def odds_beyond(value: float, uncertainty: float = 0.01) -> float:
    within, beyond = graded_likelihood(value, uncertainty, [LIMIT])
    return float(beyond / within)


@pytest.mark.parametrize("uncertainty", [0.002, 0.01, 0.02])
def test_at_the_limit_a_reading_says_nothing(uncertainty: float) -> None:
    """Nearly: a true value is a little likelier below the reading than above it."""
    assert odds_beyond(LIMIT, uncertainty) == pytest.approx(1.0, abs=0.03)


def test_the_edge_is_not_the_middle() -> None:
    """0.49 mm against 0.5 mm must not act like 0.10 mm, nor 0.51 like 1.2."""
    assert 0.7 < odds_beyond(0.49) < 1.0
    assert odds_beyond(0.10) < 0.01
    assert 1.0 < odds_beyond(0.51) < 1.4
    assert odds_beyond(1.2) > 50


def test_a_plain_bend_is_plainly_beyond() -> None:
    assert odds_beyond(47 * 0.0254) > 50


@pytest.mark.parametrize(("value", "uncertainty"), [(0.3, 0.01), (0.45, 0.05), (0.9, 0.3)])
def test_two_states_match_the_integral(value: float, uncertainty: float) -> None:
    """Against adaptive quadrature (scipy) of log-normal classes and a normal reading error."""

    def density(middle: float) -> float:
        def joint(true: float) -> float:
            spread = (math.log(true) - middle) / CLASS_SPREAD
            error = (true - value) / uncertainty
            return math.exp(-0.5 * (spread**2 + error**2)) / true

        reach = 12 * uncertainty
        return float(quad(joint, max(value - reach, 1e-6), value + reach, limit=400)[0])

    half = math.log(EDGE_RATIO) / 2
    ratio = density(math.log(LIMIT) + half) / density(math.log(LIMIT) - half)
    expected = ((1 - BLUNDER) * ratio + BLUNDER) / ((1 - BLUNDER) + BLUNDER * ratio)

    assert odds_beyond(value, uncertainty) == pytest.approx(expected, rel=1e-4)


@given(values, values, uncertainties, limits)
def test_a_larger_value_never_favours_a_better_state(
    one: float, other: float, uncertainty: float, bounds: list[float]
) -> None:
    low, high = sorted((one, other))
    small = np.log(graded_likelihood(low, uncertainty, bounds))
    large = np.log(graded_likelihood(high, uncertainty, bounds))

    assert (np.diff(large) - np.diff(small) >= -1e-6).all()


@given(values, uncertainties, limits)
def test_lower_is_worse_mirrors(value: float, uncertainty: float, bounds: list[float]) -> None:
    plain = graded_likelihood(value, uncertainty, bounds)
    mirrored = graded_likelihood(value, uncertainty, bounds[::-1], lower_is_worse=True)

    np.testing.assert_array_equal(mirrored, plain[::-1])


@pytest.mark.parametrize("value", [0.15, 0.3, 0.8, 1.4])
def test_more_uncertainty_says_less(value: float) -> None:
    says = [abs(math.log(odds_beyond(value, u))) for u in (0.01, 0.05, 0.1, 0.2, 0.4)]

    assert says == sorted(says, reverse=True)
    assert says[-1] < 0.75 * says[0]


def test_a_blunder_stays_possible() -> None:
    """No single reading is worth more than the chance that it was taken at the wrong spot."""
    assert odds_beyond(0.001) == pytest.approx(BLUNDER / (1 - BLUNDER))
    assert odds_beyond(100.0) == pytest.approx((1 - BLUNDER) / BLUNDER)


def test_the_likeliest_state_is_the_one_the_value_lies_in() -> None:
    for bounds in ([0.5, 1.0], [0.5, 2.0, 2.4], [0.3, 0.4, 3.0]):
        edges = [0.1, *bounds, 10.0]
        for state in range(len(bounds) + 1):
            middle = math.sqrt(edges[state] * edges[state + 1])
            assert graded_likelihood(middle, 0.001, bounds).argmax() == state


def test_bins_share_by_the_normal_curve() -> None:
    """68.27 % of a normal curve lies within one standard deviation (any table)."""
    shares = binned_likelihood(90.0, 10.0, [0.0, 80.0, 100.0, 200.0])
    middle, side = 0.6827, 0.15865
    expected = (1 - BLUNDER) * side / middle + BLUNDER

    assert shares == pytest.approx([expected, 1.0, expected], rel=1e-3)


@given(st.floats(-50.0, 400.0), st.floats(0.0, 60.0))
def test_bins_never_exclude(value: float, uncertainty: float) -> None:
    shares = binned_likelihood(value, uncertainty, [0.0, 60.0, 80.0, 100.0, 120.0, 260.0])

    assert shares.max() == 1.0
    assert shares.min() >= BLUNDER / (1 + BLUNDER)
