"""How much imbalance matters: permissible residual by grade, force at speed, eccentricity.

References
----------
1. ISO 21940-11:2016 (formerly ISO 1940-1:2003), Mechanical vibration, Rotor balancing,
   procedures and tolerances for rotors with rigid behaviour: e_per = G / omega,
   U_per = 1000 G m / omega, grades in steps of 2.5, shares over planes (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.errors import ReadingError

GRADES_MM_S = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0)  # [1]
CAR_WHEEL_GRADE = 40.0  # mm/s, ISO 21940-11 guide table (from memory)


@dataclass(frozen=True)
class Permissible:
    """Permissible residual imbalance of a rotor.

    Attributes
    ----------
    total_gmm : U_per [g mm].
    eccentricity_mm : e_per, the same as an offset of the mass center [mm].
    grade_mm_s : the balance quality grade G [mm/s].
    """

    total_gmm: float
    eccentricity_mm: float
    grade_mm_s: float

    def grams_at(self, radius_mm: float) -> float:
        """The whole permissible imbalance as grams [g] at a radius [mm]."""
        return self.total_gmm / _positive(radius_mm, "a radius", "mm", "200")


def permissible_residual(grade_mm_s: float, mass_kg: float, rpm: float) -> Permissible:
    """Permissible residual imbalance U_per = 1000 G m / omega [1].

    Note that for car wheels this is much looser than common shop practice (a few grams a side).

    Parameters
    ----------
    grade_mm_s : balance quality grade G [mm/s], one of `GRADES_MM_S`.
    mass_kg : mass of the rotor [kg].
    rpm : highest service speed [1/min].

    Raises
    ------
    ReadingError : the grade is none of the standard's, or a mass or speed is not above zero.
    """
    if grade_mm_s not in GRADES_MM_S:
        names = ", ".join(f"{grade:g}" for grade in GRADES_MM_S)
        raise ReadingError(f"G {grade_mm_s:g} is not a balance grade", "grade", f"use {names}")
    mass = _positive(mass_kg, "a rotor mass", "kg", "20")
    omega = omega_of_rpm(rpm)
    eccentricity_mm = grade_mm_s / omega
    return Permissible(1000.0 * eccentricity_mm * mass, eccentricity_mm, grade_mm_s)


def omega_of_rpm(rpm: float) -> float:
    """Angular speed [rad/s] of a speed of rotation [1/min]."""
    return _positive(rpm, "a speed", "1/min", "900") * 2.0 * math.pi / 60.0


def wheel_rpm(speed_kmh: float, rolling_circumference_m: float) -> float:
    """Wheel speed of rotation [1/min] at a road speed [km/h] and rolling circumference [m]."""
    speed = _positive(speed_kmh, "a road speed", "km/h", "100")
    around = _positive(rolling_circumference_m, "a rolling circumference", "m", "1.95")
    return speed * 1000.0 / 60.0 / around


def force_n(imbalance_gmm: float, rpm: float) -> float:
    """Force of an imbalance, F = m r omega^2 [N].

    Parameters
    ----------
    imbalance_gmm : mass times radius [g mm].
    rpm : speed of rotation [1/min].
    """
    if not (math.isfinite(imbalance_gmm) and imbalance_gmm >= 0.0):
        raise ReadingError(
            f"an imbalance of {imbalance_gmm:g} g mm cannot be", "force",
            "write grams times mm, for example 10 g at 200 mm is 2000",
        )
    return imbalance_gmm * 1e-6 * omega_of_rpm(rpm) ** 2


def _positive(value: float, what: str, unit: str, example: str) -> float:
    if not (math.isfinite(value) and value > 0.0):
        raise ReadingError(
            f"{what} of {value:g} {unit} cannot be", "balance", f"write for example {example}"
        )
    return value
