"""What the engine, its accessories and an electric drive unit excite, per second.

Crank orders of a four-stroke engine: it fires cylinders / 2 times per turn; one cylinder that does
not fire repeats every second turn, the half order. A belt turns an accessory by the ratio of the
two pulleys. An electric motor geared to the wheels turns at gear ratio times the wheels; a pair of
gears meshes teeth times shaft turns; the magnetic pull of p pole pairs repeats 2 p times per turn,
and its torque ripple 6 p times (three phases).

References
----------
1. Four-stroke firing and the half order of a misfire: J. B. Heywood, Internal Combustion Engine
   Fundamentals, 1988, ch. 2 (from memory); common practice.
2. J. F. Gieras, C. Wang, J. C. Lai, Noise of Polyphase Electric Motors, 2006: radial forces at
   twice, torque ripple at six times the electrical frequency (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.errors import VehicleError
from vibecheck.metrology.orders.tire_size import wheel_hz

SECONDS = 60.0


class Source(StrEnum):
    """What shakes."""

    CRANK = "crank"  # once per turn: balancer pulley, flexplate, converter
    MISFIRE = "misfire"  # half order: one cylinder does not fire
    FIRING = "firing"
    ACCESSORY = "accessory"
    MOTOR = "motor"
    MOTOR_POLES = "motor_poles"
    MOTOR_RIPPLE = "motor_ripple"
    GEAR_MESH = "gear_mesh"


@dataclass(frozen=True)
class Excitation:
    """One source: how often per turn of its own shaft's reference, and how often per second [Hz].

    `order` counts per turn of the crank (engine) or of the motor (electric).
    """

    source: Source
    order: float
    hz: float


def engine_excitations(
    rpm: float, cylinders: int | None = None, pulley_ratio: float | None = None
) -> tuple[Excitation, ...]:
    """What an engine at a speed [rpm] excites, slowest first.

    Parameters
    ----------
    rpm : of the crank.
    cylinders : of a four-stroke engine that fires evenly; None leaves firing out.
    pulley_ratio : crank pulley diameter over accessory pulley diameter; None leaves it out.

    Raises
    ------
    VehicleError : a number that cannot be.
    """
    turn = _checked(rpm, "an engine speed", "rpm", 12_000.0) / SECONDS
    found = [(Source.MISFIRE, 0.5), (Source.CRANK, 1.0)]
    if cylinders is not None:
        if not 1 <= cylinders <= 16:
            raise VehicleError(f"an engine of {cylinders} cylinders cannot be", "cylinders",
                               "write the number of cylinders, as 4")  # fmt: skip
        found.append((Source.FIRING, cylinders / 2.0))
    if pulley_ratio is not None:
        ratio = _checked(pulley_ratio, "a pulley ratio", "pulley ratio", 10.0)
        found.append((Source.ACCESSORY, ratio))
    lines = (Excitation(source, order, order * turn) for source, order in found)
    return tuple(sorted(lines, key=lambda line: line.hz))


def pulley_ratio(crank_mm: float, accessory_mm: float) -> float:
    """How often an accessory turns per turn of the crank, from the pulleys' diameters [mm]."""
    crank = _checked(crank_mm, "a pulley diameter", "crank pulley", 500.0)
    return crank / _checked(accessory_mm, "a pulley diameter", "accessory pulley", 500.0)


def overall_ratio(rpm: float, speed_kmh: float, circumference_m: float) -> float:
    """Turns of the engine or motor per turn of the wheel, from rev counter and speed.

    With a locked clutch or converter it tells the gear that is engaged; more than the gears allow
    says that the clutch or the converter slips.
    """
    turning = wheel_hz(_checked(speed_kmh, "a speed", "speed", 400.0), circumference_m)
    return _checked(rpm, "an engine speed", "rpm", 25_000.0) / SECONDS / turning


def electric_excitations(
    speed_kmh: float, circumference_m: float, gear_ratio: float, pole_pairs: int | None = None,
    pinion_teeth: int | None = None,
) -> tuple[Excitation, ...]:
    """What an electric drive unit excites at a road speed [km/h], slowest first.

    Parameters
    ----------
    gear_ratio : turns of the motor per turn of the wheel.
    pole_pairs : of the motor; pinion_teeth : of the gear on the motor's shaft. None leaves out.

    Raises
    ------
    VehicleError : a number that cannot be.
    """
    speed = _checked(speed_kmh, "a speed", "speed", 400.0)
    ratio = _checked(gear_ratio, "a gear ratio", "gear ratio", 30.0)
    motor = ratio * wheel_hz(speed, circumference_m)
    found = [(Source.MOTOR, 1.0)]
    if pole_pairs is not None:
        _checked(pole_pairs, "a count of pole pairs", "pole pairs", 20.0)
        found += [(Source.MOTOR_POLES, 2.0 * pole_pairs), (Source.MOTOR_RIPPLE, 6.0 * pole_pairs)]
    if pinion_teeth is not None:
        found.append((Source.GEAR_MESH, _checked(pinion_teeth, "a count of teeth", "teeth", 200.0)))
    lines = (Excitation(source, order, order * motor) for source, order in found)
    return tuple(sorted(lines, key=lambda line: line.hz))


def _checked(value: float, what: str, where: str, most: float) -> float:
    if not (math.isfinite(value) and 0.0 < value <= most):
        raise VehicleError(f"{what} of {value:g} cannot be", where,
                           f"write a number above 0, up to {most:g}")  # fmt: skip
    return float(value)
