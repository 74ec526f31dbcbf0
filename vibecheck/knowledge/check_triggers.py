"""Checks of what raises a caution, and of the customer's words."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_names import Part, Saying, fits, no_state, unknown
from vibecheck.knowledge.model import Trigger

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
    if not named and trigger.place is None:
        instead = "write for example {finding: tire_bulge, states: [seen]}"
        yield part, "a trigger names nothing", instead
    yield from _finding(book, trigger, part)
    if trigger.fact in book.library.facts:
        yield from fits(book, {str(trigger.fact): trigger.values}, part)
    elif trigger.fact is None and trigger.values:
        yield (*part, "values"), "values without a fact", "write the fact too"


def _finding(book: Book, trigger: Trigger, part: Part) -> Iterator[Saying]:
    if trigger.finding is None:
        if trigger.states:
            yield (*part, "states"), "states without a finding", "write the finding too"
        return
    finding = book.library.findings.get(trigger.finding)
    if finding is None:
        return
    if not trigger.states:
        states = ", ".join(finding.states)
        yield part, f"no state of '{finding.id}' is named", f"write states: [...] out of {states}"
    for index, state in enumerate(trigger.states):
        if state not in finding.states:
            yield ((*part, "states", index), *no_state(finding, state))


def hints_exist(book: Book) -> Iterator[Issue]:
    """The answers that the customer's words suggest exist."""
    for index, hint in enumerate(book.library.lexicon):
        where = ("lexicon", str(index))
        if trouble := unknown(book, "findings", hint.finding):
            yield book.error(*where, ("finding",), *trouble)
        elif finding := book.library.findings.get(hint.finding):
            if hint.state not in finding.states:
                yield book.error(*where, ("state",), *no_state(finding, hint.state))
        if not hint.words:
            what = "no words are given"
            yield book.error(*where, ("words",), what, "write for example words: [shimmy, wobbles]")


CHECKS = [triggers_exist, hints_exist]
