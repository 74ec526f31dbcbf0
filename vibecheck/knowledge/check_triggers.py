"""Checks of what raises a caution, and of the customer's words."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_names import Part, Saying, fits, no_state, unknown
from vibecheck.knowledge.check_single import limit_texts
from vibecheck.knowledge.model import Finding, Seen, Tolerance, Trigger
from vibecheck.knowledge.quantities import UNITS, limit_unit

_NAMED = {
    "finding": "findings", "cause": "causes", "check": "checks", "remedy": "remedies",
    "access": "access", "fact": "facts",
}  # fmt: skip


def triggers_exist(book: Book) -> Iterator[Issue]:
    """What raises a caution exists."""
    for caution in book.rules("cautions").values():
        for index, trigger in enumerate(caution.triggers):
            for saying in _trigger(book, trigger, ("triggers", index)):
                yield book.error("cautions", caution.id, *saying)


def _trigger(book: Book, trigger: Trigger, part: Part) -> Iterator[Saying]:
    named = {key: name for key in _NAMED if (name := getattr(trigger, key)) is not None}
    for key, name in named.items():
        if trouble := unknown(book, _NAMED[key], name):
            yield ((*part, key), *trouble)
    if not named and trigger.place is None and not trigger.all_of:
        instead = "write for example {finding: tire_bulge, states: [seen]}"
        yield part, "a trigger names nothing", instead
    yield from _finding(book, trigger, part)
    for index, seen in enumerate(trigger.all_of):
        yield from _seen(book, seen, (*part, "all_of", index))
    if trigger.fact in book.library.facts:
        yield from fits(book, {str(trigger.fact): trigger.values}, part)
    elif trigger.fact is None and trigger.values:
        yield (*part, "values"), "values without a fact", "write the fact too"


def _finding(book: Book, trigger: Trigger, part: Part) -> Iterator[Saying]:
    if trigger.finding is None:
        if trigger.states:
            yield (*part, "states"), "states without a finding", "write the finding too"
        return
    if finding := book.library.findings.get(trigger.finding):
        yield from _states(finding, trigger.states, part)


def _states(finding: Finding, states: list[str], part: Part) -> Iterator[Saying]:
    if not states:
        known = ", ".join(finding.states)
        yield part, f"no state of '{finding.id}' is named", f"write states: [...] out of {known}"
    for index, state in enumerate(states):
        if state not in finding.states:
            yield ((*part, "states", index), *no_state(finding, state))


def _seen(book: Book, seen: Seen, part: Part) -> Iterator[Saying]:
    if trouble := unknown(book, "findings", seen.finding):
        yield ((*part, "finding"), *trouble)
    if seen.beyond is not None and (trouble := unknown(book, "tolerances", seen.beyond)):
        yield ((*part, "beyond"), *trouble)
    finding = book.library.findings.get(seen.finding)
    limit = book.library.tolerances.get(seen.beyond or "")
    if finding and limit and not _compares(finding, limit):
        what = f"'{finding.id}' is not measured in the unit of '{limit.id}'"
        yield (*part, "beyond"), what, "name a tolerance of the quantity that it measures"
    if finding and seen.beyond is None:
        yield from _states(finding, seen.states, part)
    elif seen.beyond is not None and seen.states:
        yield (*part, "states"), "states and beyond together", "write one of them"


def _compares(finding: Finding, limit: Tolerance) -> bool:
    """Whether a reading of the finding can be held against a tolerance."""
    if finding.measure is None:
        return False
    units = UNITS.get(finding.measure.quantity, ())
    return all(limit_unit(value) in (None, *units) for _, value in limit_texts(limit))


CHECKS = [triggers_exist]
