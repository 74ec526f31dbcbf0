"""Checks that look at one rule at a time."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.model import Tolerance
from vibecheck.knowledge.profile import all_shown
from vibecheck.knowledge.quantities import limit_unit
from vibecheck.knowledge.words import FactKind, Scale

_SOURCED = (
    "findings", "kinds", "fleet", "causes", "checks", "remedies", "cautions", "tolerances",
    "resonances",
)  # fmt: skip


def has_source(book: Book) -> Iterator[Issue]:
    """Every rule says where it comes from."""
    for kind in _SOURCED:
        for rule in book.sound(kind):
            if not rule.source:
                yield book.error(kind, rule.id, ("source",), "it names no source",
                                 "write for example source: [common_practice]")  # fmt: skip


def has_strength(book: Book) -> Iterator[Issue]:
    """A cause shows something."""
    for cause in book.sound("causes"):
        if not all_shown(cause):
            yield book.error("causes", cause.id, ("shows",), "no strength is given",
                             "write for example shows: {vibration: usually}")  # fmt: skip


def has_remedy(book: Book) -> Iterator[Issue]:
    """A cause can be put right."""
    for cause in book.sound("causes"):
        if not cause.remedies:
            yield book.error("causes", cause.id, ("remedies",), "it names no remedy",
                             "write for example remedies: {replace_tire: usually}")  # fmt: skip


def has_place(book: Book) -> Iterator[Issue]:
    """A check or remedy can be done somewhere."""
    for kind in ("checks", "remedies"):
        for rule in book.sound(kind):
            if not rule.places:
                yield book.error(kind, rule.id, ("places",), "no place is named",
                                 "write for example places: [bay]")  # fmt: skip


def yields_something(book: Book) -> Iterator[Issue]:
    """A check yields a finding and says how it is done."""
    for check in book.sound("checks"):
        if not check.yields:
            yield book.error("checks", check.id, ("yields",), "it yields no finding",
                             "write for example yields: [assembly_radial]")  # fmt: skip
        if not check.steps:
            yield book.error("checks", check.id, ("steps",), "it says no step",
                             "write what to do, one step an item")  # fmt: skip


def has_states(book: Book) -> Iterator[Issue]:
    """A finding can be one thing or another."""
    for finding in book.sound("findings"):
        if len(finding.states) < 2:
            yield book.error("findings", finding.id, ("states",), "it needs two or more states",
                             "write for example states: {none: Not seen, seen: Seen}")  # fmt: skip
        if finding.background and finding.scale is not Scale.WHICH:
            yield book.error("findings", finding.id, ("background",),
                             "a background is only for scale 'which'",
                             "leave it out and give a leak")  # fmt: skip


def limit_texts(tolerance: Tolerance) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Every limit of a tolerance, with the part of the rule it stands in."""
    yield ("value",), tolerance.value
    for index, variant in enumerate(tolerance.variants):
        yield ("variants", index, "value"), variant.value


def limits_have_units(book: Book) -> Iterator[Issue]:
    """A tolerance is a number with a unit, and a variant of it names its source."""
    for tolerance in book.sound("tolerances"):
        for part, text in limit_texts(tolerance):
            if limit_unit(text) is None:
                yield book.error("tolerances", tolerance.id, part,
                                 f"'{text}' is not a number above zero with a unit",
                                 "write for example 0.5 mm")  # fmt: skip
        for index, variant in enumerate(tolerance.variants):
            if not variant.source:
                yield book.error("tolerances", tolerance.id, ("variants", index, "source"),
                                 "a variant names no source",
                                 "write for example source: [common_practice]")  # fmt: skip


def facts_have_values(book: Book) -> Iterator[Issue]:
    """A fact of kind choice offers values, a number has a range."""
    for fact in book.sound("facts"):
        if fact.kind is FactKind.CHOICE and len(fact.values) < 2:
            yield book.error("facts", fact.id, ("values",), "a choice needs two or more values",
                             "write for example values: {front: front wheels, ...}")  # fmt: skip
        if fact.kind is FactKind.NUMBER and not fact.lowest < fact.highest:
            yield book.error("facts", fact.id, ("highest",), "the range of the number is empty",
                             "write lowest below highest")  # fmt: skip


def bands_are_open(book: Book) -> Iterator[Issue]:
    """A resonance has a band of frequencies."""
    for band in book.sound("resonances"):
        if not 0 < band.low_hz < band.high_hz:
            yield book.error("resonances", band.id, ("low_hz",),
                             f"the band {band.low_hz:g} to {band.high_hz:g} Hz is empty",
                             "write low_hz above zero and below high_hz")  # fmt: skip


CHECKS = [
    has_source, has_strength, has_remedy, has_place, yields_something, has_states,
    limits_have_units, facts_have_values, bands_are_open,
]  # fmt: skip
