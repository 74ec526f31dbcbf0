"""What a person typed into a field for a value: its unit, and whether the unit can be meant.

A bare number counts in the unit shown beside the field. Where that makes it far too small or far
too large for the limit in force, and another unit of length would not, the person is asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.errors import ReadingError
from vibecheck.metrology.units.numerals import PLUS_MINUS
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.inference import Inference
from vibecheck.session.limits import Limit, limit_in_force

_LENGTH_UNITS = ("mm", "in", "thou")
PLAUSIBLE_BELOW = 1.0 / 20.0  # of the limit; less is hardly ever read off a gauge
PLAUSIBLE_ABOVE = 12.0  # times the limit; more is hardly ever met on a car that drove in


def is_bare(typed: str, quantity: Quantity) -> bool:
    """True for a readable number without a unit."""
    names = ["", ""] if quantity is Quantity.NUMBER else _two_units(quantity)
    try:
        found = [parse(typed, quantity, name or None).unit for name in names]
    except ReadingError:
        return False
    return found == names


def with_unit(typed: str, quantity: Quantity, unit: str) -> str:
    """A bare number with its unit written after the value; any other text as it is."""
    if not unit or not is_bare(typed, quantity):
        return typed
    value, *spread = PLUS_MINUS.split(typed.strip(), maxsplit=1)
    tail = f" +/- {spread[0].strip()}" if spread else ""
    return f"{value.strip()} {unit}{tail}"


def doubts(inference: Inference, finding: str, typed: str, unit: str) -> tuple[str, ...]:
    """Other units in which a bare length would be plausible where `unit` is not.

    Gives the typed text with each such unit; nothing where there is no cause for doubt.
    """
    measure = inference.library.findings[finding].measure
    if measure is None or measure.quantity != Quantity.LENGTH.value:
        return ()
    limit = _limit(inference, finding)
    if limit is None or not is_bare(typed, Quantity.LENGTH):
        return ()
    if _plausible(typed, unit, limit):
        return ()
    others: Sequence[str] = [name for name in _LENGTH_UNITS if name != unit]
    return tuple(
        with_unit(typed, Quantity.LENGTH, name)
        for name in others
        if _plausible(typed, name, limit)
    )


def _limit(inference: Inference, finding: str) -> Limit | None:
    measure = inference.library.findings[finding].measure
    if measure is None:
        return None
    quantity = Quantity(measure.quantity)
    return limit_in_force(
        inference.library, inference.case.limits, inference.facts, measure, quantity
    )


def _plausible(typed: str, unit: str, limit: Limit) -> bool:
    size = abs(parse(typed, Quantity.LENGTH, unit).value)
    return size == 0.0 or (
        PLAUSIBLE_BELOW * limit.value <= size <= PLAUSIBLE_ABOVE * limit.value
    )


def _two_units(quantity: Quantity) -> list[str]:
    names = {
        Quantity.LENGTH: ["mm", "in"], Quantity.SPEED: ["km/h", "mph"],
        Quantity.TORQUE: ["Nm", "lb-ft"], Quantity.MASS: ["g", "oz"],
        Quantity.FREQUENCY: ["Hz", "rpm"], Quantity.ANGLE: ["deg", "rad"],
        Quantity.PRESSURE: ["kPa", "psi"], Quantity.FORCE: ["N", "lb"],
        Quantity.ACCELERATION: ["m/s2", "g"],
    }
    return names[quantity]
