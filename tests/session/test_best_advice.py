"""The first advice is the best advice: against a search that keeps ten times as many sets.

The states are those that the demo visits went through, entry by entry. A few are tried here; all
of them with `VIBECHECK_ALL_STATES=1`, which takes a long while.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from msgspec import structs

from vibecheck.casebook import store
from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import ordered
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.search import Effort
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.open_case import diagnose, library_at

DEMOS = Path(__file__).resolve().parents[2] / "demo_cases"
DEEP = Effort(most_listed=10_000, most_kept=4_000, drawn=4_000)
EVERY = 1 if os.environ.get("VIBECHECK_ALL_STATES") else 191  # a prime: not the same place twice
AS_GOOD = 0.99  # a check of this share of the best one's worth is as good as the best
BEST_IN = 0.99  # share of the states in which the first advice is the best one
SHOWN = 10  # checks whose gain is printed


def states() -> Iterator[Case]:
    """The demo visits as they stood after each entry."""
    for path in sorted(DEMOS.glob("*.yaml")):
        case = store.load(path).case
        entries = ordered(case.entries)
        for count in range(len(entries) + 1):
            yield structs.replace(case, entries=entries[:count])


def deeper(found: Diagnosis) -> Diagnosis:
    """The same case, weighed with far more sets."""
    other = Diagnosis(found.case, found.library, found.facts, found.judged)
    other.__dict__["belief"] = believe(found.network, found.case_evidence.evidence, DEEP)
    return other


def test_the_first_advice_is_that_of_a_far_deeper_search() -> None:
    library = library_at(None)
    best, ratios = [], []
    for case in list(states())[::EVERY]:
        found = diagnose(library, case)
        usual, deep = found.weighed_checks, deeper(found).weighed_checks
        assert bool(usual) == bool(deep)
        if not deep:
            continue
        worth = {option.spot: option for option in deep}
        first = worth.get(usual[0].spot)
        best.append(first is not None and (first.urgent or first.score >= AS_GOOD * deep[0].score))
        ratios += [
            option.gain / worth[option.spot].gain for option in usual[:SHOWN]
            if option.spot in worth and worth[option.spot].gain > 0.0
        ]

    assert np.mean(best) >= BEST_IN
    assert abs(np.median(ratios) - 1.0) <= 0.05
