"""Quantiles and tails of the distributions that measurements and beliefs are judged by.

Names say which side a quantile is of: `two_sided_95` leaves 2.5 % at either end, `one_sided_95`
leaves 5 % at the upper one.

References
----------
1. Abramowitz and Stegun, Handbook of Mathematical Functions, 1964: 26.2 (normal), 26.7.5
   (Student's t from the normal quantile), 26.4.21 (chi-square as a Poisson sum),
   26.5.8 (the incomplete beta function as a continued fraction).
2. E. B. Wilson and M. M. Hilferty, PNAS 17 (1931) 684: the cube root of chi-square is normal.
"""

from __future__ import annotations

import math

NORMAL_TWO_SIDED_95 = 1.9599639845400536
NORMAL_ONE_SIDED_95 = 1.6448536269514715
_BETA_TERMS = 500
_LOG_ODDS = 600.0  # beyond any beta quantile worth telling [nat]
_FAINT = 1e-17  # beside a sum
_FINE = 1e-9  # of a logarithm of odds [nat]
_SETTLED = 1e-6  # of four standard deviations; a last step so small is wrong by its square
_T_FEW = {1: 12.706205, 2: 4.302653}  # the series of [1] needs three degrees of freedom


def normal_cdf(z: float) -> float:
    """Chance that a standard normal value lies below z [unitless]."""
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))


def student_t_two_sided_95(freedom: float) -> float:
    """Two-sided 95 % quantile of Student's t; within 0.2 % of the exact value [1, 26.7.5]."""
    if freedom < 3:
        return _T_FEW[max(1, int(freedom))]
    z = NORMAL_TWO_SIDED_95
    terms = (
        z,
        (z**3 + z) / 4.0,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96.0,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384.0,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160.0,
    )
    return math.fsum(term / freedom**power for power, term in enumerate(terms))


def chi_square_one_sided_95(freedom: int) -> float:
    """Upper 95 % quantile of chi-square, within 3 % from one degree on [2]."""
    part = 2.0 / (9.0 * freedom)
    return float(freedom * (1.0 - part + NORMAL_ONE_SIDED_95 * math.sqrt(part)) ** 3)


def chi_square_median_over_mean(freedom: float) -> float:
    """Median of chi-square with `freedom` degrees over its mean, within 1 % from two on [2]."""
    return (1.0 - 2.0 / (9.0 * freedom)) ** 3


def mean_square_tail(ratio: float, count: float) -> float:
    """Chance that `count` averaged powers of noise exceed their mean by the ratio [unitless]."""
    return math.exp(mean_square_log_tail(ratio, count))


def mean_square_log_tail(ratio: float, count: float) -> float:
    """Natural logarithm of `mean_square_tail`, also where that is too small for a number.

    Chi-square with 2 K degrees of freedom: exp(-K r) sum over j < K of (K r)^j / j! [1, 26.4.21].
    """
    whole = max(int(count), 1)
    load = whole * ratio
    if load <= 0.0:
        return 0.0
    last = (whole - 1) * math.log(load) - math.lgamma(whole) - load
    if load < whole:  # the terms rise and fall
        logs = [j * math.log(load) - math.lgamma(j + 1) - load for j in range(whole)]
        most = max(logs)
        return min(most + math.log(math.fsum(math.exp(value - most) for value in logs)), 0.0)
    term = total = 1.0  # they rise to the last; all by that one
    for j in range(whole - 1, 0, -1):
        term *= j / load
        total += term
        if term < _FAINT * total:
            break
    return min(last + math.log(total), 0.0)


def beta_cdf(x: float, a: float, b: float) -> float:
    """Chance that a beta variable with shapes a, b > 0 lies below x [1, 26.5.8; Lentz's method]."""
    if x <= 0.0 or x >= 1.0:
        return float(x >= 1.0)
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - beta_cdf(1.0 - x, b, a)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front += a * math.log(x) + b * math.log1p(-x)
    return min(math.exp(front) * _beta_fraction(x, a, b) / a, 1.0)


def _beta_fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, for x below the mean."""
    tiny = 1e-300
    c, d = 1.0, 1.0 / max(1.0 - (a + b) * x / (a + 1.0), tiny)
    value = d
    for m in range(1, _BETA_TERMS):
        before = value
        for part in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + part * d
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = 1.0 + part / c
            c = c if abs(c) > tiny else tiny
            value *= c * d
        if abs(value - before) <= 1e-15 * abs(value):
            break
    return value


def beta_quantile(q: float, a: float, b: float) -> float:
    """The value below which a beta variable with shapes a, b > 0 lies with chance q [unitless].

    By Newton's method on the logarithm of the odds, between bounds that close in; to 1e-9.
    """
    reach = 4.0 * math.sqrt(1.0 / a + 1.0 / b)
    low, high, at = -_LOG_ODDS - reach, _LOG_ODDS + reach, math.log(a / b)
    while high - low > _FINE:
        off = beta_cdf(_share(at), a, b) - q
        low, high = (at, high) if off < 0.0 else (low, at)
        slope = _beta_slope(at, a, b)
        step = off / slope if slope > 0.0 else math.inf
        if abs(step) < _SETTLED * reach:
            return _share(at - step)
        at = at - step if low < at - step < high else 0.5 * (low + high)
    return _share(0.5 * (low + high))


def _beta_slope(log_odds: float, a: float, b: float) -> float:
    """Of `beta_cdf`, by the logarithm of the odds."""
    below = -math.log1p(math.exp(-log_odds)) if log_odds > 0.0 else (
        log_odds - math.log1p(math.exp(log_odds)))
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    return math.exp(front + a * below + b * (below - log_odds))


def _share(log_odds: float) -> float:
    if log_odds < 0.0:
        odds = math.exp(log_odds)
        return odds / (1.0 + odds)
    return 1.0 / (1.0 + math.exp(-log_odds))
