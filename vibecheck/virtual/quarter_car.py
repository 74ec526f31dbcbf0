"""Quarter car: one wheel, its spring and damper, a quarter of the body, and the tire as a spring.

Equations of motion, z up, base z_r (road or tire runout), force F on the wheel (imbalance, force
variation):

    m_s z_s'' = -c_s (z_s' - z_u') - k_s (z_s - z_u)
    m_u z_u'' =  c_s (z_s' - z_u') + k_s (z_s - z_u) - k_t (z_u - z_r) + F

Symbols: m_s, m_u sprung and unsprung mass [kg]; k_s, k_t rates of spring and tire [N/m]; c_s rate
of the damper [N s/m].

Assumptions: linear, the tire has no damping and never leaves the ground.

References
----------
1. Automotive Chassis Engineering, p. 213 (read): wheel hop sqrt((k_s + k_t) / m_u) / (2 pi);
   20.63 kN/m, 300 kN/m and 40 kg give 14.25 Hz.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from vibecheck.errors import VehicleError
from vibecheck.metrology.runout.harmonics import Floats


@dataclass(frozen=True)
class QuarterCar:
    """One corner; the figures set are of an ordinary car, from memory, medium confidence."""

    sprung_kg: float = 350.0
    unsprung_kg: float = 40.0
    spring_n_m: float = 22_000.0
    tire_n_m: float = 220_000.0
    damper_ns_m: float = 1_500.0

    def __post_init__(self) -> None:
        """Refuse what no corner of a car has."""
        for name, value in vars(self).items():
            least = 0.0 if name == "damper_ns_m" else 1e-9
            if not (math.isfinite(value) and value >= least):
                raise VehicleError(f"a {name} of {value:g} cannot be", "", "write a number above 0")


@dataclass(frozen=True)
class QuarterResponse:
    """Amplitudes at each frequency, shape (N,).

    Attributes
    ----------
    body_per_base, wheel_per_base : motion per motion of the base [unitless].
    body_per_force, wheel_per_force : motion per force on the wheel [m/N].
    """

    body_per_base: Floats
    wheel_per_base: Floats
    body_per_force: Floats
    wheel_per_force: Floats


def quarter_car(frequency_hz: Floats, car: QuarterCar) -> QuarterResponse:
    """Steady response of body and wheel at the frequencies [Hz], shape (N,)."""
    s = 2j * np.pi * np.asarray(frequency_hz, dtype=float)
    link = car.damper_ns_m * s + car.spring_n_m
    body = car.sprung_kg * s**2 + link
    wheel = car.unsprung_kg * s**2 + link + car.tire_n_m
    both = body * wheel - link**2
    body_force, wheel_force = np.abs(link / both), np.abs(body / both)
    return QuarterResponse(
        car.tire_n_m * body_force, car.tire_n_m * wheel_force, body_force, wheel_force
    )


def hop_hz(spring_n_m: float, tire_n_m: float, unsprung_kg: float) -> float:
    """Wheel hop of a wheel between spring and tire, body at rest, undamped [Hz]."""
    return math.sqrt((spring_n_m + tire_n_m) / unsprung_kg) / (2.0 * math.pi)


def heave_hz(spring_n_m: float, tire_n_m: float, sprung_kg: float) -> float:
    """Body heave on spring and tire in series, wheel without mass, undamped [Hz]."""
    series = spring_n_m * tire_n_m / (spring_n_m + tire_n_m)
    return math.sqrt(series / sprung_kg) / (2.0 * math.pi)
