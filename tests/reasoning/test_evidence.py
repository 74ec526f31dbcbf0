"""Folding certain normal findings into the odds must change nothing but the work."""

from __future__ import annotations

import garage
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning import evidence as evidence_module
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.evidence import NOTABLE, hard, is_normal, split
from vibecheck.reasoning.network import build
from vibecheck.reasoning.search import Effort

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6)


@given(st.integers(0, 10_000))
def test_folding_equals_searching(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=8)
    network = build(rules, {})
    evidence = garage.random_evidence(rng, rules, silent=0.0, soft=0.1)
    folded = believe(network, evidence, ALL)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evidence_module, "is_normal", lambda node, likelihood: False)
        searched = believe(network, evidence, ALL)

    assert len(searched.table.graded) >= len(folded.table.graded)
    np.testing.assert_allclose(folded.chances, searched.chances, rtol=1e-12, atol=1e-14)


def test_hard_and_normal() -> None:
    rules = garage.library([garage.finding("f", ["no", "some", "much"])], [])
    node = build(rules, {}).findings[Spot("f")]

    assert hard(node, "some").tolist() == [0, 1, 0]
    assert is_normal(node, hard(node, "no"))
    assert is_normal(node, np.array([0.3, 0.0, 0.0]))
    assert not is_normal(node, np.array([1.0, 1e-9, 0.0]))


def test_a_folded_finding_scales_the_odds_by_the_chance_of_staying_normal() -> None:
    rules = garage.library(
        [garage.finding("f")],
        [garage.cause("a", {"f": "0.600"}, "0.200"), garage.cause("b", {}, "0.200")],
    )
    table = split(build(rules, {}), {Spot("f"): np.array([1.0, 0.0])})

    assert table.graded == ()
    assert table.folded == pytest.approx([0.25 * 0.4 / (1 + 0.25 * 0.4), 0.2])


def test_rare_causes_enter_only_when_something_names_them() -> None:
    rules = garage.library(
        [garage.finding("f"), garage.finding("g")],
        [
            garage.cause("common", {"g": "often"}, "0.100"),
            garage.cause("named", {"f": "often", "g": "often"}, "rare"),
            garage.cause("quiet", {"g": "often"}, "rare"),
        ],
    )
    rules.rates["rare"] = garage.StrengthWord(word="rare", probability=NOTABLE / 2)
    network = build(rules, {})

    active = split(network, {Spot("f"): np.array([0.0, 1.0])}).active
    assert [network.causes[k].spot.id for k in active] == ["common", "named"]


def test_findings_the_vehicle_lacks_are_left_out() -> None:
    rules = garage.library(
        [garage.finding("f", fits={"drive": ["rear"]})], [garage.cause("a", {"f": "often"})]
    )
    network = build(rules, {"drive": "front"})

    assert believe(network, {Spot("f"): np.array([0.0, 1.0])}).chances == pytest.approx([0.005])
