"""What a person typed into a field for a value: its unit, and whether the unit can be meant.

A bare number counts in the unit shown beside the field. Where that makes it far too small or far
too large for the limit in force, and another unit of length would not, the person is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from vibecheck.errors import ReadingError
from vibecheck.knowledge.library import Library
from vibecheck.metrology.units.numerals import PLUS_MINUS
from vibecheck.metrology.units.values import Quantity, parse, show, unit_named
from vibecheck.session.judge import Limit, limit_in_force, spoken_decision, what_would_decide
from vibecheck.session.unitchoice import Units
from vibecheck.session.views import JudgedReading
from vibecheck.session.wording import finding_name
from vibecheck.session.workbench import Workbench

_LENGTH_UNITS = ("mm", "in", "thou")
PLAUSIBLE_BELOW = 1.0 / 20.0  # of the limit; less is hardly ever read off a gauge
PLAUSIBLE_ABOVE = 12.0  # times the limit; more is hardly ever met on a car that drove in
_DIGITS = {"mm": 2, "in": 4, "km/h": 0, "mph": 0}


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


def doubts(bench: Workbench, finding: str, typed: str, unit: str) -> tuple[str, ...]:
    """Other units in which a bare length would be plausible where `unit` is not.

    Gives the typed text with each such unit; nothing where there is no cause for doubt.
    """
    measure = bench.library.findings[finding].measure
    if measure is None or measure.quantity != Quantity.LENGTH.value:
        return ()
    limit = _limit(bench, finding)
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


def limit_text(bench: Workbench, finding: str, units: Units) -> str:
    """The limit that a measured finding is judged by, and where it comes from."""
    limit = _limit(bench, finding)
    measure = bench.library.findings[finding].measure
    if limit is None or measure is None:
        return ""
    quantity = Quantity(measure.quantity)
    return f"{_shown(limit.value, quantity, measure.unit, units)} ({limit.source})"


def reading_text(library: Library, reading: JudgedReading, units: Units) -> str:
    """A judged value in the units chosen, with what was typed where that differs."""
    measure = library.findings[reading.finding].measure
    if measure is None:
        return reading.typed
    quantity = Quantity(measure.quantity)
    unit = units.of(measure.quantity, measure.unit)
    shown = _shown(reading.value, quantity, measure.unit, units)
    same = parse(reading.typed, quantity, measure.unit).unit == unit_named(unit, quantity).name
    return shown if same else f"{shown} (typed: {reading.typed})"


def in_units(bench: Workbench, text: str, units: Units) -> str:
    """A text of a session with the readings that it quotes told in the units chosen."""
    for spot, judged in bench.gathered.judged.items():
        unit = units.of(judged.quantity.value, judged.measured.unit)
        told = replace(judged, measured=replace(judged.measured, unit=unit))
        name = finding_name(bench.library, spot)
        text = text.replace(spoken_decision(name, judged), spoken_decision(name, told))
        if advice := what_would_decide(judged):
            text = text.replace(advice, what_would_decide(told))
    return text


def _shown(value: float, quantity: Quantity, usual: str, units: Units) -> str:
    unit = units.of(quantity.value, usual)
    digits = _DIGITS.get(unit)
    text = show(value, quantity, unit, digits)
    if digits is not None and value and float(text.split()[0]) == 0.0:
        return show(value, quantity, unit)
    return text


def _limit(bench: Workbench, finding: str) -> Limit | None:
    measure = bench.library.findings[finding].measure
    if measure is None:
        return None
    quantity = Quantity(measure.quantity)
    return limit_in_force(bench.library, bench.case.limits, bench.facts, measure, quantity)


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
