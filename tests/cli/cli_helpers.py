"""What several test modules of the command line need."""

from __future__ import annotations

from pathlib import Path

from vibecheck.casebook import store
from vibecheck.casebook.case import Case

SMALL_RULES = Path(__file__).parents[1] / "knowledge" / "small_rules"


def case_in(path: Path) -> Case:
    """The case in a file."""
    return store.load(path).case
