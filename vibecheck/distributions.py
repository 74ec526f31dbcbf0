"""Quantiles and tails of the distributions that measurements and beliefs are judged by.

Names say which side a quantile is of: `two_sided_95` leaves 2.5 % at either end, `one_sided_95`
leaves 5 % at the upper one.

References
----------
1. Abramowitz and Stegun, Handbook of Mathematical Functions, 1964: 26.2 (normal), 26.7.5
   (Student's t from the normal quantile), 26.4.21 (chi-square as a Poisson sum).
2. E. B. Wilson and M. M. Hilferty, PNAS 17 (1931) 684: the cube root of chi-square is normal.
"""

from __future__ import annotations

import math

NORMAL_TWO_SIDED_95 = 1.9599639845400536
NORMAL_ONE_SIDED_95 = 1.6448536269514715
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
    logs = [-load + j * math.log(load) - math.lgamma(j + 1) for j in range(whole)]
    most = max(logs)
    return min(most + math.log(math.fsum(math.exp(value - most) for value in logs)), 0.0)
