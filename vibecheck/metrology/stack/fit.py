"""How a wheel sits: clearance on the hub pilot, and what another offset moves.

A bore that is c wider than its pilot (diametral clearance) lets the wheel hang off center by up
to c / 2, which runs out by up to c, high minus low, and unbalances a wheel of mass m by up to
m c / 2. Wheels that are centered by their fasteners (conical or ball seats tightened evenly) may
have any clearance; the fasteners then do the work.

A wheel of width w and offset e (mounting face outboard of the middle is positive) reaches w/2 - e
outboard and w/2 + e inboard of the hub face. References: plain geometry (calculated); ISO 4000-2
and the trade measure offset so (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.errors import ReadingError

INCH_MM = 25.4


@dataclass(frozen=True)
class PilotFit:
    """A bore on its pilot.

    Attributes
    ----------
    clearance_mm, uncertainty_mm : bore less pilot, diametral, k = 2; negative will not go on [mm].
    runout_mm : the most radial runout that the clearance allows, high minus low [mm].
    imbalance_gmm : the most imbalance it brings for the mass given; None without a mass [g mm].
    """

    clearance_mm: float
    uncertainty_mm: float
    runout_mm: float
    imbalance_gmm: float | None


def pilot_fit(
    bore_mm: float, pilot_mm: float, uncertainty_mm: float = 0.05, mass_kg: float | None = None
) -> PilotFit:
    """The fit of a wheel's bore, or of a centering ring, on the hub pilot.

    Parameters
    ----------
    bore_mm, pilot_mm : diameters [mm]; uncertainty_mm : of each, k = 2 [mm].
    mass_kg : of tire and wheel.

    Raises
    ------
    ReadingError : a diameter or mass that cannot be.
    """
    for value, name in ((bore_mm, "bore"), (pilot_mm, "pilot")):
        if not (math.isfinite(value) and 20.0 <= value <= 400.0):
            raise ReadingError(f"a {name} of {value:g} mm cannot be", name, "write it as 66.6 mm")
    if mass_kg is not None and not 1.0 <= mass_kg <= 200.0:
        raise ReadingError(f"a wheel of {mass_kg:g} kg cannot be", "mass", "write it as 20 kg")
    clearance = bore_mm - pilot_mm
    most = max(0.0, clearance)
    imbalance = None if mass_kg is None else mass_kg * 1000.0 * most / 2.0
    return PilotFit(clearance, math.sqrt(2.0) * uncertainty_mm, most, imbalance)


@dataclass(frozen=True)
class Stance:
    """How much farther a wheel reaches than the one before, positive for more [mm]."""

    outboard_mm: float
    inboard_mm: float
    track_mm: float  # the axle's track, both sides together


def stance_change(
    width_in: float, offset_mm: float, new_width_in: float, new_offset_mm: float,
    spacer_mm: float = 0.0,
) -> Stance:
    """What another wheel, or a spacer, moves.

    Parameters
    ----------
    width_in, new_width_in : rim widths [in]; offset_mm, new_offset_mm : offsets [mm].
    spacer_mm : thickness of a spacer under the new wheel [mm].
    """
    for width in (width_in, new_width_in):
        if not 3.0 <= width <= 16.0:
            raise ReadingError(f"a rim of {width:g} in cannot be", "width", "write it as 7.5")
    for offset in (offset_mm, new_offset_mm):
        if not -150.0 <= offset <= 150.0:
            raise ReadingError(f"an offset of {offset:g} mm cannot be", "offset", "write it as 45")
    if not 0.0 <= spacer_mm <= 100.0:
        raise ReadingError(f"a spacer of {spacer_mm:g} mm cannot be", "spacer", "write it as 5 mm")
    effective = new_offset_mm - spacer_mm
    wider = (new_width_in - width_in) * INCH_MM / 2.0
    out = offset_mm - effective
    return Stance(wider + out, wider - out, 2.0 * out)
