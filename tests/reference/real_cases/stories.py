"""Real cases as told (`stories/`), and as answers to the rules (`encoded/`).

A story is told in three layers: what the driver said, what the workshop saw before it knew, and
the verdict. An encoding says the first two in findings of the rules and names the verdict's causes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeVar

import msgspec
from msgspec import Struct

from vibecheck import yamltext

HERE = Path(__file__).parent
PARTS = 3  # one part in so many is kept for checking only

Part = Literal["learn", "check"]
T = TypeVar("T", "Story", "Encoding")


class Verdict(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What it was; `faults` in plain words, likeliest first."""

    faults: list[str]
    how: str = ""


class Story(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One car; `complaint` and `seen` hold one stated fact per line, in our own words."""

    id: str
    source: str
    read: Literal["excerpt", "whole page"]
    confirmation: Literal["fixed", "diagnosed", "accepted-answer", "bulletin", "claimed"]
    family: str
    vehicle: str
    complaint: list[str]
    seen: list[str]
    verdict: Verdict
    page: str = ""


class Stories(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A file of stories; `known` marks those that were read while rules were written."""

    stories: list[Story]
    known: bool = False


class Encoding(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A story in findings of the rules, each as finding: state or finding@corner: state.

    `seen` is left out where only the complaint is encoded. `without_cause` names faults of the
    verdict that the rules do not know; `unsayable` quotes facts that no finding can hold.
    """

    id: str
    complaint: dict[str, str]
    truth: list[str]
    facts: dict[str, str] = {}
    seen: dict[str, str] | None = None
    without_cause: list[str] = []
    unsayable: list[str] = []


class Encodings(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A file of encodings."""

    cases: list[Encoding]


class Typical(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A complaint as owners of cars with this fault tell it, by common practice."""

    cause: str
    answers: dict[str, str]
    facts: dict[str, str] = {}


def read_typical() -> list[Typical]:
    """The typical complaints, in the order written; see `read_stories` for what is raised."""
    text = (HERE / "typical_complaints.yaml").read_text(encoding="utf-8")
    data = yamltext.read(text, "typical_complaints.yaml", texts=True)[0]
    return msgspec.convert(data["complaints"], list[Typical])


def _files(folder: str) -> list[Any]:
    """Every file of a folder, read as strict YAML with texts only."""
    return [
        yamltext.read(path.read_text(encoding="utf-8"), path.name, texts=True)[0]
        for path in sorted((HERE / folder).glob("*.yaml"))
    ]


def read_stories() -> dict[str, Story]:
    """All stories by id.

    Raises
    ------
    YamlError, ValidationError : a file is not of the right shape.
    ValueError : an id that comes twice.
    """
    every = [story for file in _told() for story in file.stories]
    return {story.id: story for story in _once(every)}


def known_ids() -> frozenset[str]:
    """Ids of the stories that were read while rules were written."""
    return frozenset(story.id for file in _told() if file.known for story in file.stories)


def read_encodings() -> dict[str, Encoding]:
    """All encodings by id; see `read_stories` for what is raised."""
    files = [msgspec.convert(data, Encodings) for data in _files("encoded")]
    every = [case for file in files for case in file.cases]
    return {case.id: case for case in _once(every)}


@cache
def _told() -> list[Stories]:
    return [msgspec.convert(data, Stories, strict=False) for data in _files("stories")]


def _once(every: Sequence[T]) -> Sequence[T]:
    """The same list, if no id comes twice."""
    ids = [each.id for each in every]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise ValueError(f"written twice: {', '.join(twice)}")
    return every


def part_of(name: str, known: frozenset[str] = frozenset()) -> Part:
    """The part that a case belongs to: by the SHA-256 of its id, and `learn` if it is known."""
    if name in known:
        return "learn"
    digest = int(hashlib.sha256(name.encode("utf-8")).hexdigest(), 16)
    return "check" if digest % PARTS == 0 else "learn"
