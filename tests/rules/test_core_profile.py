"""The core profile of the project's own rules: what a complaint answer may do, and what it may not.

A cause that says nothing of a core finding is moved by it by at most one bit, whatever is answered
first to whatever kind of complaint.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.evidence import Evidence, hard
from vibecheck.reasoning.network import Network
from vibecheck.session.inference import network_of
from vibecheck.session.open_case import library_at

LIBRARY = library_at(None)
COMPLAINTS = [state for state in LIBRARY.findings["complaint_kind"].states if state != "none"]
MOST_BITS = 1.0
LEAST_CHANCE = 1e-5  # rarer causes are left out: they are in hardly any set that is weighed


def told(network: Network, **answers: str) -> Evidence:
    return {
        Spot(name): hard(network.findings[Spot(name)], state) for name, state in answers.items()
    }


def logit(belief: Belief) -> np.ndarray:
    chances = np.clip(belief.chances, 1e-12, 1.0 - 1e-12)
    return np.log2(chances / (1.0 - chances))


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_silence_moves_no_cause_by_more_than_a_bit(complaint: str) -> None:
    network = network_of(LIBRARY, {}, complaint)
    before = believe(network, told(network, complaint_kind=complaint))
    for name in LIBRARY.core:
        node = network.findings.get(Spot(name))
        if node is None or not node.usual or name == "complaint_kind":
            continue
        silent = [k for k in node.usual if before.chances[k] > LEAST_CHANCE]
        for state in node.states:
            answers = {"complaint_kind": complaint, name: state}
            moved = logit(believe(network, told(network, **answers))) - logit(before)
            worst = max(silent, key=lambda k: abs(moved[k]), default=None)
            if worst is not None:
                where = (name, state, network.causes[worst].spot)
                assert abs(moved[worst]) <= MOST_BITS, where


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_a_visit_is_evidence(complaint: str) -> None:
    """With the kind of complaint alone, a fault, or "nothing wrong" as a cause, is there."""
    network = network_of(LIBRARY, {}, complaint)
    belief = believe(network, told(network, complaint_kind=complaint))

    assert belief.no_fault < 0.01


def test_every_cause_has_a_profile() -> None:
    silent = [
        cause.id for cause in LIBRARY.causes.values()
        if "complaint_kind" not in {*cause.shows, *cause.shows_front, *cause.shows_rear}
    ]  # fmt: skip

    assert [] == silent


def test_brake_judder_is_not_a_wheel_out_of_balance() -> None:
    """A shake that is there only when braking comes from the brakes (common practice)."""
    network = network_of(LIBRARY, {}, "braking")
    belief = believe(network, told(network, complaint_kind="braking", under_braking="clearly"))
    families: dict[str, float] = {}
    for node, chance in zip(network.causes, belief.chances, strict=True):
        family = node.rule.family.value
        families[family] = families.get(family, 0.0) + float(chance)

    assert "brake" == max(families, key=lambda family: families[family])
    assert families["brake"] > 3.0 * families["tire"]


def test_a_hum_that_rises_with_speed_is_no_resonance() -> None:
    """A wheel bearing growls the louder the faster (common practice), not at one speed."""
    worst = network_of(LIBRARY, {}).findings[Spot("worst_speed")]
    network = network_of(LIBRARY, {})
    bearing = next(k for k, node in enumerate(network.causes) if node.spot.id == "bearing_worn")
    row = worst.rows[bearing]

    assert row[3:5].sum() > 0.5 > row[:2].sum()
    assert math.isclose(float(row.sum()), 1.0, rel_tol=1e-9)
