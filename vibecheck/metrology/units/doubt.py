"""A number typed bare, and whether another unit makes more sense of it.

A bare number counts in the unit of its field. 0.047 beside "mm" is a wheel truer than most, and in
inches a bent one; only the person knows. What is doubtful is handed back in every unit in which it
would be an ordinary reading, for the front end to ask.

This module does not know the parts of a car: the range of ordinary readings is handed in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from msgspec.structs import replace

from vibecheck.metrology.units.values import Measured, Quantity, unit_named

CHOICES: dict[Quantity, tuple[str, ...]] = {  # the units a person may choose for bare numbers
    Quantity.LENGTH: ("mm", "in", "thou"),
    Quantity.SPEED: ("km/h", "mph"),
    Quantity.TORQUE: ("Nm", "lb-ft"),
    Quantity.MASS: ("g", "oz"),
    Quantity.PRESSURE: ("kPa", "psi", "bar"),
    Quantity.FORCE: ("N", "lb"),
    Quantity.FREQUENCY: ("Hz", "rpm"),
    Quantity.ANGLE: ("deg",),
    Quantity.ACCELERATION: ("m/s2", "g"),
    Quantity.NUMBER: ("",),
}
FINE_SHARE = 0.1  # of the limit: gauges for small limits show finer steps
FINEST_STEP_MM = 0.005  # usual dials show hundredths of a millimeter, so three decimals are inches
SMALL_SHARE = 1.0 / 6.0  # of its limit; a smaller runout is rare; common practice, no source
LARGEST_USUAL_MM = 6.0  # hardly any runout is larger, whatever its limit; the same
LARGE_SHARE = 12.0  # times its limit; a larger one is hardly met on a car that drove in; the same


class Doubtful(StrEnum):
    """What makes a bare number doubtful."""

    TOO_SMALL = "too_small"
    TOO_LARGE = "too_large"
    TOO_FINE = "too_fine"
    TOO_COARSE = "too_coarse"


@dataclass(frozen=True)
class Doubt:
    """A doubtful reading, as it counts and as it might be meant.

    Attributes
    ----------
    why : what makes it doubtful.
    as_read : the reading in the unit of bare numbers.
    otherwise : the same number in each other unit in which it would be ordinary; may be empty.
    """

    why: Doubtful
    as_read: Measured
    otherwise: tuple[Measured, ...]


def usual_runout(limit_mm: float) -> tuple[float, float]:
    """Range of ordinary runouts of a surface with such a limit [mm]."""
    return SMALL_SHARE * limit_mm, LARGE_SHARE * limit_mm


def finest_step(limit_mm: float) -> float:
    """Last digit finer than which no usual gauge for such a limit shows [mm]."""
    return min(FINEST_STEP_MM, FINE_SHARE * limit_mm)


def doubt(
    measured: Measured, quantity: Quantity, expected: tuple[float, float],
    default_unit: str = "", finest_step: float | None = None,
) -> Doubt | None:
    """Whether a reading typed bare may have been meant in another unit.

    Parameters
    ----------
    measured : the reading; one with a unit of its own is never doubted.
    quantity : what it is a reading of.
    expected : lowest and highest ordinary reading [base unit].
    default_unit : the unit of bare numbers; the base unit if empty.
    finest_step : a last digit finer than this is not read off the gauge [base unit]; None takes
        that of a dial gauge for a length, and anything for the rest.

    Returns
    -------
    None where there is no cause for doubt; a reading of zero gives none.
    """
    if not measured.bare or measured.value == 0.0:
        return None
    if finest_step is None:
        finest_step = FINEST_STEP_MM if quantity is Quantity.LENGTH else 0.0
    why = _why(measured, expected, finest_step)
    if why is None:
        return None
    unit = unit_named(default_unit or measured.unit, quantity)
    others = [unit_named(name, quantity) for name in CHOICES[quantity]]
    otherwise = tuple(
        replace(
            measured, value=measured.value * other.factor / unit.factor, unit=other.name,
            step=measured.step * other.factor / unit.factor, bare=False,
        )
        for other in others if other.name != unit.name
    )
    fitting = tuple(each for each in otherwise if _why(each, expected, 0.0) is None)
    if not fitting and why in (Doubtful.TOO_FINE, Doubtful.TOO_COARSE):
        return None
    return Doubt(why, measured, fitting)


def doubt_of_list(
    readings: Sequence[Measured], quantity: Quantity, expected: tuple[float, float],
    default_unit: str = "", finest_step: float | None = None,
) -> Doubt | None:
    """The same for the high minus low of readings round a turn, all of them typed bare."""
    if not readings or not all(each.bare for each in readings):
        return None
    values = [each.value for each in readings]
    whole = replace(
        readings[0], value=max(values) - min(values), uncertainty=None,
        step=min(each.step for each in readings),
    )
    return doubt(whole, quantity, expected, default_unit, finest_step)


def _why(
    measured: Measured, expected: tuple[float, float], finest_step: float
) -> Doubtful | None:
    low, high = expected
    size = abs(measured.value)
    if size < low:
        return Doubtful.TOO_SMALL
    if size > high:
        return Doubtful.TOO_LARGE
    if 0.0 < measured.step < finest_step:
        return Doubtful.TOO_FINE
    if low > 0.0 and measured.step > math.sqrt(low * high):
        return Doubtful.TOO_COARSE
    return None
