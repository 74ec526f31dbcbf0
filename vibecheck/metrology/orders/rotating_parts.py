"""Which rotating part shakes at which frequency, and back from a frequency to the parts.

An order is written as plain words: "wheel, 1st order" is once per turn of the wheel. Every part
that is geared to the wheels turns at a fixed ratio to them, so its frequency follows from road
speed and rolling circumference. All uncertainties here are expanded, k = 2 (about 95 %).

Symbols: v speed [km/h], C rolling circumference [m], k events per turn of the wheel [unitless];
f = k v / (3.6 C) [Hz].

Assumptions: no wheel slip, a locked clutch or converter, a four-stroke engine that fires evenly.

References
----------
1. Maker's service manual, 2000 (read): wheel frequency = (mph / 5) x a table value by tire size.
2. One universal joint gives the 2nd order of its shaft; a tripod joint gives the 3rd order of its
   half-shaft; a four-stroke engine fires cylinders / 2 times per turn of the crank. From memory,
   high confidence; the 3rd order of a tripod joint as read in a maker's bulletin of 2000.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.errors import VehicleError
from vibecheck.metrology.orders.tire_size import Rolling, wheel_hz

SPEED_KMH = (1.0, 400.0)
RATIO = (0.1, 60.0)
CYLINDERS = (1, 16)
ENGINE_RPM = (100.0, 20_000.0)
SPEEDOMETER_KMH = 2.0  # expanded uncertainty of a steadily held, read-off speed; from memory
RPM_UNCERTAINTY = 50.0  # expanded uncertainty of a dial rev counter [r/min]; from memory


class Part(StrEnum):
    """What turns."""

    WHEEL = "wheel"
    DRIVESHAFT = "driveshaft"
    HALF_SHAFT_JOINT = "half_shaft_joint"
    ENGINE_CRANK = "engine_crank"
    ENGINE_FIRING = "engine_firing"
    MOTOR = "motor"


@dataclass(frozen=True)
class Driveline:
    """What of a vehicle's driveline is known; None means unknown and gives no line.

    Attributes
    ----------
    axle_ratio : driveshaft turns per wheel turn [unitless].
    has_driveshaft : False leaves the driveshaft out even if the axle ratio is known.
    has_half_shafts : False for a rigid driven axle.
    cylinders : of the engine.
    overall_ratio : engine turns per wheel turn in the gear driven [unitless].
    engine_rpm : as read from the rev counter [r/min]; goes before the overall ratio.
    electric : True leaves all engine lines out.
    motor_reduction : motor turns per wheel turn [unitless].
    """

    axle_ratio: float | None = None
    has_driveshaft: bool | None = None
    has_half_shafts: bool | None = None
    cylinders: int | None = None
    overall_ratio: float | None = None
    engine_rpm: float | None = None
    electric: bool | None = None
    motor_reduction: float | None = None


@dataclass(frozen=True)
class OrderLine:
    """One line of the order table.

    Attributes
    ----------
    part, order : what turns, and how often per turn of its own it shakes.
    per_wheel_turn : events per turn of the wheel [unitless].
    hz, uncertainty_hz : frequency and its expanded uncertainty [Hz].
    geared : True if the line moves with road speed, False if it comes from the rev counter.
    """

    part: Part
    order: float
    per_wheel_turn: float
    hz: float
    uncertainty_hz: float
    geared: bool = True

    @property
    def id(self) -> str:
        """The line's own name for data: `wheel_1` is the wheel's 1st order."""
        return f"{self.part.value}_{self.order:g}"

    @property
    def is_engine(self) -> bool:
        """Whether another gear at the same road speed moves this line."""
        return self.part in (Part.ENGINE_CRANK, Part.ENGINE_FIRING)


def order_table(
    speed_kmh: float,
    rolling: Rolling,
    driveline: Driveline | None = None,
    speed_uncertainty_kmh: float = SPEEDOMETER_KMH,
) -> tuple[OrderLine, ...]:
    """Every order that this vehicle can shake at, by frequency.

    Parameters
    ----------
    speed_kmh : road speed [km/h], 1 to 400.
    rolling : rolling circumference with spread [m].
    driveline : what is known of the rest; None gives the wheel lines alone.
    speed_uncertainty_kmh : expanded, k = 2 [km/h].

    Raises
    ------
    VehicleError : a speed, ratio, count or engine speed that no road vehicle has.
    """
    known = driveline or Driveline()
    _check(speed_kmh, speed_uncertainty_kmh, known)
    wheel = wheel_hz(speed_kmh, rolling.circumference_m)
    relative = math.hypot(
        speed_uncertainty_kmh / speed_kmh, rolling.uncertainty_m / rolling.circumference_m
    )
    lines = [
        OrderLine(part, order, ratio * order,
                  wheel * ratio * order, wheel * ratio * order * relative)
        for part, order, ratio in _geared_parts(known)
    ]
    if known.engine_rpm is not None and not known.electric:
        lines += _engine_from_rpm(known.engine_rpm, known.cylinders, wheel)
    return tuple(sorted(lines, key=lambda line: (line.hz, line.id)))


def _geared_parts(known: Driveline) -> list[tuple[Part, float, float]]:
    """Part, order, and turns of the part per turn of the wheel."""
    parts = [(Part.WHEEL, float(order), 1.0) for order in (1, 2, 3)]
    if known.axle_ratio is not None and known.has_driveshaft is not False:
        parts += [(Part.DRIVESHAFT, float(order), known.axle_ratio) for order in (1, 2)]
    if known.has_half_shafts is not False:
        parts.append((Part.HALF_SHAFT_JOINT, 3.0, 1.0))
    if known.motor_reduction is not None and known.electric is not False:
        parts.append((Part.MOTOR, 1.0, known.motor_reduction))
    if known.overall_ratio is not None and known.engine_rpm is None and not known.electric:
        parts.append((Part.ENGINE_CRANK, 1.0, known.overall_ratio))
        if known.cylinders is not None:
            parts.append((Part.ENGINE_FIRING, known.cylinders / 2.0, known.overall_ratio))
    return parts


def _engine_from_rpm(rpm: float, cylinders: int | None, wheel: float) -> list[OrderLine]:
    orders = [(Part.ENGINE_CRANK, 1.0)]
    if cylinders is not None:
        orders.append((Part.ENGINE_FIRING, cylinders / 2.0))
    return [
        OrderLine(part, order, rpm / 60.0 * order / wheel,
                  rpm / 60.0 * order, RPM_UNCERTAINTY / 60.0 * order, geared=False)
        for part, order in orders
    ]


@dataclass(frozen=True)
class Fit:
    """How well a measured frequency fits one order.

    Attributes
    ----------
    line : the order.
    gap_hz : measured minus expected [Hz].
    allowed_hz : expanded uncertainty of that difference, k = 2 [Hz].
    fits : the gap lies within it.
    """

    line: OrderLine
    gap_hz: float
    allowed_hz: float
    fits: bool


class PartedBy(StrEnum):
    """What tells two orders apart that one frequency cannot."""

    NAMED_GEAR = "named_gear"  # one of the gears given, at the same road speed
    OTHER_GEAR = "other_gear"  # some other gear
    SPEED = "speed"
    LOAD = "load"  # a joint shakes under drive and is quiet when coasting
    NO_FREQUENCY = "no_frequency"


@dataclass(frozen=True)
class Pair:
    """Two orders that one measured frequency cannot tell apart at this speed.

    Attributes
    ----------
    first, second : the two orders, lower frequency first.
    gap_hz : how far apart they are [Hz].
    needed_hz : how far apart they would have to be [Hz].
    parts_at_kmh : road speed in this gear from which they part [km/h]; None if none does.
    parting_gears : gears that part them at this road speed.
    parted_by : what tells them apart.
    """

    first: OrderLine
    second: OrderLine
    gap_hz: float
    needed_hz: float
    parts_at_kmh: float | None
    parting_gears: tuple[str, ...]
    parted_by: PartedBy


def parts_that_fit(
    measured_hz: float, uncertainty_hz: float, table: tuple[OrderLine, ...]
) -> tuple[Fit, ...]:
    """Every order against one measured frequency, closest in its own uncertainty first.

    Parameters
    ----------
    measured_hz, uncertainty_hz : the peak and its expanded uncertainty, k = 2 [Hz].
    table : from `order_table` at the speed of the measurement.

    Raises
    ------
    VehicleError : a frequency or an uncertainty that is not a positive finite number.
    """
    for value, what in ((measured_hz, "a frequency"), (uncertainty_hz, "an uncertainty")):
        if not (math.isfinite(value) and value > 0.0):
            raise VehicleError(f"{what} of {value:g} Hz cannot be", "", "write it as 14.2 Hz")
    fits = []
    for line in table:
        gap, allowed = measured_hz - line.hz, math.hypot(uncertainty_hz, line.uncertainty_hz)
        fits.append(Fit(line, gap, allowed, abs(gap) <= allowed))
    return tuple(sorted(fits, key=lambda fit: (abs(fit.gap_hz) / fit.allowed_hz, fit.line.id)))


def inseparable(
    table: tuple[OrderLine, ...],
    speed_kmh: float,
    uncertainty_hz: float,
    rolling: Rolling,
    speed_uncertainty_kmh: float = SPEEDOMETER_KMH,
    gears: Mapping[str, float] | None = None,
) -> tuple[Pair, ...]:
    """The pairs that cannot be told apart, and the speed or gear at which they part.

    Two orders part when the frequency expected of one lies outside the expanded uncertainty of
    the other: gap^2 > U(measured)^2 + U(line)^2.

    Parameters
    ----------
    table : from `order_table` at `speed_kmh` [km/h].
    uncertainty_hz : of a measured peak, expanded, k = 2 [Hz].
    rolling, speed_uncertainty_kmh : as given to `order_table`.
    gears : engine turns per wheel turn by the gear's name, if known [unitless].
    """
    pairs = []
    for index, first in enumerate(table):
        for second in table[index + 1:]:
            gap = abs(second.hz - first.hz)
            line = max(first.uncertainty_hz, second.uncertainty_hz)
            needed = math.hypot(uncertainty_hz, line)
            if gap > needed:
                continue
            at = _parting_speed(first, second, uncertainty_hz, rolling, speed_uncertainty_kmh)
            names = _parting_gears(first, second, speed_kmh, rolling, needed, gears or {})
            by = _parted_by(first, second, at, names)
            pairs.append(Pair(first, second, gap, needed, at, names, by))
    return tuple(pairs)


def _parting_speed(
    first: OrderLine, second: OrderLine, uncertainty_hz: float, rolling: Rolling,
    speed_uncertainty_kmh: float,
) -> float | None:
    """v from (dk v)^2 = (3.6 C U_f)^2 + k^2 (r^2 v^2 + U_v^2), r the relative U of C."""
    if not (first.geared and second.geared):
        return None
    ratio = max(first.per_wheel_turn, second.per_wheel_turn)
    gap = abs(first.per_wheel_turn - second.per_wheel_turn)
    relative = rolling.uncertainty_m / rolling.circumference_m
    slope = gap**2 - (ratio * relative) ** 2
    if slope <= 0.0:
        return None
    fixed = (3.6 * rolling.circumference_m * uncertainty_hz) ** 2
    speed = math.sqrt((fixed + (ratio * speed_uncertainty_kmh) ** 2) / slope)
    return speed if speed <= SPEED_KMH[1] else None


def _parting_gears(
    first: OrderLine, second: OrderLine, speed_kmh: float, rolling: Rolling, needed: float,
    gears: Mapping[str, float],
) -> tuple[str, ...]:
    if first.is_engine == second.is_engine:
        return ()
    engine, other = (first, second) if first.is_engine else (second, first)
    wheel = wheel_hz(speed_kmh, rolling.circumference_m)
    return tuple(
        name for name, ratio in gears.items()
        if abs(wheel * ratio * engine.order - other.hz) > needed
    )


LAWFUL_KMH = 120.0  # above this a road test is not advised


def _parted_by(
    first: OrderLine, second: OrderLine, at_kmh: float | None, gears: tuple[str, ...]
) -> PartedBy:
    if gears:
        return PartedBy.NAMED_GEAR
    if first.is_engine != second.is_engine:
        return PartedBy.OTHER_GEAR
    if at_kmh is not None and at_kmh <= LAWFUL_KMH:
        return PartedBy.SPEED
    if Part.HALF_SHAFT_JOINT in (first.part, second.part):
        return PartedBy.LOAD
    return PartedBy.NO_FREQUENCY


def _check(speed: float, speed_uncertainty: float, known: Driveline) -> None:
    _within(speed, SPEED_KMH, "a speed", "km/h")
    if not (math.isfinite(speed_uncertainty) and 0.0 <= speed_uncertainty <= speed):
        raise VehicleError(
            f"a speed uncertainty of {speed_uncertainty:g} km/h cannot be", "",
            "write a number smaller than the speed",
        )
    _within(known.axle_ratio, RATIO, "an axle ratio", "")
    _within(known.overall_ratio, RATIO, "an overall ratio", "")
    _within(known.motor_reduction, RATIO, "a motor reduction", "")
    _within(known.cylinders, CYLINDERS, "a count of cylinders", "")
    _within(known.engine_rpm, ENGINE_RPM, "an engine speed", "r/min")


def _within(value: float | None, limits: tuple[float, float], what: str, unit: str) -> None:
    low, high = limits
    if value is not None and not low <= value <= high:
        text = f"{what} of {value:g} {unit}".rstrip()
        raise VehicleError(
            f"{text} is none a road vehicle has", "", f"write {low:g} to {high:g} {unit}".rstrip()
        )
