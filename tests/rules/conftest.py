"""The project's own rules, loaded once, and short cases on them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def rules() -> Path:
    """The folder of the rules."""
    return find_rules()


@pytest.fixture(scope="session")
def library(rules: Path) -> Library:
    """The rules."""
    return load(rules)
