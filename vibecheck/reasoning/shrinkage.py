"""Counts drawn toward what is written: shares of cases with a prior worth a stated number of them.

A row of shares (which state a finding is in when a fault is there) has a Dirichlet prior whose mean
is the written row and whose weight is a number of cases; after the counts its mean is

    (weight * written + counts) / (weight + cases)

and each share by itself is a beta variable. Shares of faults are written by words on a scale of
steps, so they are wrong by about the same factor, the rare ones as much as the common: each has a
beta prior of its own, worth the same number of cases *with that fault*.

How much the written shares may weigh is told by the counts: that weight is taken under which the
counts of all rows together are likeliest, where a weight is held for as much likelier beforehand
as it is greater. So a handful of cases leaves what is written as it stands, and many that disagree
with it are heard.

Assumptions: cases are independent of each other; the written shares are wrong by chance and by
about the same amount. Counts may be broken where a case is shared out over states.

References
----------
1. A. Gelman et al., Bayesian Data Analysis, 3rd ed. 2013: 3.4 (Dirichlet prior of a multinomial),
   ch. 5 (prior weight from the marginal likelihood of many rows).
2. L. D. Brown, T. T. Cai, A. DasGupta, Statistical Science 16 (2001) 101: Jeffreys' interval,
   4.1.2 with its ends.
3. Iterative proportional fitting, for `balanced`: W. E. Deming and F. F. Stephan, Ann. Math.
   Stat. 11 (1940) 427.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vibecheck.distributions import beta_quantile

Array = NDArray[np.float64]

WEIGHTS = tuple(2.5 * 2.0**step for step in range(11))  # of a row: 2.5 to 2560 cases
OWN_WEIGHTS = tuple(1.25 * 2.0**step for step in range(8))  # cases with the fault: 1.25 to 160
COVERAGE = 0.95
_FLAT = 0.5  # cases with and without, in Jeffreys' prior
_LEAST_SHARE = 1e-9  # keeps a written share from being a certainty
_ROUNDS = 200
_CLOSE = 1e-9


@dataclass(frozen=True)
class Row:
    """Counted cases of one row, and its written shares.

    counts : shape (n,), cases; may be broken.
    written : shape (n,), summing to 1 [unitless].
    """

    counts: Array
    written: Array

    @property
    def cases(self) -> float:
        """How many cases were counted."""
        return float(self.counts.sum())

    @cached_property
    def believed(self) -> Array:
        """The written shares, none of them a certainty, summing to 1 [unitless]."""
        return _positive(self.written)


@dataclass(frozen=True)
class BetaShare:
    """A share after the counts: a beta variable, of cases with it and of those without [cases].

    seen, cases : cases with it and in all that were counted, without those of the prior.

    The bounds `low` and `high` [unitless] hold it with the chance `COVERAGE` both by what is
    written and by the counts alone: the wider of both, so that they are right even where the share
    is further off what is written than the others are. By the counts alone they are Jeffreys' [2],
    open to the end that nobody saw anything beyond.
    """

    own: float
    others: float
    seen: float
    cases: float

    @property
    def value(self) -> float:
        """Its mean [unitless]."""
        return self.own / (self.own + self.others)

    @cached_property
    def low(self) -> float:
        """The lower bound [unitless]."""
        tail = (1.0 - COVERAGE) / 2.0
        if self.seen <= 0.0:
            return 0.0
        alone = beta_quantile(tail, self.seen + _FLAT, self.cases - self.seen + _FLAT)
        return min(beta_quantile(tail, self.own, self.others), alone)

    @cached_property
    def high(self) -> float:
        """The upper bound [unitless]."""
        tail = (1.0 + COVERAGE) / 2.0
        if self.seen >= self.cases:
            return 1.0
        alone = beta_quantile(tail, self.seen + _FLAT, self.cases - self.seen + _FLAT)
        return max(beta_quantile(tail, self.own, self.others), alone)


def counted_share(seen: float, cases: float) -> BetaShare:
    """A share by its counts alone [cases], with Jeffreys' prior [2]."""
    return BetaShare(seen + _FLAT, cases - seen + _FLAT, seen, cases)


