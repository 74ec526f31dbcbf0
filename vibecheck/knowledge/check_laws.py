"""Laws of the rules about what may be said: that what is seen is believed, that a question means
what its answers say, that nobody goes under a car unwarned.

A breach does not keep the library from being read; `rules check` names it, and a test keeps the
list of those still open.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Ask, Cause, Finding
from vibecheck.knowledge.profile import shares
from vibecheck.knowledge.words import Level, Place, Scale

SEEN_MARGIN = 5.0  # how many times rarer than the cause it is to see its part bad without it
YES, NO = "yes", "no"
# Predicates of a part that is in order: a question that asks for one has a good "yes".
_GOOD = re.compile(
    r"\b(?:does|do|will) (?!.*\bnot\b)[^?:]*?\b(responds?|slides?|match|works?|fits?)\b"
    r"|\b([a-z]+ freely)\b"
    r"|\b((?:is|are) (?:it |they |all )?(?:sound|tight|clean|straight|true|even|in line|in order"
    r"|the same|correct))\b",
    re.IGNORECASE,
)
# A second question hung on to the first: another verb, or another part of the thing.
_SECOND = re.compile(r",? or (?:does|do|did|is|are|was|were|has|have|had|its) ", re.IGNORECASE)


def seen_is_believed(book: Book) -> Iterator[Issue]:
    """A finding that is its cause is far rarer without it than the cause."""
    library = book.library
    for cause in library.causes.values():
        rate = _lowest_rate(library, cause)
        for name, states in cause.seen_as.items():
            finding = library.findings[name]
            leak = sum(_without_cause(library, finding)[state] for state in states)
            if leak * SEEN_MARGIN > rate:
                yield book.law("causes", cause.id, ("seen_as", name),
                               f"'{name}' is seen on {leak:.2g} of the cars without it, "
                               f"and the cause is there on {rate:.2g}",
                               f"give '{name}' a leak or background far below the rate",
                               )  # fmt: skip


def _lowest_rate(library: Library, cause: Cause) -> float:
    return min(library.rate(word) for word in (cause.rate, *(each.rate for each in cause.rates)))


def _without_cause(library: Library, finding: Finding) -> dict[str, float]:
    states = list(finding.states)
    words = finding.leak if finding.scale is Scale.GRADED else finding.background
    if not words:
        return dict.fromkeys(states, 1.0 / len(states))
    return dict(zip(states, shares(states, words, library.strengths), strict=True))


def yes_means_what_it_says(book: Book) -> Iterator[Issue]:
    """A question is not answered yes by a part that is in order while its good state is `no`."""
    for finding in book.library.findings.values():
        if finding.yes_means or not _is_yes_no(finding):
            continue
        for key, text in _questions(finding.ask):
            if found := _GOOD.search(text):
                good = next(filter(None, found.groups()))
                yield book.law("findings", finding.id, ("ask", key),
                               f"it asks '{good}', but its good answer is called '{NO}'",
                               "turn the question round, or say under yes_means what a yes tells",
                               )  # fmt: skip


def questions_ask_one_thing(book: Book) -> Iterator[Issue]:
    """A yes/no question asks one thing, or its rule says why two are one answer."""
    for finding in book.library.findings.values():
        if finding.one_thing or not _is_yes_no(finding):
            continue
        for key, text in _questions(finding.ask):
            if second := _SECOND.search(text):
                yield book.law("findings", finding.id, ("ask", key),
                               f"it asks two things ('{second.group().strip(' ,')} ...')",
                               "make two findings of it, or say under one_thing why it is one",
                               )  # fmt: skip


def _is_yes_no(finding: Finding) -> bool:
    return {YES, NO} <= set(finding.states)


def _questions(ask: Ask) -> Iterator[tuple[str, str]]:
    for key in ("plain", "counter", "bay", "driveway"):
        if text := getattr(ask, key):
            yield key, text


def steps_are_warned(book: Book) -> Iterator[Issue]:
    """What is said before a car is raised is said before everything that needs it raised.

    A caution of level work that is raised by an access state at a place is raised there, too, by
    every state that is reached through it; and every state but the start has one.
    """
    library = book.library
    for place, rules in library.access.places.items():
        for move in rules.moves:
            before = _warnings(library, move.start, place)
            after = _warnings(library, move.to, place)
            for name in sorted(before - after):
                yield book.law("cautions", name, ("triggers",),
                               f"it is raised by '{move.start}' but not by '{move.to}' behind it "
                               f"({place.value})",
                               f"add {{access: {move.to}, place: {place.value}}}")  # fmt: skip
            if not before | after:
                yield book.law("access", "", ("places", place.value),
                               f"nobody is warned before '{move.to}' ({place.value})",
                               f"add a trigger {{access: {move.to}}} to a caution of level work",
                               )  # fmt: skip


def _warnings(library: Library, state: str, place: Place) -> set[str]:
    return {
        caution.id
        for caution in library.cautions.values()
        if caution.level is Level.WORK
        for trigger in caution.triggers
        if trigger.access == state and trigger.place in (None, place)
    }


CHECKS = [
    seen_is_believed, yes_means_what_it_says, questions_ask_one_thing, steps_are_warned,
]  # fmt: skip
