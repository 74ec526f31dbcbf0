"""What the calculators of orders and of records share: the driveline, and orders as findings."""

from __future__ import annotations

from collections.abc import Mapping

from vibecheck.calculators.fields import Field, Shape
from vibecheck.calculators.typed import Typed
from vibecheck.errors import ReadingError
from vibecheck.metrology.orders import rotating_parts as orders
from vibecheck.metrology.orders.rotating_parts import Driveline, OrderLine, Part
from vibecheck.metrology.record.scale import SizeSource, SpeedSource
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity

TIRE = Field("tire", "Tire size", "205/55R16", "As it stands on the tire's side.",
             shape=Shape.TEXT)
SIZE_FROM = Field(
    "size_from", "Size read from", "tire, label or unknown",
    "Where the tire size was read: tire, off the side of the tire fitted; label, off the door "
    "label, an invoice or from memory, when another may be fitted.",
    shape=Shape.CHOICE, choices=tuple(each.value for each in SizeSource), about="tire")
TREAD = Field("tread", "Tread depth", "6 mm or 8/32",
              "As measured; a worn tire rolls less in a turn.", shape=Shape.TEXT, folded=True)
SPEED_FROM = Field(
    "speed_from", "Speed read from", "dash, gps or unknown",
    "Where the speed was read: dash or gps. A dash reads 2 to 8 % high, never low.",
    shape=Shape.CHOICE, choices=tuple(each.value for each in SpeedSource))
DRIVELINE = (
    Field("axle_ratio", "Axle ratio", "3.73", "Driveshaft turns per wheel turn."),
    Field("overall_ratio", "Engine ratio", "4.1",
          "Engine turns per wheel turn in the gear driven."),
    Field("cylinders", "Cylinders", "4", "Of the engine."),
    Field("engine_rpm", "Engine speed", "2400",
          "As read from the rev counter [rpm], instead of the ratio.", folded=True),
    Field("motor_reduction", "Motor reduction", "9.1", "Electric motor turns per wheel turn.",
          folded=True),
    Field("electric", "No engine: electric car", help="The car has no engine.",
          shape=Shape.FLAG, folded=True),
    Field("no_driveshaft", "No driveshaft along the car", help="No shaft runs along the car.",
          shape=Shape.FLAG, folded=True),
    Field("no_half_shafts", "No half-shafts with joints", help="The driven axle is rigid.",
          shape=Shape.FLAG, folded=True),
)
TREAD_MOST_MM = 30.0
_TEXT_FACTS = {"axle_ratio": "axle_ratio", "cylinders": "cylinders",
               "motor_reduction": "motor_reduction", "tire": "tire_size"}
_WHEEL_STATES = {1.0: "wheel_first", 2.0: "wheel_second", 3.0: "wheel_third"}
_SHAFT_STATES = {1.0: "driveshaft_first", 2.0: "driveshaft_second"}


def driveline(typed: Typed) -> Driveline:
    """The driveline as typed; what is empty is unknown.

    Raises
    ------
    ReadingError : a ratio or count that is no number.
    """
    return Driveline(
        axle_ratio=typed.number("axle_ratio"),
        has_driveshaft=False if typed.flag("no_driveshaft") else None,
        has_half_shafts=False if typed.flag("no_half_shafts") else None,
        cylinders=typed.count("cylinders"),
        overall_ratio=typed.number("overall_ratio"),
        engine_rpm=typed.number("engine_rpm"),
        electric=True if typed.flag("electric") else None,
        motor_reduction=typed.number("motor_reduction"),
    )


def speed_source(typed: Typed) -> SpeedSource:
    """Where the speed was read; unknown if nothing is typed.

    Raises
    ------
    ReadingError : another word.
    """
    word = typed.text("speed_from").lower()
    if not word:
        return SpeedSource.UNKNOWN
    if word not in SPEED_FROM.choices:
        raise ReadingError(f"'{short(word)}' is no place to read a speed", "speed_from",
                           "write dash, gps or unknown")
    return SpeedSource(word)


def size_source(typed: Typed) -> SizeSource:
    """Where the tire size was read; unknown if nothing is typed.

    Raises
    ------
    ReadingError : another word.
    """
    word = typed.text("size_from").lower()
    if not word:
        return SizeSource.UNKNOWN
    if word not in SIZE_FROM.choices:
        raise ReadingError(f"'{short(word)}' is no place to read a tire size", "size_from",
                           "write tire, label or unknown")
    return SizeSource(word)


def tread_mm(typed: Typed) -> float | None:
    """The tread depth as typed [mm], or None.

    Raises
    ------
    ReadingError : no length, or more than a tire has.
    """
    found = typed.value("tread", Quantity.LENGTH, "mm")
    if found is not None and not 0.0 <= found.value <= TREAD_MOST_MM:
        raise ReadingError(f"a tread of {found.value:g} mm is none a tire has", "tread",
                           "write for example 6 mm or 8/32")
    return None if found is None else found.value


def suspect(known: Driveline) -> str:
    """The field that the order table refuses: the only one that it can."""
    for name, low, high in (
        ("axle_ratio", *orders.RATIO), ("overall_ratio", *orders.RATIO),
        ("motor_reduction", *orders.RATIO), ("cylinders", *orders.CYLINDERS),
        ("engine_rpm", *orders.ENGINE_RPM),
    ):
        value = getattr(known, name)
        if value is not None and not low <= value <= high:
            return name
    return "speed"


def known_driveline(facts: Mapping[str, str]) -> dict[str, str]:
    """What the facts of a vehicle fill in; its tire size is asked as the tire's side has it."""
    found = {name: facts[fact] for name, fact in _TEXT_FACTS.items() if facts.get(fact)}
    if "tire" in found:
        found["size_from"] = SizeSource.TIRE.value
    if facts.get("propulsion") == "electric":
        found["electric"] = "yes"
    if facts.get("drive") == "front":
        found["no_driveshaft"] = "yes"
    return found


def order_state(line: OrderLine) -> str:
    """State of the finding `record_order` that an order stands for."""
    if line.part in (Part.WHEEL, Part.HALF_SHAFT_JOINT):
        return _WHEEL_STATES[line.order]
    return _SHAFT_STATES[line.order] if line.part is Part.DRIVESHAFT else "engine"
