"""Typed values against the limit in force: ISO 14253-1 decision and soft grade.

Several readings of one thing are judged together: they agree and count as their mean, or they do
not and prove nothing. A runout is judged by all that its readings show, and by what they cannot
show.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.casebook.case import Entry
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Measure
from vibecheck.knowledge.words import Scale, Worse
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.runout.judgement import Judgement, Open, judge_repeats
from vibecheck.metrology.runout.reading_uncertainty import K, of_typed, rounding
from vibecheck.metrology.runout.repeats import NextReading, Reading, Repeat, Repeats, together
from vibecheck.metrology.units.values import Measured, Quantity, parse, unit_named
from vibecheck.reasoning.grades import binned_likelihood, blunder_of, graded_likelihood
from vibecheck.session.answers import measured
from vibecheck.session.limits import Limit, base_edges, limit_in_force

if TYPE_CHECKING:
    from vibecheck.metrology.runout.readings import Runout

Array = NDArray[np.float64]
_OPPOSITE = {Zone.WITHIN: Zone.BEYOND, Zone.BEYOND: Zone.WITHIN, Zone.UNDECIDED: Zone.UNDECIDED}
COVERAGE = 2.0  # expanded uncertainty over standard uncertainty
SEVERAL_SURFACES = ("bead_oval",)  # one finding for several surfaces: no repeats of each other
_SPANNING = (Open.SPIKE, Open.PASSED_ZERO, Open.BETWEEN_READINGS)
FEWEST_ROUND = 6  # single readings from which a runout has a shape


class Judged(Struct, frozen=True):
    """A reading, its standard uncertainty, its limit and decision, and its likelihood.

    All values are in the base unit of the quantity; `unit` is the one in which the rules count
    a value typed bare. Of several readings `measured` is the newest with their common value.

    repeats : what several readings say together; of a single one that it is single.
    judgement : of a runout with a limit, with what leaves it open and what decides it.
    runouts : of a surface of a wheel end, each reading; else empty.
    """

    measured: Measured
    quantity: Quantity
    unit: str
    uncertainty: float
    limit: Limit | None
    decision: Decision | None
    likelihood: Array
    repeats: Repeats | None = None
    judgement: Judgement | None = None
    runouts: tuple[Runout, ...] = ()

    @property
    def expanded(self) -> float:
        """The expanded uncertainty, k = 2."""
        return COVERAGE * self.uncertainty

    @property
    def zone(self) -> Zone | None:
        """Where the reading stands against its limit; None without a limit."""
        return self.decision.zone if self.decision else None

    @property
    def says_nothing(self) -> bool:
        """Whether the reading is no reading at all: its pointer never moved."""
        return bool((self.likelihood == self.likelihood[0]).all())

    @property
    def disagree(self) -> bool:
        """Whether the readings do not repeat, and one more is wanted."""
        return self.repeats is not None and self.repeats.upcoming in (
            NextReading.THIRD, NextReading.FIND_THE_CAUSE)

    @property
    def round_turn(self) -> Runout | None:
        """The newest reading taken round a turn; its shape and places are known."""
        return next((each for each in reversed(self.runouts) if each.harmonics), None)

    @property
    def repeated(self) -> bool:
        """Whether more than one reading agrees, or one was read round a turn."""
        agree = self.repeats is not None and self.repeats.repeat in (
            Repeat.AGREE, Repeat.ONE_STANDS_OUT)
        return agree or self.round_turn is not None


def judge(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    finding: Finding, typed: str,
) -> Judged:
    """Judge one typed value of a measured finding (already checked by `answers`)."""
    return _judge(library, case_limits, facts, finding, [_Kept(typed)])


def judge_entries(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    finding: Finding, entries: Sequence[Entry],
) -> Judged:
    """Judge the readings of one thing, the oldest first, together."""
    kept = [_Kept(each.value, tuple(each.readings), tuple(each.angles)) for each in entries]
    return _judge(library, case_limits, facts, finding, kept)


def is_surface(library: Library, finding: str) -> bool:
    """Whether a finding is a runout of a surface, as the runout calculator reads it."""
    rule = library.findings[finding].measure
    length = rule is not None and rule.quantity == Quantity.LENGTH.value
    return length and finding not in SEVERAL_SURFACES and any(
        library.checks[each].calculator == "runout"
        for each in library.checks_yielding.get(finding, ()))


def smear_of(measure: Measure) -> float:
    """Standard deviation from one setting-up to the next [base unit]."""
    return measure.smear * unit_named(measure.unit, Quantity(measure.quantity)).factor


def runout_of(entry: Entry, setup_sd_mm: float) -> Runout:
    """The runout behind an entry: from its single readings if it has them, else from its value."""
    value = parse(entry.value, Quantity.LENGTH)
    return _runout(value, _Kept(entry.value, tuple(entry.readings), tuple(entry.angles)),
                   setup_sd_mm)


def turn_texts(entry: Entry) -> dict[str, str] | None:
    """The texts of the runout calculator behind an entry; None without readings round a turn."""
    if len(entry.readings) < FEWEST_ROUND or len(entry.readings) != len(entry.angles):
        return None
    from vibecheck.calculators.runout import recorded

    return recorded(entry.readings, entry.angles)


def contact_seen(entry: Entry) -> bool:
    """Whether the pointer was seen to move with the tip."""
    from vibecheck.calculators.runout import CONTACT

    return CONTACT in entry.angles


class _Kept(Struct, frozen=True):
    """A value as typed, with the single readings behind it."""

    value: str
    readings: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()


def _judge(
    library: Library, case_limits: Mapping[str, str], facts: Mapping[str, str],
    finding: Finding, kept: Sequence[_Kept],
) -> Judged:
    measure_ = finding.measure
    if measure_ is None:
        raise ValueError(f"{finding.id} is not measured")
    quantity = Quantity(measure_.quantity)
    typed = [measured(measure_, each.value) for each in kept]
    limit = limit_in_force(library, case_limits, facts, measure_, quantity)
    smear = smear_of(measure_)
    if is_surface(library, finding.id) and _possible(typed):
        from vibecheck.calculators.runout import CONTACT

        runouts = tuple(_runout(value, each, smear)
                        for value, each in zip(typed, kept, strict=True))
        touched = any(CONTACT in each.angles for each in kept)
        found = _of_runouts(runouts, limit, touched)
    else:
        found = _of_values(typed, smear, limit, measure_)
    value, spread = found.value, found.expanded / COVERAGE
    likelihood = _soft(finding, measure_, quantity, found, limit)
    newest = typed[-1]
    if len(typed) > 1:
        texts = "; ".join(each.typed for each in typed)
        newest = replace(newest, value=value, uncertainty=found.expanded, typed=texts)
    return Judged(newest, quantity, measure_.unit, spread, limit, found.decision, likelihood,
                  found.repeats, found.judgement, found.runouts)


def _possible(typed: Sequence[Measured]) -> bool:
    """Whether the runout calculator takes values so large."""
    from vibecheck.metrology.runout.turn_list import LARGEST_TIR_MM

    return all(0.0 <= each.value <= LARGEST_TIR_MM for each in typed)


class _Numbers(Struct, frozen=True):
    """One value for one or several readings."""

    value: float
    expanded: float
    decision: Decision | None
    repeats: Repeats
    judgement: Judgement | None = None
    runouts: tuple[Runout, ...] = ()


def _of_values(
    typed: Sequence[Measured], smear: float, limit: Limit | None, measure_: Measure
) -> _Numbers:
    readings = [
        Reading(each.value, spread, min(K * rounding(each.step), spread))
        for each in typed for spread in [COVERAGE * of_typed(each, smear)]
    ]
    found = together(readings)
    decision = None
    if limit is not None:
        decision = decide(found.value, found.uncertainty, limit.value)
        if measure_.worse is Worse.LOWER:
            decision = replace(decision, zone=_OPPOSITE[decision.zone])
        if found.repeat is Repeat.DISAGREE:
            decision = replace(decision, zone=Zone.UNDECIDED)
    return _Numbers(found.value, found.uncertainty, decision, found)


def _of_runouts(
    runouts: tuple[Runout, ...], limit: Limit | None, touched: bool
) -> _Numbers:
    if limit is not None:
        judged = judge_repeats(runouts, limit.value, touched)
        assert judged.repeats is not None
        numbers = replace(judged.numbers, zone=judged.zone)
        return _Numbers(numbers.value, numbers.uncertainty, numbers, judged.repeats, judged,
                        runouts)
    found = together([Reading(*each.judged_mm) for each in runouts])
    return _Numbers(found.value, found.uncertainty, None, found, None, runouts)


def _runout(value: Measured, kept: _Kept, setup_sd_mm: float) -> Runout:
    from vibecheck.calculators.runout import measure, recorded
    from vibecheck.metrology.runout.readings import from_tir

    if len(kept.readings) >= FEWEST_ROUND and len(kept.readings) == len(kept.angles):
        texts = recorded(kept.readings, kept.angles) | {"setup": f"{setup_sd_mm:.9g} mm"}
        try:
            found = measure(texts)
        except InputError:  # readings written by hand into the file; the value itself is checked
            pass
        else:
            if value.uncertainty is None:
                return found
            own = max(value.uncertainty - found.unseen_mm / 2.0, 0.0)
            return replace(found, uncertainty_mm=own)
    return from_tir(value, setup_sd_mm=setup_sd_mm)


def _soft(
    finding: Finding, measure_: Measure, quantity: Quantity, found: _Numbers,
    limit: Limit | None,
) -> Array:
    """Likelihood of the states; what may be wrong by more than its uncertainty says less."""
    value, expanded = found.value, found.expanded
    points = found.judgement.open if found.judgement else ()
    if any(point.why is Open.STILL_POINTER for point in points):
        return np.ones(len(finding.states))
    for point in points:
        if point.why in _SPANNING:
            low = min(value - expanded, point.low_mm - found.expanded)
            high = max(value + expanded, point.high_mm + found.expanded)
            value, expanded = (low + high) / 2.0, (high - low) / 2.0
    agreeing = 1 if found.repeats.repeat is Repeat.DISAGREE else len(found.repeats.used)
    return _likelihood(finding, measure_, quantity, value, expanded / COVERAGE, limit, agreeing)


def _likelihood(
    finding: Finding, measure: Measure, quantity: Quantity, value: float, uncertainty: float,
    limit: Limit | None, agreeing: int,
) -> Array:
    if finding.scale is Scale.WHICH:
        return binned_likelihood(value, uncertainty, base_edges(measure))
    scale = limit.value if limit is not None else unit_named(measure.unit, quantity).factor
    bounds = [step * scale for step in measure.steps]
    return graded_likelihood(
        value, uncertainty, bounds, lower_is_worse=measure.worse is Worse.LOWER,
        blunder=blunder_of(agreeing),
    )
