"""What may be said, swept over random visits; the long sweep runs with VIBECHECK_LONG=1."""

from __future__ import annotations

import os

import pytest
from sweep import LAWS, sweep

VISITS = 2000 if os.environ.get("VIBECHECK_LONG") else 40


@pytest.mark.parametrize("place", ["counter", "bay", "driveway"])
def test_no_law_is_broken(place: str) -> None:
    counts = sweep(place, VISITS, 1, LAWS)
    print(f"{place}: {counts.visits} visits, {counts.moves} moves, words {dict(counts.words)}, "
          f"breaches {dict.fromkeys(LAWS, 0) | dict(counts.breaches)}")

    assert {} == counts.examples
    assert min(counts.words[word] for word in ("stop", "not_checked", "nothing_found")) > 0
