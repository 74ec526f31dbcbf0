"""The library as the checks see it: rules, where they stand, and what of them could not be read.

`KINDS` lists the kinds of rules that have an id, by the name of their list in a rule file.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from vibecheck.errors import RuleFault, sentence
from vibecheck.knowledge.library import Library, Origin
from vibecheck.knowledge.model import (
    Cause,
    Caution,
    Check,
    Core,
    Fact,
    Finding,
    Fleet,
    Kind,
    Remedy,
    Resonance,
    Source,
    StrengthWord,
    Tolerance,
    Tool,
)
from vibecheck.knowledge.shape import nearest

Key = tuple[str, str]  # kind and id

KINDS: dict[str, type[Any]] = {
    "sources": Source,
    "strengths": StrengthWord,
    "rates": StrengthWord,
    "facts": Fact,
    "tools": Tool,
    "findings": Finding,
    "core": Core,
    "kinds": Kind,
    "fleet": Fleet,
    "causes": Cause,
    "checks": Check,
    "remedies": Remedy,
    "cautions": Caution,
    "tolerances": Tolerance,
    "resonances": Resonance,
}
ONE = {
    "sources": "source", "strengths": "strength word", "rates": "rate word",
    "facts": "vehicle fact", "tools": "tool", "findings": "finding", "core": "core finding",
    "kinds": "kind of cause", "fleet": "share of cars", "causes": "cause",
    "checks": "check", "remedies": "remedy", "cautions": "caution", "tolerances": "tolerance",
    "resonances": "resonance", "access": "access state",
}  # fmt: skip


class Weight(StrEnum):
    """Errors refuse the library; a law that is broken is named, advice may be heeded."""

    ERROR = "error"
    LAW = "law"
    ADVICE = "advice"


@dataclass(frozen=True, order=True)
class Issue:
    """One thing that is wrong with the rules, or could be better."""

    level: Weight
    file: str
    line: int
    what: str
    instead: str = ""

    def __str__(self) -> str:
        return sentence(self.what, f"{self.file}:{self.line}", self.instead)

    @property
    def fault(self) -> RuleFault:
        """The issue as a fault."""
        return RuleFault(self.file, self.line, self.what, self.instead)


@dataclass(frozen=True)
class Book:
    """A library, complete or not.

    `lost` could not be read at all, `patched` only in part: checks of a single rule pass over
    the patched, since what they miss has been reported already.
    """

    library: Library
    lost: frozenset[Key] = field(default_factory=frozenset)
    patched: frozenset[Key] = field(default_factory=frozenset)

    def rules(self, kind: str) -> dict[str, Any]:
        """Every rule of a kind by its id."""
        found: dict[str, Any] = getattr(self.library, kind)
        return found

    def sound(self, kind: str) -> Iterator[Any]:
        """The rules of a kind that were read in full."""
        for name, rule in self.rules(kind).items():
            if (kind, name) not in self.patched:
                yield rule

    def knows(self, kind: str, name: str) -> bool:
        """Whether there is such a rule, read or lost."""
        return name in self.rules(kind) or (kind, name) in self.lost

    def meant(self, kind: str, names: Iterable[str]) -> set[str]:
        """The rules that these ids name; a misspelt id counts as the one most like it, so that
        it is reported once and not again as something missing."""
        rules = self.rules(kind)
        found = {name if name in rules else nearest(name, rules) for name in names}
        return found - {""}

    def error(self, kind: str, name: str, part: tuple[str | int, ...], what: str,
              instead: str = "") -> Issue:  # fmt: skip
        """An error at a part of a rule."""
        return self._issue(Weight.ERROR, kind, name, part, what, instead)

    def law(self, kind: str, name: str, part: tuple[str | int, ...], what: str,
            instead: str = "") -> Issue:  # fmt: skip
        """A law broken at a part of a rule."""
        return self._issue(Weight.LAW, kind, name, part, what, instead)

    def advice(self, kind: str, name: str, part: tuple[str | int, ...], what: str,
               instead: str = "") -> Issue:  # fmt: skip
        """Advice about a part of a rule."""
        return self._issue(Weight.ADVICE, kind, name, part, what, instead)

    def _issue(self, level: Weight, kind: str, name: str, part: tuple[str | int, ...],
               what: str, instead: str) -> Issue:  # fmt: skip
        origin = self.library.origins.get((kind, name), Origin("rules", 1))
        spoken = f"{ONE[kind]} {name}: {what}" if name and kind in ONE else what
        return Issue(level, origin.file, origin.at(*part), spoken, instead)
