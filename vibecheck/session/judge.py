"""A typed value against the limit in force: ISO 14253-1 decision and soft grade."""

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
from vibecheck.metrology.units.values import Measured, Quantity, unit_named
from vibecheck.reasoning.grades import binned_likelihood, graded_likelihood
from vibecheck.session.answers import measured
from vibecheck.session.limits import Limit, base_edges, limit_in_force

Array = NDArray[np.float64]
_OPPOSITE = {Zone.WITHIN: Zone.BEYOND, Zone.BEYOND: Zone.WITHIN, Zone.UNDECIDED: Zone.UNDECIDED}
COVERAGE = 2.0  # expanded uncertainty over standard uncertainty


@dataclass(frozen=True)
class Judged:
    """A reading, its standard uncertainty, its limit and decision, and its likelihood.

    All values are in the base unit of the quantity; `unit` is the one in which the rules count
    a value typed bare.
    """

    measured: Measured
    quantity: Quantity
    unit: str
    uncertainty: float
    limit: Limit | None
    decision: Decision | None
    likelihood: Array

    @property
    def expanded(self) -> float:
        """The expanded uncertainty, k = 2."""
        return COVERAGE * self.uncertainty

    @property
    def zone(self) -> Zone | None:
        """Where the reading stands against its limit; None without a limit."""
        return self.decision.zone if self.decision else None


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


def _likelihood(
    finding: Finding, measure: Measure, quantity: Quantity, value: float, uncertainty: float,
    limit: Limit | None,
) -> Array:
    if finding.scale is Scale.WHICH:
        return binned_likelihood(value, uncertainty, base_edges(measure))
    scale = limit.value if limit is not None else unit_named(measure.unit, quantity).factor
    bounds = [step * scale for step in measure.steps]
    return graded_likelihood(
        value, uncertainty, bounds, lower_is_worse=measure.worse is Worse.LOWER
    )

