"""Lateral readings of a wheel less what its hub face brings, place by place; and a tilted stylus.

A hub face that reads h(t) at radius r_h tilts the wheel, so at radius r_w it brings h(t) r_w / r_h
in its first harmonic. Only the first harmonic of the face tilts the wheel: a wavy face is bridged
by a stiff wheel, so the higher orders of the hub are not taken off, they are reported. Both lists
count from the same mark. References: plain geometry (calculated); cosine error of a dial test
indicator as in any handbook of workshop measurement (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Floats, HarmonicFit, fit, student_t95
from vibecheck.metrology.vectors import Vector, vector_of

FEWEST = 6
_STEEPEST_TIP_DEG = 60.0


@dataclass(frozen=True)
class LessHub:
    """A wheel's own lateral runout.

    Attributes
    ----------
    wheel : first harmonic of the wheel alone, amplitude [mm] and angle of its high spot [deg].
    hub : first harmonic that the hub brings at the wheel's radius [mm, deg].
    readings_mm : the wheel's readings with the hub's tilt taken off, shape (N,) [mm].
    uncertainty_mm : of a component of the wheel's first harmonic, 95 % [mm].
    bridged_mm : high minus low of the face that does not tilt the wheel (its waves) [mm].
    """

    wheel: Vector
    hub: Vector
    readings_mm: Floats
    uncertainty_mm: float
    bridged_mm: float


def less_hub(
    wheel_mm: Floats, hub_mm: Floats, angles_deg: Floats, wheel_radius_mm: float,
    hub_radius_mm: float,
) -> LessHub:
    """Take the hub's tilt off lateral readings of a wheel at the same places.

    Parameters
    ----------
    wheel_mm, hub_mm : readings, shape (N,), 6 or more [mm].
    angles_deg : where they were taken, from one mark, shape (N,) [deg].
    wheel_radius_mm, hub_radius_mm : where each was read [mm].

    Raises
    ------
    ReadingError : lists that do not match, too few places, a radius that cannot be.
    """
    wheel, hub = np.asarray(wheel_mm, dtype=float), np.asarray(hub_mm, dtype=float)
    if not len(wheel) == len(hub) == len(angles_deg):
        raise ReadingError(
            f"{len(wheel)} readings of the wheel and {len(hub)} of the hub do not belong together",
            "hub", "read both at the same places",
        )
    if len(wheel) < FEWEST:
        raise ReadingError(f"{len(wheel)} places are too few", "wheel", "read 6 or more, evenly")
    for radius, name in ((wheel_radius_mm, "wheel radius"), (hub_radius_mm, "hub radius")):
        if not (math.isfinite(radius) and radius > 0.0):
            raise ReadingError(f"a {name} must be above zero", name, "write it in mm, as 60 mm")
    scale = wheel_radius_mm / hub_radius_mm
    both = [fit(each, angles_deg, 1) for each in (wheel, hub)]
    brought = complex(*both[1].coefficients[1:3]) * scale
    radians = np.deg2rad(np.asarray(angles_deg, dtype=float))
    taken = brought.real * np.cos(radians) + brought.imag * np.sin(radians)
    own = complex(*both[0].coefficients[1:3]) - brought
    spread = _spread(both[0], both[1], scale)
    waves = both[1].residuals_mm
    return LessHub(
        vector_of(own), vector_of(brought), wheel - taken, spread, float(np.ptp(waves))
    )


def tip_factor(tip_deg: float) -> float:
    """By what a lever gauge's reading is multiplied if its stylus stands at an angle [unitless].

    A lever indicator reads true with the stylus along the surface; tilted by an angle it shows too
    much, and the true movement is the reading times the cosine.

    Raises
    ------
    ReadingError : an angle over 60 deg, at which the gauge tells nothing.
    """
    if not (math.isfinite(tip_deg) and 0.0 <= abs(tip_deg) <= _STEEPEST_TIP_DEG):
        raise ReadingError(
            f"a stylus tilted by {tip_deg:g} deg tells nothing", "tip angle",
            "set it along the surface, at most 30 deg off",
        )
    return math.cos(math.radians(tip_deg))


def _spread(wheel: HarmonicFit, hub: HarmonicFit, scale: float) -> float:
    """Expanded, 95 %, with the degrees of freedom that two fits have together.

    Welch and Satterthwaite: JCGM 100:2008 (GUM), G.4.
    """
    parts = [_mean_variance(wheel.covariance), scale**2 * _mean_variance(hub.covariance)]
    total = sum(parts)
    if not total > 0.0:
        return 0.0
    inverse = sum(
        part**2 / each.freedom for part, each in zip(parts, (wheel, hub), strict=True)
    )
    return student_t95(total**2 / inverse) * math.sqrt(total)


def _mean_variance(covariance: Floats) -> float:
    return float((covariance[1, 1] + covariance[2, 2]) / 2.0)
