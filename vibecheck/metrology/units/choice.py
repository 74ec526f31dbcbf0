"""The units a person wants to see and type; nothing that is kept depends on them."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.errors import InputError
from vibecheck.metrology.units.values import Quantity

CHOICES: dict[Quantity, tuple[str, ...]] = {
    Quantity.LENGTH: ("mm", "in", "thou"),
    Quantity.SPEED: ("km/h", "mph"),
    Quantity.MASS: ("g", "oz"),
    Quantity.FORCE: ("N", "lb"),
    Quantity.PRESSURE: ("kPa", "psi"),
    Quantity.TORQUE: ("Nm", "lb-ft"),
}


class Units(Struct, frozen=True):
    """The unit of a bare number and of what is shown, for every quantity with a choice."""

    length: str = "mm"
    speed: str = "km/h"
    mass: str = "g"
    force: str = "N"
    pressure: str = "kPa"
    torque: str = "Nm"

    def of(self, quantity: Quantity, usual: str = "") -> str:
        """The unit for a quantity; `usual` where there is no choice."""
        return str(getattr(self, quantity.value)) if quantity in CHOICES else usual

    def with_length(self, length: str) -> Units:
        """The unit of length, which brings along those of its system; speeds stay."""
        system = METRIC if length == METRIC.length else US
        return replace(system, length=length, speed=self.speed)

    def other_length(self) -> Units:
        """The same with lengths in the other system."""
        return self.with_length(US.length if self.length == METRIC.length else METRIC.length)

    def other_speed(self) -> Units:
        """The same with the other unit of speed."""
        return replace(self, speed=US.speed if self.speed == METRIC.speed else METRIC.speed)


METRIC = Units()
US = Units(length="in", speed="mph", mass="oz", force="lb", pressure="psi", torque="lb-ft")
SYSTEMS = {"metric": METRIC, "us": US, "inch": US}


def units_named(text: str) -> Units:
    """The units a person asks for: `metric`, `us`, or a list that begins with one or is only units.

    `us,thou` is US units with lengths in thou; `mm,mph` is metric with speeds in mph.

    Raises
    ------
    InputError : a word that is neither.
    """
    units = METRIC
    for word in (part.strip() for part in text.split(",")):
        if word in SYSTEMS:
            units = SYSTEMS[word]
            continue
        quantity = next((each for each, names in CHOICES.items() if word in names), None)
        if quantity is None:
            raise InputError(
                f"'{word[:60]}' is no choice of units", "--units",
                "write metric or us, or units such as mm,mph; known: "
                + ", ".join(name for names in CHOICES.values() for name in names),
            )
        units = replace(units, **{quantity.value: word})
    return units
