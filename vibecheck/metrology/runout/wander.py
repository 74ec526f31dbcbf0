"""Scatter in which one reading resembles the last: how much wider that makes a fitted shape.

A stand that sways or a tip that rides up and down makes readings that stray together. A fit that
takes them for independent then states too small an uncertainty. How strongly neighbors are tied
is told by the residuals; where few of them are left it is averaged over what is possible.

References
----------
1. Harville, Journal of the American Statistical Association 72 (1977) 320: residual likelihood of
   a covariance, from memory.
2. Generalized least squares, as in any text on regression: covariance of a plain least-squares
   fit under correlated errors.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct

from vibecheck.metrology.runout.harmonics import Floats, design

TIES = tuple(0.1 * step for step in range(10))  # correlation of a reading with the one before
NOTHING_MM = 1e-6  # residuals below are rounding of the computer
FREE_POWER = 1.0  # prior weight (1 - tie) ** FREE_POWER: most stands do not sway; from memory


class _Tied(Struct, frozen=True, eq=False):
    """One correlation at one list of angles: weight matrix of residuals, cost, and what a plain
    fit's coefficients are uncertain by per variance of one reading."""

    inverse: Floats
    cost: float
    spread: Floats


def widening(residuals_mm: Floats, angles_deg: Floats, orders: int) -> float:
    """How much wider than for independent scatter the fitted high minus low is uncertain.

    Parameters
    ----------
    residuals_mm, angles_deg : shape (N,), in the order taken, about a fit of `orders` [mm], [deg].

    Returns
    -------
    factor on its standard uncertainty, 1 or more [unitless].
    """
    freedom = len(residuals_mm) - 2 * orders - 1
    if freedom < 1 or float(np.abs(residuals_mm).max()) < NOTHING_MM:
        return 1.0
    cases = _cases(tuple(angles_deg.tolist()), orders)
    left = [max(float(residuals_mm @ case.inverse @ residuals_mm), NOTHING_MM**2)
            for case in cases]
    likely = np.array([
        FREE_POWER * math.log(1.0 - tie) - 0.5 * (case.cost + freedom * math.log(size))
        for tie, case, size in zip(TIES, cases, left, strict=True)
    ])
    weights = np.exp(likely - likely.max())
    weights /= weights.sum()
    sizes = np.array([size * float(np.trace(case.spread[1:, 1:]))
                      for case, size in zip(cases, left, strict=True)])
    return max(1.0, math.sqrt(float(weights @ sizes) / sizes[0]))


@lru_cache(maxsize=32)
def _cases(angles: tuple[float, ...], orders: int) -> tuple[_Tied, ...]:
    matrix = design(np.array(angles), orders)
    solve = np.linalg.pinv(matrix)
    apart = np.abs(np.arange(len(angles))[:, None] - np.arange(len(angles))[None, :])
    found = []
    for tie in TIES:
        covariance = np.asarray(tie**apart, dtype=np.float64)
        inverse = np.linalg.inv(covariance)
        normal = matrix.T @ inverse @ matrix
        # residuals of a plain fit; the part that the weighted fit would still take off goes too
        keep = inverse - inverse @ matrix @ np.linalg.solve(normal, matrix.T @ inverse)
        cost = float(np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(normal)[1])
        spread = solve @ covariance @ solve.T
        found.append(_Tied(
            np.asarray(keep, dtype=np.float64), cost, np.asarray(spread, dtype=np.float64)
        ))
    return tuple(found)
