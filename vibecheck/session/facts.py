"""Facts of the vehicle: reading and checking them."""

from __future__ import annotations

from collections.abc import Mapping

from vibecheck.errors import VehicleError, did_you_mean
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Fact, Measure, Tolerance
from vibecheck.knowledge.words import FactKind
from vibecheck.metrology.orders.tire_size import Rolling, parse_size
from vibecheck.metrology.units.values import Quantity, parse

TYPICAL_ROLLING = Rolling(1.98, 1.80, 2.30)  # [m]; passenger cars, from memory
_WITHOUT_ENGINE = ("cylinders",)
_EXAMPLE = "tire_size=205/55R16"


def read_facts(library: Library, typed: Mapping[str, str], where: str = "") -> dict[str, str]:
    """Facts as the rules use them, each checked, and all checked against each other.

    Raises
    ------
    VehicleError : an unknown fact, a value it cannot have, or facts that contradict each other.
    """
    facts = {name: read_fact(library, name, value, where) for name, value in typed.items()}
    _check_together(facts, where)
    return facts


def read_fact(library: Library, name: str, value: str, where: str = "") -> str:
    """One fact as the rules use it. See `read_facts` for what is raised."""
    fact = fact_named(library, name, where)
    at = f"{where}: {name}" if where else name
    plain = " ".join(value.split())
    if fact.kind is FactKind.CHOICE:
        return _choice(fact, plain, at)
    if fact.kind is FactKind.TIRE_SIZE:
        return parse_size(plain, at).designation
    if fact.kind is FactKind.NUMBER:
        return _number(fact, plain, at)
    if not plain or len(plain) > 200:
        raise VehicleError("the text is empty or too long", at, f"write for example {fact.example}")
    return plain


def fact_named(library: Library, name: str, where: str = "") -> Fact:
    """The vehicle fact with this id.

    Raises
    ------
    VehicleError : there is none; the nearest ids are named.
    """
    fact = library.facts.get(name)
    if fact is None:
        hint = did_you_mean(name, library.facts, f"known: {', '.join(library.facts)}")
        raise VehicleError(f"there is no vehicle fact '{name[:60]}'", where, hint)
    return fact


def rolling(facts: Mapping[str, str]) -> Rolling:
    """Rolling circumference from the tire size, or that of a typical car if it is unknown [m]."""
    size = facts.get("tire_size")
    return parse_size(size).rolling if size else TYPICAL_ROLLING


def number(facts: Mapping[str, str], name: str) -> float | None:
    """A numeric fact, or None where it is unknown."""
    return float(facts[name]) if name in facts else None


def read_limit(library: Library, name: str, value: str, where: str = "") -> str:
    """The vehicle's own figure for a tolerance, as typed, checked.

    Raises
    ------
    VehicleError : no such tolerance.
    ReadingError : not a value of its quantity.
    """
    tolerance = tolerance_named(library, name, where)
    measure = measure_of(library, tolerance)
    at = f"{where}: limit.{name}" if where else f"limit.{name}"
    found = parse(value, Quantity(measure.quantity), measure.unit, at) if measure else None
    if found is not None and found.value <= 0:
        raise VehicleError("a limit must be above zero", at, f"write for example {tolerance.value}")
    return " ".join(value.split())


def tolerance_named(library: Library, name: str, where: str = "") -> Tolerance:
    """The tolerance with this id.

    Raises
    ------
    VehicleError : there is none; the nearest ids are named.
    """
    tolerance = library.tolerances.get(name)
    if tolerance is None:
        hint = did_you_mean(name, library.tolerances, "see 'vibecheck rules list'")
        raise VehicleError(f"there is no tolerance '{name[:60]}'", where, hint)
    return tolerance


def measure_of(library: Library, tolerance: Tolerance) -> Measure | None:
    """How the values that a tolerance judges are measured: by its own finding, or by one that a
    caution compares with it."""
    compared = {
        seen.finding
        for caution in library.cautions.values()
        for trigger in caution.triggers
        for seen in trigger.all_of
        if seen.beyond == tolerance.id
    }
    for finding in library.findings.values():
        measure = finding.measure
        if measure and (measure.tolerance == tolerance.id or finding.id in compared):
            return measure
    return None


def _choice(fact: Fact, plain: str, at: str) -> str:
    lowered = plain.lower()
    for value, label in fact.values.items():
        if lowered in (value, value.replace("_", " "), label.lower()):
            return value
    raise VehicleError(
        f"'{plain[:60]}' is not a value of '{fact.name}'",
        at,
        f"write one of {', '.join(fact.values)}",
    )


def _number(fact: Fact, plain: str, at: str) -> str:
    value = parse(plain, Quantity.NUMBER, None, at).value
    if not fact.lowest <= value <= fact.highest:
        raise VehicleError(
            f"'{plain[:60]}' is impossible for '{fact.name}'",
            at,
            f"write a number from {fact.lowest:g} to {fact.highest:g}",
        )
    return f"{value:g}"


def _check_together(facts: Mapping[str, str], where: str) -> None:
    if facts.get("propulsion") != "electric":
        return
    for name in _WITHOUT_ENGINE:
        if name in facts:
            raise VehicleError(
                f"an electric car has no '{name}'", where, f"remove {name} or correct propulsion"
            )
