"""The page of what calculators are held against names every one, and tests that there are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from vibecheck.calculator_list import NAMES

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "checked_against.md").read_text(encoding="utf-8")
ROWS = {row[0].strip("` "): row[1:] for row in (
    line.strip("|").split("|") for line in PAGE.splitlines() if line.startswith("| `"))}
TESTS = {name for path in (ROOT / "tests").rglob("test_*.py")
         for name in re.findall(r"def (test_\w+)\(", path.read_text(encoding="utf-8"))}


def test_every_calculator_has_its_row() -> None:
    assert sorted(NAMES) == sorted(ROWS)


@pytest.mark.parametrize("name", NAMES)
def test_what_it_is_held_by_is_there(name: str) -> None:
    _, examples, interval, coverage = ROWS[name]

    assert interval.strip()
    for held_by in (examples, coverage):
        named = re.findall(r"`(test_\w+)`", held_by)
        assert named and set(named) <= TESTS
