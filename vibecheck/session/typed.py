"""What a person typed into a field for a value: its unit, and whether the unit can be meant.

A bare number counts in the unit shown beside the field. Where that makes it far too small or far
too large for the limit in force, and another unit of length would not, the person is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from vibecheck.calculators.reading_sheet import PLAUSIBLE_ABOVE, PLAUSIBLE_BELOW
from vibecheck.calculators.written_units import is_bare, with_unit
from vibecheck.knowledge.library import Library
from vibecheck.metrology.units.values import Quantity, parse, show, unit_named
from vibecheck.session.judge import Limit, limit_in_force, spoken_decision, what_would_decide
from vibecheck.session.unitchoice import Units
from vibecheck.session.views import JudgedReading
from vibecheck.session.wording import finding_name
from vibecheck.session.workbench import Workbench

_LENGTH_UNITS = ("mm", "in", "thou")
_DIGITS = {"mm": 2, "in": 4, "km/h": 0, "mph": 0}


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
