"""Cases for the casebook's tests; everything in them is invented."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # lets the test modules import their helpers

from vibecheck.casebook import journal, store
from vibecheck.casebook.case import Case


@pytest.fixture
def empty_case() -> Case:
    return Case(id="c1", title="a hatchback", place="bay", facts={"axle_ratio": "3.10"})


@pytest.fixture
def case(empty_case: Case) -> Case:
    """A case with three entries."""
    made, _ = journal.append(
        empty_case,
        [
            journal.Draft("answer", finding="vibration", value="strong"),
            journal.Draft("reading", finding="runout", corner="LF", value="0.10 mm"),
            journal.Draft("note", text="the owner says: \"it [/b] shakes\"\nsince Tuesday"),
        ],
    )
    return made


@pytest.fixture
def stored(tmp_path: Path, case: Case) -> store.StoredCase:
    return store.create(tmp_path / "visit.yaml", case)
