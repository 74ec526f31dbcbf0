"""Open cases with small invented rules, and with the real ones."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck.knowledge.place import find_demo_cases
from vibecheck.session.open_case import OpenCase

SMALL_RULES = Path(__file__).parents[1] / "knowledge" / "small_rules"
Begin = Callable[..., OpenCase]


@pytest.fixture
def small() -> Begin:
    """Begin a case in memory with the small rules."""

    def begin(*answers: str, place: str = "bay", **named: object) -> OpenCase:
        opened = OpenCase.new(None, place=place, rules=SMALL_RULES, **named)
        if answers:
            opened.answer(answers)
        return opened

    return begin


@pytest.fixture
def real() -> Begin:
    """Begin a case in memory with the rules of the project."""

    def begin(*answers: str, place: str = "bay", **named: object) -> OpenCase:
        opened = OpenCase.new(None, place=place, **named)
        if answers:
            opened.answer(answers)
        return opened

    return begin


@pytest.fixture
def demo() -> Callable[[str], OpenCase]:
    """Open a demo case of the project, in memory."""

    def opened(name: str) -> OpenCase:
        found = OpenCase.open(find_demo_cases() / f"{name}.yaml")
        return OpenCase(None, found.case, found.library)

    return opened
