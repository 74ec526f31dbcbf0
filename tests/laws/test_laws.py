"""What may be said, swept over random visits.

VIBECHECK_VISITS sets how many at each place; spread over several cores they are drawn in parts.
"""

from __future__ import annotations

import os

import pytest
from sweep import LAWS, sweep

VISITS = int(os.environ.get("VIBECHECK_VISITS", "40"))
NO_FIX = "enough to act only when the fault's own check was done"
NEVER_AT = {"counter": {NO_FIX}}  # at the counter nothing is put right, so it is never said
PART = 1000  # visits of one test, so that cores can share them and the rarest law still applies


@pytest.mark.parametrize("part", range(max(1, VISITS // PART)))
@pytest.mark.parametrize("place", ["counter", "bay", "driveway"])
def test_no_law_is_broken(place: str, part: int) -> None:
    counts = sweep(place, min(VISITS, PART), part + 1, LAWS)
    print(f"{place}: {counts.visits} visits, {counts.moves} moves, words {dict(counts.words)}")
    for name in LAWS:
        print(f"  {counts.applied[name]:5d} times, {counts.breaches[name]} breaches: {name}")

    assert {} == counts.examples
    assert min(counts.words[word] for word in ("stop", "not_checked", "nothing_found")) > 0
    if counts.visits >= 0.9 * PART:  # a law that never applied proves nothing
        never = {name for name in LAWS if not counts.applied[name]}
        assert never <= NEVER_AT.get(place, set())
