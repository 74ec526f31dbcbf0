"""Shared parts of the tests of the knowledge room."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from vibecheck.errors import RuleFault, RulesError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load

sys.path.insert(0, str(Path(__file__).parent.parent / "reasoning"))  # for `garage`
SMALL = Path(__file__).parent / "small_rules"
Write = Callable[[str, str], Path]
Faults = Callable[..., list[RuleFault]]


@pytest.fixture
def small_rules(tmp_path: Path) -> Path:
    """A copy of the small invented rules that a test may change."""
    return Path(shutil.copytree(SMALL, tmp_path / "small"))


@pytest.fixture(scope="session")
def small() -> Library:
    """The small invented rules, loaded."""
    return load(SMALL)


@pytest.fixture
def faults_of() -> Faults:
    """The faults with which a folder is refused."""

    def faults(folder: Path, *overlays: Path) -> list[RuleFault]:
        with pytest.raises(RulesError) as caught:
            load(folder, overlays)
        return caught.value.faults

    return faults
