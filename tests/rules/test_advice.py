"""`rules check` is clean: no fault, and no advice that is not taken."""

from __future__ import annotations

from pathlib import Path

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import examine
from vibecheck.reasoning.network import spots
from vibecheck.reasoning.rates import rate


def test_the_rules_leave_no_advice_open(rules: Path) -> None:
    library, issues = examine(rules)

    assert library is not None
    assert [] == [str(issue) for issue in issues]


def test_the_rules_are_as_many_as_they_should_be(library: Library) -> None:
    assert len(library.causes) >= 60
    assert len(library.findings) >= 90
    assert len(library.checks) >= 60
    assert len(library.remedies) >= 40
    assert len(library.cautions) >= 30


def test_one_fault_is_the_usual_case(library: Library) -> None:
    """The rates of all causes over all corners, each by the share of cars that can have it, sum
    to about 0.35."""
    total = sum(
        rate(library, cause, {}, spot.corner)
        for cause in library.causes.values() for spot in spots(cause, {})
    )

    assert 0.3 <= total <= 0.4
