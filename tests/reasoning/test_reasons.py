"""The weight of a finding is what the cause's log odds lose when the finding is taken away."""

from __future__ import annotations

import garage
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.network import Network, build
from vibecheck.reasoning.reasons import weights
from vibecheck.reasoning.search import Effort

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6)


def bits(chance: float) -> float:
    return float(np.log2(chance) - np.log2(1.0 - chance))


def taken_away(
    network: Network, evidence: dict[Spot, np.ndarray], finding: Spot, effort: Effort | None
) -> list[float]:
    """Change of each cause's log odds, by running again without the finding [bit]."""
    without = {spot: row for spot, row in evidence.items() if spot != finding}
    now = believe(network, evidence, effort).chances
    before = believe(network, without, effort).chances
    return [bits(a) - bits(b) for a, b in zip(now, before, strict=True)]


@given(st.integers(0, 10_000))
def test_equals_running_again_without(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=7)
    network = build(rules, {})
    evidence = garage.random_evidence(rng, rules)
    found = weights(believe(network, evidence, ALL))

    for finding in evidence:
        expected = taken_away(network, evidence, finding, ALL)
        for node, change in zip(network.causes, expected, strict=True):
            given_ = [each.bits for each in found[node.spot] if each.finding == finding]
            assert sum(given_) == pytest.approx(change, abs=1e-9)


def test_folded_findings_of_rare_causes_count_too() -> None:
    """A cause of 0.0004 that nothing searched names: its weight is log2 of staying normal."""
    rules = garage.library(
        [garage.finding("f"), garage.finding("g")],
        [garage.cause("a", {"f": "often"}), garage.cause("rare", {"g": "0.900"}, "tiny")],
    )
    rules.rates["tiny"] = garage.StrengthWord(word="tiny", probability=4e-4)
    evidence = {Spot("f"): np.array([0.0, 1.0]), Spot("g"): np.array([1.0, 0.0])}
    network = build(rules, {})
    belief = believe(network, evidence)
    (weight,) = weights(belief)[Spot("rare")]

    assert network.index[Spot("rare")] not in belief.table.active
    assert (weight.finding, weight.bits) == (Spot("g"), pytest.approx(np.log2(0.1)))
    assert weight.bits == pytest.approx(taken_away(network, evidence, Spot("g"), None)[1])


def test_close_on_a_network_of_full_size() -> None:
    """Usual effort, all causes above one percent: to a quarter of a bit, mostly far better."""
    rules = garage.large_library()
    network = build(rules, {})
    evidence = garage.drawn_evidence(np.random.default_rng(5), rules, [Spot("c5", Corner.LF)])
    belief = believe(network, evidence)
    found = weights(belief)
    errors = []
    for finding in evidence:
        expected = taken_away(network, evidence, finding, None)
        for node, chance, change in zip(network.causes, belief.chances, expected, strict=True):
            if chance >= 0.01:
                given_ = [each.bits for each in found[node.spot] if each.finding == finding]
                errors.append(abs(sum(given_) - change))

    assert max(errors) < 0.25
    assert np.median(errors) < 0.02


def test_heaviest_first_and_signs() -> None:
    rules = garage.library(
        [garage.finding("f"), garage.finding("g"), garage.finding("h")],
        [
            garage.cause("a", {"f": "nearly always", "g": "often", "h": "usually"}),
            garage.cause("b", {"f": "seldom"}),
        ],
    )
    evidence = {
        Spot("f"): np.array([0.0, 1.0]), Spot("g"): np.array([0.0, 1.0]),
        Spot("h"): np.array([1.0, 0.0]),
    }
    for_a = weights(believe(build(rules, {}), evidence))[Spot("a")]

    sizes = [abs(weight.bits) for weight in for_a]
    assert sizes == sorted(sizes, reverse=True)
    assert {weight.finding.id: weight.bits > 0 for weight in for_a} == {
        "f": True, "g": True, "h": False,
    }
