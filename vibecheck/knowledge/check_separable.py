"""Advice on causes that no finding tells apart, and on declarations that no longer hold.

Only strengths are compared; whether a check is worth its minutes is not asked here.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Strength
from vibecheck.knowledge.profile import PARTS
from vibecheck.knowledge.words import Scale

LEAST_DIFFERENCE = 0.25  # in the chance of some state, for two causes to count as told apart
UNSPOKEN = 0.02  # about the chance of an abnormal state that a cause does not speak to

Profile = dict[tuple[str, str], float]  # (finding, state) -> chance


def profile(library: Library, cause: Cause) -> Profile:
    """The chance of every state that a cause speaks to, where it is likeliest."""
    chances: Profile = {}
    for part in PARTS:
        for name, strength in getattr(cause, part).items():
            for state, chance in chances_of(library, name, strength).items():
                chances[name, state] = max(chances.get((name, state), 0.0), chance)
    return chances


def chances_of(library: Library, name: str, strength: Strength) -> dict[str, float]:
    """Chance of each state that a strength names; of a graded finding also of "abnormal"."""
    finding = library.findings[name]
    normal = next(iter(finding.states))
    if isinstance(strength, str):
        return {"abnormal": library.strength(strength)}
    words = {state: library.strength(word) for state, word in strength.items()}
    total = sum(words.values()) or 1.0
    scaled = {state: chance / total for state, chance in words.items()}
    if finding.scale is Scale.GRADED:
        scaled["abnormal"] = 1.0 - scaled.pop(normal, 0.0)
    return scaled


def difference(one: Profile, other: Profile) -> float:
    """The largest difference in the chance of any state [0 to 1]."""
    keys = one.keys() | other.keys()
    return max(
        (abs(one.get(key, UNSPOKEN) - other.get(key, UNSPOKEN)) for key in keys), default=0.0
    )


def causes_are_told_apart(book: Book) -> Iterator[Issue]:
    """Two causes differ in some finding, or say that nothing separates them."""
    library = book.library
    profiles = {name: profile(library, cause) for name, cause in library.causes.items()}
    for one, other in combinations(library.causes.values(), 2):
        declared = other.id in one.inseparable or one.id in other.inseparable
        if declared or not _alike(one, other):
            continue
        apart = difference(profiles[one.id], profiles[other.id])
        if apart < LEAST_DIFFERENCE:
            yield book.advice("causes", other.id, (),
                              f"no finding tells it from {one.id} (largest difference {apart:.2f})",
                              "give a strength that differs, or declare it under inseparable",
                              )  # fmt: skip


def _alike(one: Cause, other: Cause) -> bool:
    """Whether place, vehicle and speed leave the two causes alike."""
    same_facts = all(
        set(one.fits[fact]) & set(other.fits[fact]) for fact in one.fits.keys() & other.fits.keys()
    )
    return same_facts and one.scope is other.scope and one.excites == other.excites


CHECKS = [causes_are_told_apart]
