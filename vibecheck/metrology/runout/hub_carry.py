"""What runout of a hub does at the bead of the wheel bolted to it.

A hub face that runs out by f (high minus low, read at radius r_f) tilts the wheel by f / (2 r_f).
At the bead, radius r_b and at an axial distance z from the mounting face, the tilt gives

    lateral runout  f r_b / r_f        radial runout  f z / r_f

A pilot that is off center by half of its runout p carries the wheel with it: radial runout p at
the bead, and up to the diametral clearance more if the wheel hangs in its clearance.

Assumptions: small angles, a flat mounting face of the wheel, no dirt between the faces. The
formulas are plain geometry (calculated).
"""

from __future__ import annotations

import math

from msgspec import Struct

from vibecheck.errors import ReadingError


class CarriedRunout(Struct, frozen=True):
    """Runout at the bead that comes from the hub, high minus low, with uncertainty k = 2 [mm]."""

    lateral_mm: float
    lateral_uncertainty_mm: float
    radial_mm: float
    radial_uncertainty_mm: float


def face_at_bead(
    face_tir_mm: float, uncertainty_mm: float, face_radius_mm: float, bead_radius_mm: float,
    bead_offset_mm: float = 0.0,
) -> CarriedRunout:
    """Hub-face runout carried to the bead.

    Parameters
    ----------
    face_tir_mm, uncertainty_mm : runout of the face and its expanded uncertainty [mm].
    face_radius_mm : where the face was read [mm].
    bead_radius_mm : of the bead seat [mm].
    bead_offset_mm : axial distance of the bead from the mounting face, either sign [mm].

    Raises
    ------
    ReadingError : a number that cannot be.
    """
    _positive(face_radius_mm, "a radius of the hub face")
    _positive(bead_radius_mm, "a bead radius")
    _not_negative(face_tir_mm, "a hub-face runout")
    _not_negative(uncertainty_mm, "an uncertainty")
    if not abs(bead_offset_mm) < bead_radius_mm * 4.0:
        raise ReadingError(f"a bead offset of {bead_offset_mm:g} mm cannot be")
    lateral = bead_radius_mm / face_radius_mm
    radial = abs(bead_offset_mm) / face_radius_mm
    return CarriedRunout(
        face_tir_mm * lateral, uncertainty_mm * lateral,
        face_tir_mm * radial, uncertainty_mm * radial,
    )


def pilot_at_bead(
    pilot_tir_mm: float, uncertainty_mm: float, clearance_mm: float = 0.0
) -> CarriedRunout:
    """Pilot runout carried to the bead; the clearance counts as a spread around it.

    A wheel that hangs in a diametral clearance c is off by up to c / 2 in any direction, up to c
    of runout; as a rectangular spread that is c / sqrt(3) at a standard uncertainty.
    """
    _not_negative(pilot_tir_mm, "a pilot runout")
    _not_negative(uncertainty_mm, "an uncertainty")
    _not_negative(clearance_mm, "a clearance")
    spread = math.hypot(uncertainty_mm, 2.0 * clearance_mm / math.sqrt(3.0))
    return CarriedRunout(0.0, 0.0, pilot_tir_mm, spread)


def _positive(value: float, what: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise ReadingError(f"{what} of {value:g} mm cannot be", "", "write a number above 0")


def _not_negative(value: float, what: str) -> None:
    if not (math.isfinite(value) and 0.0 <= value < 100.0):
        raise ReadingError(f"{what} of {value:g} mm cannot be", "", "write it as 0.05 mm")
