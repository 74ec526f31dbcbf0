"""Desks with small invented rules, and with the real ones."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck.knowledge.place import find_demo_cases
from vibecheck.session.desk import Desk

SMALL_RULES = Path(__file__).parents[1] / "knowledge" / "small_rules"
Begin = Callable[..., Desk]


@pytest.fixture
def small() -> Begin:
    """Begin a case in memory with the small rules."""

    def begin(*answers: str, place: str = "bay", **named: object) -> Desk:
        desk = Desk.new(None, place=place, rules=SMALL_RULES, **named)
        if answers:
            desk.answer(answers)
        return desk

    return begin


@pytest.fixture
def real() -> Begin:
    """Begin a case in memory with the rules of the project."""

    def begin(*answers: str, place: str = "bay", **named: object) -> Desk:
        desk = Desk.new(None, place=place, **named)
        if answers:
            desk.answer(answers)
        return desk

    return begin


@pytest.fixture
def demo() -> Callable[[str], Desk]:
    """Open a demo case of the project, in memory."""

    def opened(name: str) -> Desk:
        found = Desk.open(find_demo_cases() / f"{name}.yaml")
        return Desk(None, found.case, found.library)

    return opened
