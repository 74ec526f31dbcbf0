"""Checks of how a measured value becomes a state."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.model import Finding, Measure
from vibecheck.knowledge.quantities import UNITS
from vibecheck.knowledge.words import Scale, Worse

Complaint = tuple[str, str, str]  # key of the measure, what, instead


def _measured(book: Book) -> Iterator[tuple[Finding, Measure]]:
    for finding in book.sound("findings"):
        if finding.measure is not None:
            yield finding, finding.measure


def unit_is_known(book: Book) -> Iterator[Issue]:
    """The quantity and its unit are ones that a reading can have."""
    for finding, measure in _measured(book):
        if measure.quantity not in UNITS:
            yield book.error("findings", finding.id, ("measure", "quantity"),
                             f"'{measure.quantity}' is not a quantity",
                             f"write one of {', '.join(UNITS)}")  # fmt: skip
        elif measure.unit not in UNITS[measure.quantity]:
            units = ", ".join(f"'{unit}'" for unit in UNITS[measure.quantity])
            yield book.error("findings", finding.id, ("measure", "unit"),
                             f"'{measure.unit}' is not a unit of {measure.quantity}",
                             f"write one of {units}")  # fmt: skip


def bounds_fit_states(book: Book) -> Iterator[Issue]:
    """Steps or edges are as many as the states ask for, and rise."""
    for finding, measure in _measured(book):
        which = finding.scale is Scale.WHICH
        for key, what, instead in (_edges if which else _steps)(finding, measure):
            yield book.error("findings", finding.id, ("measure", key), what, instead)


def _steps(finding: Finding, measure: Measure) -> Iterator[Complaint]:
    wanted = len(finding.states) - 1
    if measure.edges:
        yield "edges", "edges are for scale 'which'", "write steps, multiples of the tolerance"
    if measure.tolerance is None:
        yield "tolerance", "steps need a tolerance", "write for example tolerance: rotor_runout"
    if len(measure.steps) != wanted:
        what = f"{len(finding.states)} states need {wanted} steps, not {len(measure.steps)}"
        yield "steps", what, "give the multiple of the tolerance at which each next state begins"
    falling = measure.worse is Worse.LOWER
    if falling and not _rising([0.0, *reversed(measure.steps)]):
        yield "steps", "lower is worse, but the steps do not fall", "write for example [1.0, 0.5]"
    if not falling and not _rising([0.0, *measure.steps]):
        yield "steps", "the steps do not rise from above zero", "write for example [1.0, 2.0]"


def _edges(finding: Finding, measure: Measure) -> Iterator[Complaint]:
    wanted = len(finding.states) + 1
    if measure.steps or measure.tolerance:
        key = "steps" if measure.steps else "tolerance"
        yield key, "steps and tolerance are for graded findings", "write edges"
    if len(measure.edges) != wanted:
        what = f"{len(finding.states)} states need {wanted} edges, not {len(measure.edges)}"
        yield "edges", what, "give the bounds of every state, lowest and highest included"
    if not _rising(measure.edges):
        yield "edges", "the edges do not rise", "write them from low to high"


def _rising(values: list[float]) -> bool:
    return all(low < high for low, high in pairwise(values))


def range_is_possible(book: Book) -> Iterator[Issue]:
    """Values can lie between lowest and highest, and a reading has some uncertainty."""
    for finding, measure in _measured(book):
        if not measure.lowest < measure.highest:
            yield book.error("findings", finding.id, ("measure", "lowest"),
                             f"no value lies between {measure.lowest:g} and {measure.highest:g}",
                             "write lowest below highest")  # fmt: skip
        if measure.smear <= 0:
            yield book.error("findings", finding.id, ("measure", "smear"),
                             "a reading without uncertainty does not exist",
                             "write the standard uncertainty, above zero")  # fmt: skip


def computed_has_edges(book: Book) -> Iterator[Issue]:
    """Speed evidence that is computed needs states with edges in km/h."""
    for finding in book.sound("findings"):
        if finding.computed is None:
            continue
        measure = finding.measure
        if finding.scale is not Scale.WHICH or measure is None or measure.quantity != "speed":
            yield book.error("findings", finding.id, ("computed",),
                             "a computed finding needs scale 'which' and a measured speed",
                             "write scale: which and measure: {quantity: speed, ...}")  # fmt: skip


CHECKS = [unit_is_known, bounds_fit_states, range_is_possible, computed_has_edges]
