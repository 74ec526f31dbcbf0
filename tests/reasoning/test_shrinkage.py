"""Counts drawn toward what is written, against scipy's beta, Dirichlet and their marginals."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from vibecheck.reasoning.shrinkage import (
    OWN_WEIGHTS,
    WEIGHTS,
    Row,
    balanced,
    counted_share,
    log_marginal,
    own_share,
    own_weight,
    prior_weight,
    shrunk,
)

COUNTS = np.array([17.0, 3.0, 0.0, 40.0])
WRITTEN = np.array([0.1, 0.25, 0.05, 0.6])


@pytest.mark.parametrize("weight", [2.5, 40.0, 640.0])
def test_a_row_is_the_posterior_of_scipy(weight: float) -> None:
    """scipy.stats.dirichlet gives the means; scipy.stats.beta the bounds of each share, by the
    posterior and by Jeffreys' prior, of which the wider holds."""
    shares = shrunk(Row(COUNTS, WRITTEN), weight)
    posterior = weight * WRITTEN + COUNTS
    whole, cases = posterior.sum(), COUNTS.sum()

    assert stats.dirichlet(posterior).mean() == pytest.approx([each.value for each in shares])
    for share, own, seen in zip(shares, posterior, COUNTS, strict=True):
        low, high = stats.beta(own, whole - own).interval(0.95)
        flat_low, flat_high = stats.beta(seen + 0.5, cases - seen + 0.5).interval(0.95)
        assert min(low, flat_low) * (seen > 0) == pytest.approx(share.low)
        assert max(high, flat_high) == pytest.approx(share.high)


def test_what_always_was_may_be_always() -> None:
    """Jeffreys' interval of 20 out of 20 and of 0 out of 20 reaches the end (Brown et al. 2001);
    of 10 out of 20 it is that of scipy.stats.beta."""
    half = counted_share(10.0, 20.0)

    assert 1.0 == counted_share(20.0, 20.0).high and 0.0 == counted_share(0.0, 20.0).low
    assert stats.beta(10.5, 10.5).interval(0.95) == (
        pytest.approx(half.low), pytest.approx(half.high))


@pytest.mark.parametrize("weight", [2.5, 40.0, 640.0])
def test_the_chance_of_the_counts_is_scipys(weight: float) -> None:
    """scipy's Dirichlet-multinomial counts orders; the difference is the multinomial coefficient,
    which no weight changes."""
    rows = Row(COUNTS, WRITTEN)
    known = stats.dirichlet_multinomial(weight * WRITTEN, int(COUNTS.sum()))
    orders = stats.multinomial.logpmf(COUNTS, int(COUNTS.sum()), WRITTEN) - float(
        COUNTS @ np.log(WRITTEN))

    assert known.logpmf(COUNTS.astype(int)) - orders == pytest.approx(log_marginal(rows, weight))


def test_a_faults_own_share_is_the_posterior_of_a_proportion() -> None:
    """scipy.stats.beta: a prior worth 5 visits with a fault that one in twenty has, and Jeffreys'
    prior, which is the wider above."""
    share = own_share(12.0, 100.0, 0.05, 5.0)
    known, flat = stats.beta(5.0 + 12.0, 95.0 + 88.0), stats.beta(12.5, 88.5)

    assert known.mean() == pytest.approx(share.value)
    assert known.ppf(0.025) == pytest.approx(share.low)
    assert flat.ppf(0.975) == pytest.approx(share.high)


def test_no_counts_leave_what_is_written() -> None:
    nothing = Row(np.zeros(4), WRITTEN)

    assert WEIGHTS[-1] == prior_weight([nothing]) == prior_weight([])
    assert OWN_WEIGHTS[-1] == own_weight([], [])
    assert WRITTEN == pytest.approx([each.value for each in shrunk(nothing, WEIGHTS[-1])])


def test_the_weight_follows_how_far_the_counts_are_off() -> None:
    """Rows drawn from Dirichlet priors of weight 10, and rows drawn as written."""
    rng = np.random.default_rng(3)
    off = [Row(rng.multinomial(50, rng.dirichlet(10.0 * WRITTEN)).astype(float), WRITTEN)
           for _ in range(300)]  # fmt: skip
    right = [Row(rng.multinomial(50, WRITTEN).astype(float), WRITTEN) for _ in range(300)]

    assert prior_weight(off) == 10.0
    assert prior_weight(right) >= 320.0
    assert prior_weight(off[:1]) >= prior_weight(off)


@cache
def clopper_pearson_width(seen: int) -> float:
    """Of the interval of a share that so many of 60 had, by scipy."""
    return np.diff(stats.binomtest(seen, 60).proportion_ci(method="exact")).item()


def test_intervals_hold_what_they_say() -> None:
    """Over truths drawn from the prior, and over truths that have nothing to do with it, 95 % of
    the intervals or more hold the truth; and they are no wider than they need be."""
    rng = np.random.default_rng(4)
    for parts in (20.0 * WRITTEN, np.ones(4)):
        held, widths = [], []
        for _ in range(300):
            truth = rng.dirichlet(parts)
            counts = rng.multinomial(60, truth).astype(float)
            shares = shrunk(Row(counts, WRITTEN), 20.0)
            held += [each.low <= true <= each.high
                     for each, true in zip(shares, truth, strict=True)]  # fmt: skip
            widths += [(each.high - each.low) / clopper_pearson_width(int(seen))
                       for each, seen in zip(shares, counts, strict=True)]  # fmt: skip

        assert 0.94 <= np.mean(held) <= 0.99
        assert np.mean(widths) < 1.3  # of those of Clopper and Pearson


@given(st.integers(0, 10_000))
def test_balanced_shares_have_the_means_wanted(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shares = rng.dirichlet(np.full(6, 0.7), size=9)
    shares[:, 4] = 0.0
    shares /= shares.sum(axis=1, keepdims=True)
    wanted = rng.dirichlet(np.full(6, 5.0))
    wanted[4] = 0.0
    wanted /= wanted.sum()
    factors = balanced(shares, wanted)
    weighed = shares * factors

    assert 1.0 == factors[4]
    assert wanted == pytest.approx(
        (weighed / weighed.sum(axis=1, keepdims=True)).mean(axis=0), abs=1e-5)


def test_alike_visits_need_the_plain_ratio() -> None:
    """All visits alike: a factor is wanted over written share, up to the common scale."""
    shares = np.tile(WRITTEN, (5, 1))
    wanted = np.array([0.2, 0.2, 0.1, 0.5])
    factors = balanced(shares, wanted)

    assert (wanted / WRITTEN) / (wanted / WRITTEN)[0] == pytest.approx(factors / factors[0])
