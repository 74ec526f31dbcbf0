"""High minus low between the readings: what the fitted shape says of the whole turn.

The highest of a few readings lies below the highest place of the wheel, since that is seldom
where the gauge was read; the highest of many noisy readings lies above it. The fitted shape
suffers from neither, so what a runout is uncertain by is taken from there and stated about the
high minus low that was read.

References
----------
1. JCGM 100:2008 (GUM), 5.1 and 5.2: covariance of what is read off a fit.
2. JCGM 106:2012: what a measurement leaves open, as a normal distribution (from memory).
"""

from __future__ import annotations

import math

import numpy as np

from vibecheck.distributions import NORMAL_TWO_SIDED_95, normal_cdf
from vibecheck.metrology.runout.harmonics import Floats, HarmonicFit, design
from vibecheck.metrology.runout.local_bend import LocalBend

FINE_DEG = 0.5
SLOPE_DEG = 0.5  # step for the slopes of a bend by its place and width
RANK = 1e-6  # of the largest singular value; what the readings cannot tell is left out


def curve_tir(
    readings: Floats, angles: Floats, shape: HarmonicFit, bend: LocalBend | None
) -> tuple[float, float]:
    """High minus low of a fitted shape, with its bend if any, and its standard uncertainty [mm].

    The uncertainty carries the covariance of the fit to the highest and lowest place [1]; beside
    a bend also what its size, place and width are uncertain by.

    Parameters
    ----------
    readings, angles : shape (N,) [mm], [deg].
    shape : low orders fitted to them.
    bend : found in them, or None.
    """
    orders = (len(shape.coefficients) - 1) // 2
    fine = np.arange(0.0, 360.0, FINE_DEG)
    if bend is None:
        matrix, covariance = design(fine, orders), shape.covariance
        curve = matrix @ shape.coefficients
    else:
        known, matrix = _columns(angles, orders, bend), _columns(fine, orders, bend)
        covariance = np.asarray(
            shape.spread_mm**2 * np.linalg.pinv(known.T @ known, rcond=RANK), dtype=np.float64)
        kept = known.shape[1] - 2  # the slopes are nought at the bend found
        curve = matrix[:, :kept] @ np.linalg.lstsq(known[:, :kept], readings, rcond=None)[0]
    slope = matrix[curve.argmax()] - matrix[curve.argmin()]
    return float(np.ptp(curve)), math.sqrt(float(slope @ covariance @ slope))


def curve_on(
    at_deg: Floats, readings: Floats, angles: Floats, shape: HarmonicFit, bend: LocalBend | None
) -> Floats:
    """The fitted shape, with its bend if any, at some angles [mm]; shape as `at_deg`.

    Parameters
    ----------
    readings, angles, shape, bend : as for `curve_tir`.
    """
    orders = (len(shape.coefficients) - 1) // 2
    if bend is None:
        return np.asarray(design(at_deg, orders) @ shape.coefficients)
    known = np.hstack([design(angles, orders), bend.shapes(angles)])
    best = np.linalg.lstsq(known, readings, rcond=None)[0]
    return np.asarray(np.hstack([design(at_deg, orders), bend.shapes(at_deg)]) @ best)


def half_width(off: float, spread: float, coverage: float) -> float:
    """Half width of the interval about a value that holds the truth 95 times in 100 [2].

    Parameters
    ----------
    off : the best estimate of the truth, less the value that the interval is stated about.
    spread : standard uncertainty of that estimate [same].
    coverage : factor that the estimate's own 95 % interval takes [unitless].
    """
    off, spread = abs(off), spread * coverage / NORMAL_TWO_SIDED_95
    if spread <= 0.0:
        return off
    low, high = off, off + 2.0 * spread
    while high - low > 1e-6 * spread:
        middle = (low + high) / 2.0
        held = normal_cdf((middle - off) / spread) - normal_cdf((-middle - off) / spread)
        low, high = (middle, high) if held < 0.95 else (low, middle)
    return high


def _columns(angles: Floats, orders: int, bend: LocalBend) -> Floats:
    """Low orders, the two shapes of a bend, and its slopes by place and width."""
    shapes = [bend.shapes(angles)]
    for move in ((SLOPE_DEG, 0.0), (0.0, SLOPE_DEG)):
        ahead, behind = (bend.curve_mm(angles, sign * move[0], sign * move[1])
                         for sign in (1.0, -1.0))
        shapes.append(((ahead - behind) / (2.0 * SLOPE_DEG))[:, None])
    return np.hstack([design(angles, orders), *shapes])
