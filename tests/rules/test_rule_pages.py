"""The pages that the rules make are current, and the laws of the rules are kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.knowledge.book import Weight
from vibecheck.knowledge.loader import examine
from vibecheck.knowledge.place import find_rules
from vibecheck.report import rule_pages
from vibecheck.report.rule_pages import ENOUGH, behind_page, core_table, seen_page
from vibecheck.session.open_case import library_at
from vibecheck.session.rule_numbers import SeenPart, behind, seen_parts

DOCS = Path(__file__).parents[2] / "docs"
LIBRARY = library_at(None)
PAGES = {
    "causes_table.md": ("table", core_table),
    "behind_complaints.md": ("behind", behind_page),
    "seen_parts.md": ("seen", seen_page),
}


@pytest.fixture(scope="module")
def parts() -> tuple[SeenPart, ...]:
    return seen_parts(LIBRARY)


@pytest.mark.parametrize("name", PAGES)
def test_the_page_is_current(
    name: str, parts: tuple[SeenPart, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """If not, run `vibecheck rules table|behind|seen > docs/...` and read what has changed."""
    command, make = PAGES[name]
    monkeypatch.setattr(rule_pages, "seen_parts", lambda _: parts)  # worked out once for all tests

    assert (DOCS / name).read_text(encoding="utf-8") == make(LIBRARY), f"vibecheck rules {command}"


def test_laws_are_kept() -> None:
    library, issues = examine(find_rules())

    assert library is not None
    assert [] == [issue for issue in issues if issue.level is Weight.LAW]


def test_what_is_seen_is_believed(parts: tuple[SeenPart, ...]) -> None:
    assert parts
    assert [] == [each for each in parts if each.probability < ENOUGH]


def test_shares_behind_a_complaint_sum_to_one() -> None:
    for each in behind(LIBRARY, {}):
        assert sum(share for _, share in each.shares) == pytest.approx(1.0)


def test_a_front_driver_has_nothing_behind_a_driveshaft() -> None:
    for each in behind(LIBRARY, {"drive": "front"}):
        assert "driveshaft_imbalance" not in dict(each.shares)
