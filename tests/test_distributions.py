"""Quantiles and tails against scipy."""

from __future__ import annotations

import pytest
import scipy.stats

from vibecheck import distributions as found


def test_normal_quantiles_say_their_sides() -> None:
    """Two-sided leaves 2.5 % at either end, one-sided 5 % at one."""
    assert found.NORMAL_TWO_SIDED_95 == pytest.approx(scipy.stats.norm.ppf(0.975), abs=1e-12)
    assert found.NORMAL_ONE_SIDED_95 == pytest.approx(scipy.stats.norm.ppf(0.95), abs=1e-12)


@pytest.mark.parametrize("z", [-5.0, -1.0, 0.0, 0.3, 2.0, 6.0])
def test_normal_cdf(z: float) -> None:
    assert found.normal_cdf(z) == pytest.approx(scipy.stats.norm.cdf(z), abs=1e-14)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 15, 100])
def test_students_t(freedom: int) -> None:
    exact = scipy.stats.t.ppf(0.975, freedom)
    assert found.student_t_two_sided_95(freedom) == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("freedom", [1, 2, 4, 10, 60])
def test_chi_square_quantile(freedom: int) -> None:
    exact = scipy.stats.chi2.ppf(0.95, freedom)
    assert found.chi_square_one_sided_95(freedom) == pytest.approx(exact, rel=0.03)


@pytest.mark.parametrize("freedom", [2, 6, 20, 100])
def test_chi_square_median(freedom: int) -> None:
    exact = scipy.stats.chi2.median(freedom) / freedom
    assert found.chi_square_median_over_mean(freedom) == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize(("ratio", "count"), [(1.0, 1), (2.0, 5), (1.3, 40), (0.0, 3)])
def test_tail_of_averaged_noise(ratio: float, count: int) -> None:
    exact = scipy.stats.chi2.sf(2.0 * count * ratio, 2 * count)
    assert found.mean_square_tail(ratio, float(count)) == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("a", [0.02, 0.5, 1.0, 7.5, 400.0])
@pytest.mark.parametrize("b", [0.5, 3.0, 60.0, 2500.0])
def test_beta_is_that_of_scipy(a: float, b: float) -> None:
    """scipy.stats.beta, in both tails."""
    known = scipy.stats.beta(a, b)
    for q in (0.025, 0.5, 0.975):
        assert known.ppf(q) == pytest.approx(found.beta_quantile(q, a, b), rel=1e-7)
    for x in (1e-6, 0.02, 0.3, 0.9):
        assert known.cdf(x) == pytest.approx(found.beta_cdf(x, a, b), abs=1e-10)
    assert 0.0 == found.beta_cdf(0.0, a, b)
    assert 1.0 == found.beta_cdf(1.0, a, b)
