"""What the orders and the record bench share: the driveline as typed, and orders as findings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from msgspec import Struct, structs

from vibecheck.metrology.orders.rotating_parts import Driveline, OrderLine, Part
from vibecheck.session.benches import fields


class DrivelineTyped(Struct, frozen=True, kw_only=True):
    """What is known of a driveline, as typed; empty where unknown.

    `axle_ratio` : driveshaft turns per wheel turn. `overall_ratio` : engine turns per wheel turn
    in the gear driven. `engine_rpm` : as read. `motor_reduction` : motor turns per wheel turn.
    """

    axle_ratio: str = ""
    cylinders: str = ""
    overall_ratio: str = ""
    engine_rpm: str = ""
    motor_reduction: str = ""
    electric: bool = False
    no_driveshaft: bool = False
    no_half_shafts: bool = False


Typed = TypeVar("Typed", bound=DrivelineTyped)
_TEXT_FACTS = {"axle_ratio": "axle_ratio", "cylinders": "cylinders",
               "motor_reduction": "motor_reduction", "tire": "tire_size"}
_WHEEL_STATES = {1.0: "wheel_first", 2.0: "wheel_second", 3.0: "wheel_third"}
_SHAFT_STATES = {1.0: "driveshaft_first", 2.0: "driveshaft_second"}


def driveline(typed: DrivelineTyped) -> Driveline:
    """The driveline.

    Raises
    ------
    ReadingError : a ratio or count that is no number.
    """
    return Driveline(
        axle_ratio=fields.number(typed.axle_ratio, "axle_ratio"),
        has_driveshaft=False if typed.no_driveshaft else None,
        has_half_shafts=False if typed.no_half_shafts else None,
        cylinders=fields.count(typed.cylinders, "cylinders"),
        overall_ratio=fields.number(typed.overall_ratio, "overall_ratio"),
        engine_rpm=fields.number(typed.engine_rpm, "engine_rpm"),
        electric=True if typed.electric else None,
        motor_reduction=fields.number(typed.motor_reduction, "motor_reduction"),
    )


def with_facts(typed: Typed, facts: Mapping[str, str]) -> Typed:
    """The same with what a case knows of its vehicle, where nothing was typed."""
    fresh: dict[str, Any] = {
        name: facts[fact] for name, fact in _TEXT_FACTS.items()
        if fact in facts and getattr(typed, name, None) == ""
    }
    if facts.get("propulsion") == "electric":
        fresh["electric"] = True
    if facts.get("drive") == "front":
        fresh["no_driveshaft"] = True
    return structs.replace(typed, **fresh)


def order_state(line: OrderLine) -> str:
    """State of the finding `record_order` that an order stands for."""
    if line.part in (Part.WHEEL, Part.HALF_SHAFT_JOINT):
        return _WHEEL_STATES[line.order]
    return _SHAFT_STATES[line.order] if line.part is Part.DRIVESHAFT else "engine"
