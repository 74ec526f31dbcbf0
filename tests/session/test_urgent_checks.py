"""The urgent checks found alone are those of the whole list of weighed checks."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import structs

from vibecheck.casebook.store import load
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.session.open_case import diagnose, library_at

DEMOS = sorted(find_demo_cases().glob("*.yaml"))
FROM_STATE_TO_STATE = 15  # entries


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_urgent_checks_are_the_same_alone(path: Path) -> None:
    case = load(path).case
    for count in range(0, len(case.entries) + 1, FROM_STATE_TO_STATE):
        at = structs.replace(case, entries=case.entries[:count])
        alone = diagnose(library_at(None), at).urgent_checks
        weighed = diagnose(library_at(None), at)

        assert {each.spot for each in weighed.weighed_checks if each.urgent} == alone