def shrunk(row: Row, weight: float) -> tuple[BetaShare, ...]:
    """The shares of a row after its counts, each by itself [1].

    Parameters
    ----------
    weight : what the written shares are worth [cases], > 0.
    """
    parts = weight * row.believed + row.counts
    total = float(parts.sum())
    return tuple(
        BetaShare(part, total - part, seen, row.cases)
        for part, seen in zip(parts.tolist(), row.counts.tolist(), strict=True)
    )


def log_marginal(row: Row, weight: float) -> float:
    """Log of the chance of the counts, in the order they came, under a prior weight [nat] [1]."""
    return _Counted.of(row).log_chance(weight)


@dataclass(frozen=True)
class _Counted:
    """A row as its chance needs it: believed shares, those of them that were met with how often,
    and all cases."""

    shares: tuple[float, ...]
    met: tuple[tuple[float, float], ...]
    cases: float

    @classmethod
    def of(cls, row: Row) -> _Counted:
        shares = tuple(row.believed.tolist())
        both = zip(shares, row.counts.tolist(), strict=True)
        return cls(shares, tuple((share, count) for share, count in both if count > 0.0), row.cases)

    def log_chance(self, weight: float) -> float:
        lgamma = math.lgamma
        own = math.fsum([
            lgamma(weight * share + count) - lgamma(weight * share) for share, count in self.met
        ])
        total = math.fsum([weight * share for share in self.shares])
        return own + lgamma(total) - lgamma(total + self.cases)


def prior_weight(rows: Sequence[Row]) -> float:
    """What written rows are worth beside these counts, one of `WEIGHTS` [cases].

    Without counts it is the greatest.
    """
    counted = [_Counted.of(row) for row in rows if row.cases > 0.0]
    return _likeliest(
        WEIGHTS, lambda weight: math.fsum([each.log_chance(weight) for each in counted])
    )


def own_share(count: float, cases: float, written: float, weight: float) -> BetaShare:
    """A fault's share after the counts.

    Parameters
    ----------
    count, cases : with the fault, and in all [cases].
    written : its written share, > 0 [unitless].
    weight : what that is worth [cases with the fault], > 0.
    """
    own, others = shrunk(_own_row(count, cases, written), weight / written)
    return own


def own_weight(counts: Sequence[float], written: Sequence[float]) -> float:
    """What written shares of faults are worth, one of `OWN_WEIGHTS` [cases with the fault].

    Parameters
    ----------
    counts : cases with each fault, shape (n,). written : shares, each > 0, shape (n,) [unitless].
    """
    cases = math.fsum(counts)
    rows = [(_Counted.of(_own_row(count, cases, share)), share)
            for count, share in zip(counts, written, strict=True)]  # fmt: skip
    return _likeliest(
        OWN_WEIGHTS,
        lambda weight: math.fsum([row.log_chance(weight / share) for row, share in rows]),
    )


def _own_row(count: float, cases: float, written: float) -> Row:
    return Row(np.array([count, cases - count]), np.array([written, 1.0 - written]))


def _likeliest(weights: Sequence[float], log_chance: Callable[[float], float]) -> float:
    return max(reversed(weights), key=lambda weight: math.log(weight) + log_chance(weight))


def balanced(shares: Array, wanted: Array) -> Array:
    """Factors on the columns under which rows of shares have the wanted means [3].

    Parameters
    ----------
    shares : (v, n) rows summing to 1 [unitless].
    wanted : (n,) means wanted, summing to 1; 0 only where a column is all 0 [unitless].

    Returns
    -------
    factors : (n,), > 0; where a column is all 0 the factor is 1. Their common scale means nothing.
    """
    factors: Array = np.ones(shares.shape[1])
    lives = shares.any(axis=0)
    distinct, times = np.unique(shares, axis=0, return_counts=True)
    for _ in range(_ROUNDS):
        weighed = distinct * factors
        weighed /= weighed.sum(axis=1, keepdims=True)
        means = times @ weighed / times.sum()
        step = np.where(lives, wanted / np.where(lives, means, 1.0), 1.0)
        factors = factors * np.where(step > 0.0, step, 1.0)
        if np.abs(step[lives] - 1.0).max(initial=0.0) < _CLOSE:
            break
    return factors


def _positive(shares: Array) -> Array:
    kept: Array = np.maximum(shares, _LEAST_SHARE)
    return np.asarray(kept / kept.sum())
