"""A whole rule library in memory: every rule by its id, and where each was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from vibecheck.knowledge.model import (
    Access,
    Cause,
    Caution,
    Check,
    Core,
    Fact,
    Finding,
    Fleet,
    Hint,
    Kind,
    Remedy,
    Resonance,
    Settings,
    Source,
    StrengthWord,
    Tolerance,
    Tool,
    WordList,
)
from vibecheck.knowledge.words import Aspect
from vibecheck.yamltext import Where


@dataclass(frozen=True)
class Origin:
    """The file and line a rule was written at; `at` gives the line of a part of it."""

    file: str
    line: int
    path: Where = field(default=(), repr=False, compare=False)
    lines: Mapping[Where, int] = field(default_factory=dict, repr=False, compare=False)

    def at(self, *part: str | int) -> int:
        """The line of a key or item inside the rule, or of the nearest thing around it."""
        for length in range(len(part), 0, -1):
            line = self.lines.get(self.path + part[:length])
            if line is not None:
                return line
        return self.line


@dataclass(frozen=True)
class Library:
    """Every rule by its id, in the order written. Made by `loader.load`, already checked.

    `origins` is keyed by (kind, id), kind being the list's name in the rule file ("causes").
    `causes` and `kinds` are whole: what each says and what its kinds say for it; `written` and
    `written_kinds` hold them as they stand in the files. `digest` is the SHA-256 of the rules'
    content, independent of file order.
    """

    settings: Settings
    digest: str
    access: Access
    sources: dict[str, Source]
    strengths: dict[str, StrengthWord]
    rates: dict[str, StrengthWord]
    facts: dict[str, Fact]
    tools: dict[str, Tool]
    findings: dict[str, Finding]
    causes: dict[str, Cause]
    checks: dict[str, Check]
    remedies: dict[str, Remedy]
    cautions: dict[str, Caution]
    tolerances: dict[str, Tolerance]
    resonances: dict[str, Resonance]
    lexicon: tuple[Hint, ...]
    origins: Mapping[tuple[str, str], Origin]
    word_lists: tuple[WordList, ...] = ()
    core: dict[str, Core] = field(default_factory=dict)
    kinds: dict[str, Kind] = field(default_factory=dict)
    fleet: dict[str, Fleet] = field(default_factory=dict)
    written: Mapping[str, Cause] = field(default_factory=dict)
    written_kinds: Mapping[str, Kind] = field(default_factory=dict)

    @cached_property
    def checks_yielding(self) -> dict[str, tuple[str, ...]]:
        """For every finding, the checks that yield it."""
        found: dict[str, list[str]] = {finding: [] for finding in self.findings}
        for check in self.checks.values():
            for finding in check.yields:
                found.setdefault(finding, []).append(check.id)
        return {finding: tuple(checks) for finding, checks in found.items()}

    @property
    def complaint(self) -> str | None:
        """The core finding that tells the kind of complaint, if there is one."""
        kinds = (each.id for each in self.core.values() if each.aspect is Aspect.KIND)
        return next(kinds, None)

    def strength(self, word: str) -> float:
        """The probability a strength word stands for; a mean of several is written as a number."""
        known = self.strengths.get(word)
        return known.probability if known else float(word)

    def rate(self, word: str) -> float:
        """The probability a rate word stands for."""
        return self.rates[word].probability
