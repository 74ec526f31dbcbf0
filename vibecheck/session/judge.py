"""A typed value against the tolerance in force: ISO 14253-1 decision and soft grade.

The tolerance in force is, in this order: the vehicle's own figure in the case, the most specific
variant whose facts are all known and fit, the generic value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Measure
from vibecheck.knowledge.words import Scale, Worse
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.runout.reading_uncertainty import of_typed
from vibecheck.metrology.units.values import Measured, Quantity, parse, to_unit, unit_named
from vibecheck.reasoning.grades import binned_likelihood, graded_likelihood
from vibecheck.session.answers import measured

Array = NDArray[np.float64]
_OPPOSITE = {Zone.WITHIN: Zone.BEYOND, Zone.BEYOND: Zone.WITHIN, Zone.UNDECIDED: Zone.UNDECIDED}
COVERAGE = 2.0  # expanded uncertainty over standard uncertainty


@dataclass(frozen=True)
class Limit:
    """The tolerance in force, in the base unit of its quantity, and where it comes from."""

    tolerance: str
    value: float
    source: str


@dataclass(frozen=True)
class Judged:
    """A reading, its standard uncertainty, its limit and decision, and its likelihood."""

    measured: Measured
    quantity: Quantity
    unit: str
    uncertainty: float
    limit: Limit | None
    decision: Decision | None
    likelihood: Array


def judge(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    finding: Finding, typed: str,
) -> Judged:
    """Judge one typed value of a measured finding (already checked by `answers`)."""
    measure = finding.measure
    if measure is None:
        raise ValueError(f"{finding.id} is not measured")
    quantity = Quantity(measure.quantity)
    reading = measured(measure, typed)
    smear = measure.smear * unit_named(measure.unit, quantity).factor
    uncertainty = of_typed(reading, smear)
    limit = limit_in_force(library, case_limits, facts, measure, quantity)
    decision = None
    if limit is not None:
        decision = decide(reading.value, COVERAGE * uncertainty, limit.value)
        if measure.worse is Worse.LOWER:
            decision = replace(decision, zone=_OPPOSITE[decision.zone])
    likelihood = _likelihood(finding, measure, quantity, reading.value, uncertainty, limit)
    return Judged(reading, quantity, measure.unit, uncertainty, limit, decision, likelihood)


def limit_in_force(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    measure: Measure, quantity: Quantity,
) -> Limit | None:
    """The limit that a measured finding is judged by on this vehicle."""
    if measure.tolerance is None:
        return None
    tolerance = library.tolerances[measure.tolerance]
    own = case_limits.get(tolerance.id)
    if own is not None:
        value = parse(own, quantity, measure.unit).value
        return Limit(tolerance.id, value, "the vehicle's own figure, typed into the case")
    fitting = [
        variant
        for variant in tolerance.variants
        if all(facts.get(fact) in values for fact, values in variant.when.items())
    ]
    best = max(fitting, key=lambda variant: len(variant.when), default=None)
    text = best.value if best else tolerance.value
    sources = best.source if best else tolerance.source
    titles = _title(library, sources[0]) + (f" and {len(sources) - 1} more" if sources[1:] else "")
    kind = "for this kind of vehicle" if best else "generic"
    return Limit(tolerance.id, parse(text, quantity, measure.unit).value, f"{kind}: {titles}")


def spoken_value(judged: Judged) -> str:
    """The reading in the unit it was typed in, with its expanded uncertainty."""
    unit = judged.measured.unit
    value = f"{to_unit(judged.measured.value, judged.quantity, unit):.4g} {unit}".strip()
    if judged.limit is None and judged.measured.uncertainty is None:
        return value
    return f"{value} +/- {_rounded(COVERAGE * judged.uncertainty, judged)}"


def spoken_decision(name: str, judged: Judged) -> str:
    """The reading, its limit and the decision in one sentence."""
    value = spoken_value(judged)
    if judged.limit is None or judged.decision is None:
        return f"{name}: {value}"
    unit = judged.measured.unit
    limit = f"{to_unit(judged.limit.value, judged.quantity, unit):.4g} {unit}".strip()
    words = {
        Zone.WITHIN: "within the limit, proven",
        Zone.BEYOND: "beyond the limit, proven",
        Zone.UNDECIDED: "undecided: the limit lies inside the uncertainty",
    }[judged.decision.zone]
    return f"{name}: {value} against {limit}: {words}"


def _rounded(value: float, judged: Judged) -> str:
    """A base-unit spread in the unit typed, to two figures."""
    return f"{to_unit(value, judged.quantity, judged.measured.unit):.2g}"


def what_would_decide(judged: Judged) -> str:
    """What would turn an undecided reading into a decided one."""
    if judged.decision is None or judged.limit is None:
        return ""
    needed = judged.decision.needed_uncertainty
    spread = f"{_rounded(needed, judged)} {judged.measured.unit}".strip()
    if needed <= 0.0:
        return "the reading lies on the limit: measure again after seating the gauge afresh"
    repeats = judged.decision.repeats_needed
    mean = f", or take the mean of {repeats} whole repeats" if repeats else ""
    return (
        f"measure again with an uncertainty of {spread} or less "
        f"(a finer indicator, a firmer base){mean}"
    )


def _likelihood(
    finding: Finding, measure: Measure, quantity: Quantity, value: float, uncertainty: float,
    limit: Limit | None,
) -> Array:
    factor = unit_named(measure.unit, quantity).factor
    if finding.scale is Scale.WHICH:
        return binned_likelihood(value, uncertainty, [edge * factor for edge in measure.edges])
    scale = limit.value if limit is not None else factor
    bounds = [step * scale for step in measure.steps]
    return graded_likelihood(
        value, uncertainty, bounds, lower_is_worse=measure.worse is Worse.LOWER
    )


def _title(library: Library, source: str) -> str:
    entry = library.sources[source]
    year = f", {entry.year}" if entry.year else ""
    return f"{entry.title}{year} ({entry.standing.value.replace('_', ' ')})"
