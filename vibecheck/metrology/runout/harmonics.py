"""Least-squares harmonics of readings round one turn, at any angles.

The model is read(theta) = c + sum over n of a_n cos(n theta) + b_n sin(n theta). Angles follow the
convention of `vectors`. Order 1 of a radial reading is eccentricity, of a lateral reading tilt;
order 2 is an oval or a saddle.

References
----------
1. JCGM 100:2008 (GUM), 5.1 and Annex G: covariance of a fit, coverage by Student's t.
2. Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.7.5: expansion of t.
3. Huber and Ronchetti, Robust Statistics, 2nd ed., 2009: fits that a few wild readings do not
   move (bisquare weights after a least-absolute start).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.metrology.vectors import FULL_TURN_DEG

Floats = NDArray[np.float64]

_BISQUARE = 4.685  # bisquare tuning, in scales
SETTLED_MM = 1e-5  # a fit that moves by less is done
_MAD_TO_SD = 1.4826  # median absolute deviation to standard deviation of a normal scatter


class Harmonic(Struct, frozen=True):
    """One order of the fit.

    Attributes
    ----------
    order : times per turn.
    amplitude_mm, uncertainty_mm : amplitude and its expanded uncertainty, about 95 % [mm].
    angle_deg : of its first high spot, in [0, 360 / order) [deg].
    angle_uncertainty_deg : expanded; half of the range if the amplitude drowns in it [deg].
    """

    order: int
    amplitude_mm: float
    uncertainty_mm: float
    angle_deg: float
    angle_uncertainty_deg: float


class HarmonicFit(Struct, frozen=True):
    """A fit: coefficients (c, a1, b1, a2, b2, ...) [mm], their covariance [mm2], the scatter.

    `scatter_mm` is the standard deviation of one reading about the fit [mm], `freedom` its
    degrees of freedom, `residuals_mm` the readings minus the fit [mm], `spread_mm` the standard
    deviation of one reading that the covariance holds: the scatter, or what is known [mm].
    """

    coefficients: Floats
    covariance: Floats
    scatter_mm: float
    freedom: int
    residuals_mm: Floats
    spread_mm: float


def design(angles_deg: Floats, orders: int) -> Floats:
    """Columns 1, cos, sin, cos 2, sin 2, ... of the model at the angles [deg]; shape (N, 2K+1)."""
    return _design(np.asarray(angles_deg, dtype=np.float64).tobytes(), orders)


def basis_of(angles_deg: Floats, orders: int) -> Floats:
    """An orthonormal basis of what `design` spans; shape (N, 2K+1)."""
    return _basis(np.asarray(angles_deg, dtype=np.float64).tobytes(), orders)


def condition(angles_deg: Floats, orders: int) -> float:
    """Condition number of `design`: how much a fit at these angles enlarges scatter [unitless]."""
    return _condition(np.asarray(angles_deg, dtype=np.float64).tobytes(), orders)


@lru_cache(maxsize=64)  # one turn is fitted many times at the same angles
def _design(angles: bytes, orders: int) -> Floats:
    radians = np.deg2rad(np.frombuffer(angles))
    columns = [np.ones_like(radians)]
    for order in range(1, orders + 1):
        columns += [np.cos(order * radians), np.sin(order * radians)]
    return _shared(np.column_stack(columns))


@lru_cache(maxsize=64)
def _basis(angles: bytes, orders: int) -> Floats:
    return _shared(np.linalg.qr(_design(angles, orders))[0])


@lru_cache(maxsize=64)
def _condition(angles: bytes, orders: int) -> float:
    return float(np.linalg.cond(_design(angles, orders)))


def _shared(matrix: Floats) -> Floats:
    matrix.flags.writeable = False  # others hold the same
    return matrix


def within_half_a_turn(angles_deg: Floats) -> Floats:
    """Angles brought to -180 up to 180 deg; any shape. As by a remainder, in half the time."""
    found = angles_deg + FULL_TURN_DEG / 2.0
    found -= FULL_TURN_DEG * np.floor(found / FULL_TURN_DEG)
    found -= FULL_TURN_DEG / 2.0
    return np.asarray(found)


def fit(
    readings_mm: Floats, angles_deg: Floats, orders: int, known_sd_mm: float | None = None
) -> HarmonicFit:
    """Least squares with equal weights.

    Parameters
    ----------
    readings_mm, angles_deg : shape (N,) [mm], [deg]; N must exceed 2 * orders + 1.
    orders : highest order.
    known_sd_mm : standard deviation of one reading if known; else the scatter tells it [mm].
    """
    matrix = design(angles_deg, orders)
    coefficients: Floats = np.asarray(
        np.linalg.lstsq(matrix, readings_mm, rcond=None)[0], dtype=np.float64
    )
    residuals = readings_mm - matrix @ coefficients
    freedom = len(readings_mm) - matrix.shape[1]
    scatter = math.sqrt(float(residuals @ residuals) / freedom)
    spread = scatter if known_sd_mm is None else known_sd_mm
    covariance: Floats = np.asarray(
        spread**2 * np.linalg.inv(matrix.T @ matrix), dtype=np.float64
    )
    return HarmonicFit(coefficients, covariance, scatter, freedom, residuals, spread)


def harmonics_of(fitted: HarmonicFit, coverage: float) -> tuple[Harmonic, ...]:
    """Amplitude and angle of every order, with uncertainty expanded by the coverage factor."""
    found = []
    for order in range(1, (len(fitted.coefficients) - 1) // 2 + 1):
        place = slice(2 * order - 1, 2 * order + 1)
        vector, covariance = fitted.coefficients[place], fitted.covariance[place, place]
        found.append(_harmonic(order, vector, covariance, coverage))
    return tuple(found)


def _harmonic(order: int, vector: Floats, covariance: Floats, coverage: float) -> Harmonic:
    amplitude = float(np.hypot(vector[0], vector[1]))
    span = FULL_TURN_DEG / order
    angle = math.degrees(math.atan2(vector[1], vector[0])) / order % span
    along = vector / amplitude if amplitude > 0.0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    wide = coverage * math.sqrt(float(along @ covariance @ along))
    side = coverage * math.sqrt(float(across @ covariance @ across))
    turn = span / 2.0
    if amplitude > side:
        turn = min(turn, math.degrees(math.asin(side / amplitude)) / order)
    return Harmonic(order, amplitude, wide, 0.0 if angle >= span else angle, turn)


def robust_residuals(readings_mm: Floats, angles_deg: Floats, orders: int) -> tuple[Floats, float]:
    """Residuals about a fit that a few wild readings do not move, and their scale [mm]."""
    matrix = design(angles_deg, orders)
    residuals = readings_mm - matrix @ np.linalg.lstsq(matrix, readings_mm, rcond=None)[0]
    tiny = 1e-6  # mm; far below any gauge
    for _ in range(40):
        before = residuals
        residuals = _reweighted(matrix, readings_mm, 1.0 / np.maximum(np.abs(residuals), tiny))
        if float(np.abs(residuals - before).max()) < SETTLED_MM:
            break
    freedom = len(readings_mm) / max(1, len(readings_mm) - matrix.shape[1])
    for _ in range(20):
        scale = max(tiny, _MAD_TO_SD * float(np.median(np.abs(residuals))) * math.sqrt(freedom))
        inside = np.clip(1.0 - (residuals / (_BISQUARE * scale)) ** 2, 0.0, None)
        before = residuals
        residuals = _reweighted(matrix, readings_mm, inside**2 + 1e-9)
        if float(np.abs(residuals - before).max()) < SETTLED_MM:
            break
    scale = _MAD_TO_SD * float(np.median(np.abs(residuals))) * math.sqrt(freedom)
    return residuals, scale


def _reweighted(matrix: Floats, readings: Floats, weights: Floats) -> Floats:
    heavy = matrix * weights[:, None]
    normal = heavy.T @ matrix
    normal.flat[:: len(normal) + 1] *= 1.0 + 1e-12  # nearly all readings may weigh nothing
    coefficients = np.linalg.solve(normal, heavy.T @ readings)
    return np.asarray(readings - matrix @ coefficients, dtype=float)
