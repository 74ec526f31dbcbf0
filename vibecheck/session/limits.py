"""The limit in force for a tolerance, and the bounds of states: the one place that converts them.

The limit in force is, in this order: the vehicle's own specification in the case, the most specific
variant whose facts are all known and fit, the general value.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Measure
from vibecheck.metrology.units.values import Quantity, parse, unit_named


class LimitOrigin(StrEnum):
    """Where the limit in force comes from."""

    OWN = "own"  # the vehicle's own specification, typed into the case
    VARIANT = "variant"  # for this kind of vehicle
    GENERAL = "general"


class Limit(Struct, frozen=True):
    """The limit in force, in the base unit of its quantity, and where it comes from.

    `sources` are ids of the rules' sources; none for the vehicle's own specification.
    """

    tolerance: str
    value: float
    origin: LimitOrigin
    sources: tuple[str, ...] = ()


def limit_of_tolerance(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    tolerance_id: str, quantity: Quantity, unit: str,
) -> Limit:
    """The limit in force for a tolerance; `unit` is that of a value typed bare."""
    tolerance = library.tolerances[tolerance_id]
    own = case_limits.get(tolerance.id)
    if own is not None:
        return Limit(tolerance.id, parse(own, quantity, unit).value, LimitOrigin.OWN)
    fitting = [
        variant
        for variant in tolerance.variants
        if all(facts.get(fact) in values for fact, values in variant.when.items())
    ]
    best = max(fitting, key=lambda variant: len(variant.when), default=None)
    text, sources = (best.value, best.source) if best else (tolerance.value, tolerance.source)
    origin = LimitOrigin.VARIANT if best else LimitOrigin.GENERAL
    return Limit(tolerance.id, parse(text, quantity, unit).value, origin, tuple(sources))


def limit_in_force(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    measure: Measure, quantity: Quantity,
) -> Limit | None:
    """The limit that a measured finding is judged by on this vehicle."""
    if measure.tolerance is None:
        return None
    return limit_of_tolerance(
        library, case_limits, facts, measure.tolerance, quantity, measure.unit
    )


def base_edges(measure: Measure) -> list[float]:
    """The bounds of the states of a categorical finding, in the base unit of its quantity.

    The rules write them in the measure's own unit.
    """
    factor = unit_named(measure.unit, Quantity(measure.quantity)).factor
    return [edge * factor for edge in measure.edges]
