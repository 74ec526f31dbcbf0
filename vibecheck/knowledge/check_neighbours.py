"""Advice on strengths: findings that tell next to nothing, and words far from their neighbours'.

Neighbours are the causes of one family that name the same finding. A cause may well differ from
them; then its `note` says why, or the finding is one that its own checks prove.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_separable import chances_of
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import USUAL, Cause, Finding
from vibecheck.knowledge.profile import PARTS
from vibecheck.knowledge.words import Scale

LEAST_BITS = 0.5  # of some state for or against some cause, for a finding to tell something
FAR_STEPS = 3  # steps of the scale between a strength and the nearest of its neighbours
LEAST_NEIGHBOURS = 4
_CERTAIN = 1e-4


@dataclass(frozen=True)
class _Word:
    """What one cause says of one state of a finding, as a step of the scale."""

    cause: Cause
    finding: str
    key: str
    step: int


def findings_tell_something(book: Book) -> Iterator[Issue]:
    """Some cause makes some state of a finding clearly likelier or rarer than it is without."""
    library = book.library
    most: dict[str, float] = {}
    for cause in library.causes.values():
        for key in PARTS:
            for name, strength in getattr(cause, key).items():
                finding = library.findings[name]
                usual = _without_cause(library, finding)
                for state, chance in chances_of(library, name, strength).items():
                    bits = abs(math.log2(_inside(chance) / _inside(usual.get(state, chance))))
                    most[name] = max(most.get(name, 0.0), bits)
    for name, bits in most.items():
        if bits < LEAST_BITS:
            yield book.advice("findings", name, (),
                              f"it tells hardly anything (at most {bits:.1f} bits for any cause)",
                              "lower its leak, or give it a strength that differs from it",
                              )  # fmt: skip


def strengths_are_in_line(book: Book) -> Iterator[Issue]:
    """A strength near those of its neighbours, or with a note that says why it is not."""
    groups: dict[tuple[str, str, str, str], list[_Word]] = {}
    for cause in book.library.written.values():
        for word, state in _words(book.library, cause):
            group = (cause.family.value, word.finding, word.key, state)
            groups.setdefault(group, []).append(word)
    for (_, _, _, state), words in groups.items():
        for word in words:
            others = [other.step for other in words if other is not word]
            if len(others) >= LEAST_NEIGHBOURS and _stands_out(book, word, others):
                said = "not normal" if state == "abnormal" else state
                yield book.advice("causes", word.cause.id, (word.key, word.finding),
                                  f"its strength for '{word.finding}' ({said}) is far from those "
                                  f"of the other {word.cause.family.value} causes",
                                  "correct it, or say in its note why it differs")  # fmt: skip


def _stands_out(book: Book, word: _Word, others: list[int]) -> bool:
    if word.cause.note or min(abs(word.step - other) for other in others) < FAR_STEPS:
        return False
    checks = [book.library.checks.get(name) for name in word.cause.confirm_by]
    return all(word.finding not in check.yields for check in checks if check is not None)


def _words(library: Library, cause: Cause) -> Iterator[tuple[_Word, str]]:
    scale = [_logit(each) for each in sorted(w.probability for w in library.strengths.values())]
    for key in PARTS:
        for name, strength in getattr(cause, key).items():
            if strength == USUAL:
                continue
            for state, chance in chances_of(library, name, strength).items():
                if state == "abnormal" or library.findings[name].scale is Scale.WHICH:
                    yield _Word(cause, name, key, _nearest(scale, _logit(chance))), state


def _nearest(scale: list[float], value: float) -> int:
    return min(range(len(scale)), key=lambda at: abs(scale[at] - value))


def _without_cause(library: Library, finding: Finding) -> dict[str, float]:
    """Chance of each state where no cause speaks."""
    if finding.scale is Scale.GRADED:
        return {"abnormal": library.strength(finding.leak)}
    if finding.background:
        return chances_of(library, finding.id, finding.background)
    return dict.fromkeys(finding.states, 1.0 / len(finding.states))


def _inside(chance: float) -> float:
    return min(max(chance, _CERTAIN), 1.0 - _CERTAIN)


def _logit(chance: float) -> float:
    return math.log(_inside(chance) / (1.0 - _inside(chance)))


CHECKS = [findings_tell_something, strengths_are_in_line]
