"""Advice: what is not wrong but could be better."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.knowledge.book import ONE, Book, Issue
from vibecheck.knowledge.check_whole import shown_findings, triggering_findings
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import USUAL, Cause, Seen
from vibecheck.knowledge.profile import PARTS, all_shown
from vibecheck.knowledge.words import Scale, Scope, SpeedBy, Where

LEAST_RATE_SUM = 0.2
MOST_RATE_SUM = 0.6


def corners_of(cause: Cause) -> int:
    """At how many places of a car a cause can stand; a driven axle counts as two."""
    if cause.scope is Scope.VEHICLE:
        return 1
    return 4 if cause.where is Where.ALL else 2


def rates_sum_up(book: Book) -> Iterator[Issue]:
    """One fault is the normal case, two together are rare."""
    library = book.library
    total = sum(library.rate(cause.rate) * corners_of(cause) for cause in library.causes.values())
    if not LEAST_RATE_SUM <= total <= MOST_RATE_SUM:
        yield book.advice("library", "", (),
                          f"the rates of all causes over all corners sum to {total:.2f}",
                          f"keep the sum from {LEAST_RATE_SUM} to {MOST_RATE_SUM}")  # fmt: skip


def findings_move_something(book: Book) -> Iterator[Issue]:
    """A finding that no cause shows and no caution heeds moves nothing."""
    library = book.library
    moving = {name for cause in library.causes.values() for name in shown_findings(book, cause)}
    moving |= triggering_findings(library)
    for finding in library.findings.values():
        if finding.id not in moving:
            yield book.advice("findings", finding.id, (), "it moves nothing",
                              "give it a strength in a cause, or take it out")  # fmt: skip


def rules_are_used(book: Book) -> Iterator[Issue]:
    """Remedies, cautions, tolerances, tools and facts that nothing names."""
    used = _used(book)
    for kind, names in used.items():
        for name in book.rules(kind):
            if name not in names:
                yield book.advice(kind, name, (), f"nothing uses this {ONE[kind]}",
                                  "name it where it belongs, or take it out")  # fmt: skip


def _used(book: Book) -> dict[str, set[str]]:
    library = book.library
    causes, checks = library.causes.values(), library.checks.values()
    remedies, findings = library.remedies.values(), library.findings.values()
    named = [rule.cautions for rules in (causes, checks, remedies) for rule in rules]
    cautions = {name for names in named for name in names}
    cautions |= {rule.id for rule in library.cautions.values() if rule.triggers}
    return {
        "remedies": {name for cause in causes for name in cause.remedies},
        "cautions": cautions,
        "tools": {name for check in checks for name in check.tools},
        "tolerances": {
            *(str(each.measure.tolerance) for each in findings if each.measure),
            *(str(seen.beyond) for seen in _seen(book)),
        },
    }


def _seen(book: Book) -> Iterator[Seen]:
    for caution in book.library.cautions.values():
        for trigger in caution.triggers:
            yield from trigger.all_of


def axle_strengths_have_corners(book: Book) -> Iterator[Issue]:
    """Strengths for an axle or a side only speak for a cause that stands at corners."""
    for cause in book.library.written.values():
        for key in PARTS[1:]:
            if getattr(cause, key) and cause.scope is not Scope.CORNER:
                yield book.advice("causes", cause.id, (key,),
                                  f"{key} is never used for a cause of the whole vehicle",
                                  "write it under shows")  # fmt: skip


def grades_name_an_abnormal_state(book: Book) -> Iterator[Issue]:
    """A map of strengths for a graded finding that names only the normal state says nothing."""
    library = book.library
    for cause in library.written.values():
        for key in PARTS:
            for name, strength in getattr(cause, key).items():
                finding = library.findings[name]
                normal = next(iter(finding.states))
                only = isinstance(strength, dict) and [*strength] == [normal]
                if only and finding.scale is Scale.GRADED:
                    yield book.advice("causes", cause.id, (key, name),
                                      f"only the normal state '{normal}' is named",
                                      "name an abnormal state, or leave it out")  # fmt: skip


def causes_have_profiles(book: Book) -> Iterator[Issue]:
    """A cause says how its complaint shows: itself, or by the kinds that it is like."""
    library = book.library
    for cause in library.causes.values():
        if library.kinds and library.complaint not in all_shown(cause):
            yield book.advice("causes", cause.id, (), "it has no profile",
                              f"write for example like: [{next(iter(library.kinds))}]")  # fmt: skip


def _said(library: Library, name: str) -> set[str]:
    """The findings on which a kind, or one that it is like, has a word, "as usual" too."""
    kind = library.written_kinds[name]
    said = {*kind.shows, *(kind.shows_front.keys() & kind.shows_rear.keys())}
    return said.union(*(_said(library, other) for other in kind.like))


def kinds_are_complete(book: Book) -> Iterator[Issue]:
    """A kind speaks to every core finding, or says that it does not."""
    library = book.library
    for kind in library.kinds.values():
        said = _said(library, kind.id)
        computed = kind.speed is not SpeedBy.OWN
        if library.complaint not in said:
            continue  # it adds to another kind, and does not stand alone
        for name in library.core:
            finding = library.findings[name]
            if name not in said and not (computed and finding.computed is not None):
                yield book.advice("kinds", kind.id, ("shows",), f"it says nothing of '{name}'",
                                  f"write a word, or {name}: {USUAL}")  # fmt: skip


CHECKS = [
    causes_have_profiles, kinds_are_complete, rates_sum_up, findings_move_something,
    rules_are_used, axle_strengths_have_corners, grades_name_an_abnormal_state,
]  # fmt: skip
