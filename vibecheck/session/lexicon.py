"""Answers suggested by a customer's own words, for a person to confirm one by one.

A short view of what `words.hear` reads: answers to findings of the whole vehicle, each finding
once.
"""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Scope
from vibecheck.session.words.hear import LONGEST_TEXT, Ear, hear

__all__ = ["LONGEST_TEXT", "Suggestion", "suggest"]


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """An answer the words may mean; `because` is the part of the text that suggests it."""

    finding: str
    value: str
    name: str
    shown: str
    because: str


def suggest(library: Library, text: str, ear: Ear | None = None) -> tuple[Suggestion, ...]:
    """Answers that a text suggests, in the order of the text, each finding once.

    See `words.hear.hear` for the parameters.
    """
    heard = hear(library, text, ear)
    made: dict[str, Suggestion] = {}
    for offer in heard.offers:
        finding = library.findings[offer.finding]
        if finding.scope is Scope.VEHICLE and offer.finding not in made:
            made[offer.finding] = Suggestion(
                finding=offer.finding,
                value=offer.value,
                name=finding.name,
                shown=finding.states.get(offer.value, offer.value),
                because=heard.words(text, offer),
            )
    return tuple(made.values())
