"""Radial force variation from runout and stiffness, and the loaded radius.

A tire held at a fixed height over the road pushes with its stiffness times how far it is pressed
in. Radial runout of order n with amplitude a therefore varies the force by k a at order n: high
minus low 2 k a. That is an upper bound: a soft carcass evens some of it out, and a stiff spot adds
force variation that no runout shows.

References
----------
1. Public handbooks give radial stiffness of car tires of 150 to 300 N/mm (see facts of the tests).
2. T. D. Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 5: force variation of tire and wheel
   assemblies (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Harmonic

USUAL_STIFFNESS_N_MM = 220.0  # of a car tire, with USUAL_STIFFNESS_SPREAD; from memory
USUAL_STIFFNESS_SPREAD = 60.0  # k = 2 [N/mm]


@dataclass(frozen=True)
class ForceHarmonic:
    """Force variation of one order, high minus low, with uncertainty k = 2 [N]."""

    order: int
    force_n: float
    uncertainty_n: float


def from_runout(
    harmonics: Sequence[Harmonic], stiffness_n_mm: float = USUAL_STIFFNESS_N_MM,
    stiffness_uncertainty: float = USUAL_STIFFNESS_SPREAD,
) -> tuple[ForceHarmonic, ...]:
    """The most that radial runout does to the force on the axle, order by order.

    Parameters
    ----------
    harmonics : of the radial runout at the tread.
    stiffness_n_mm, stiffness_uncertainty : radial, k = 2 [N/mm].
    """
    _above_zero(stiffness_n_mm, "a stiffness", "stiffness", "220 N/mm")
    return tuple(
        ForceHarmonic(
            each.order,
            2.0 * stiffness_n_mm * each.amplitude_mm,
            2.0 * math.hypot(stiffness_n_mm * each.uncertainty_mm,
                             stiffness_uncertainty * each.amplitude_mm),
        )
        for each in harmonics
    )  # fmt: skip


def loaded_radius(
    outer_diameter_mm: float, load_n: float, stiffness_n_mm: float = USUAL_STIFFNESS_N_MM,
    stiffness_uncertainty: float = USUAL_STIFFNESS_SPREAD,
) -> tuple[float, float]:
    """Height of the axle over the road under a load, with uncertainty k = 2 [mm].

    Half the diameter less how far the load presses the tire in.
    """
    _above_zero(outer_diameter_mm, "a diameter", "diameter", "634 mm")
    _above_zero(stiffness_n_mm, "a stiffness", "stiffness", "220 N/mm")
    if not (math.isfinite(load_n) and load_n >= 0.0):
        raise ReadingError("a load cannot be negative", "load", "write for example 4000 N")
    pressed = load_n / stiffness_n_mm
    if pressed >= outer_diameter_mm / 4.0:
        raise ReadingError(
            f"{load_n:g} N would press the tire in by {pressed:.0f} mm", "load",
            "check the load on one wheel and the stiffness",
        )
    return outer_diameter_mm / 2.0 - pressed, pressed * stiffness_uncertainty / stiffness_n_mm


def _above_zero(value: float, what: str, where: str, example: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise ReadingError(f"{what} must be above zero", where, f"write for example {example}")
