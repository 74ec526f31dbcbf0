"""Defect orders of a rolling bearing from its geometry.

With n balls or rollers of diameter d on a pitch diameter D at a contact angle a, the inner ring
turning once against a standing outer ring:

    cage          (1 - d/D cos a) / 2
    outer ring    n (1 - d/D cos a) / 2
    inner ring    n (1 + d/D cos a) / 2
    ball spin     (D/d) (1 - (d/D cos a)^2) / 2;  a flaw on a ball strikes twice per spin

If the outer ring turns instead (a hub unit whose flange is the outer ring), only the cage changes,
to (1 + d/D cos a) / 2; the passing orders stay.

Assumption: pure rolling; slip moves real defects by a percent or two.

References
----------
1. ISO 15243 names the damage, not the frequencies; the formulas are kinematics as in R. B. Randall
   and J. Antoni, Mech. Syst. Signal Process. 25 (2011) 485-520, eq. 1 to 4 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.errors import ReadingError


class TurningRing(StrEnum):
    """Which ring turns with the wheel."""

    INNER = "inner"
    OUTER = "outer"


@dataclass(frozen=True)
class DefectOrders:
    """Strikes per turn of the wheel [unitless]."""

    cage: float
    outer_ring: float
    inner_ring: float
    ball: float


def defect_orders(
    balls: int, ball_mm: float, pitch_mm: float, contact_deg: float = 0.0,
    turning: TurningRing = TurningRing.INNER,
) -> DefectOrders:
    """Orders of a flaw on each part of a bearing.

    Parameters
    ----------
    balls : balls or rollers in one row.
    ball_mm, pitch_mm : diameter of a ball and of the circle of their centers [mm].
    contact_deg : contact angle [deg].

    Raises
    ------
    ReadingError : a geometry that cannot be.
    """
    if not 3 <= balls <= 60:
        raise ReadingError(f"a bearing of {balls} balls cannot be", "balls", "count one row")
    if not (0.0 < ball_mm < pitch_mm and math.isfinite(pitch_mm)):
        raise ReadingError(
            "a ball must be smaller than the pitch circle", "ball diameter",
            "write both in one unit, for example 7.94 mm and 39.04 mm",
        )
    if not 0.0 <= contact_deg < 90.0:
        raise ReadingError("a contact angle lies from 0 to under 90 deg", "contact angle",
                           "write for example 30 deg")  # fmt: skip
    if balls * ball_mm > math.pi * pitch_mm:
        raise ReadingError(
            f"{balls} balls of {ball_mm:g} mm do not fit round {pitch_mm:g} mm", "balls",
            "check the count and the diameters",
        )
    slope = ball_mm / pitch_mm * math.cos(math.radians(contact_deg))
    cage = (1.0 + (slope if turning is TurningRing.OUTER else -slope)) / 2.0
    return DefectOrders(
        cage=cage,
        outer_ring=balls * (1.0 - slope) / 2.0,
        inner_ring=balls * (1.0 + slope) / 2.0,
        ball=pitch_mm / ball_mm * (1.0 - slope * slope),
    )
