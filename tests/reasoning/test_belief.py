"""The posterior against the oracle, and what must hold for any evidence."""

from __future__ import annotations

from functools import lru_cache

import garage
import numpy as np
import oracle
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.network import build
from vibecheck.reasoning.search import Effort

ALL = Effort(
    cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6, most_kept=10**6
)
seeds = st.integers(0, 10_000)
Known = dict[Spot, np.ndarray]


def visit(seed: int, causes: int = 9) -> tuple[Library, Known]:
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=causes)
    return rules, garage.random_evidence(rng, rules)


def expected(rules: Library, evidence: Known) -> dict[frozenset[str], float]:
    return oracle.posterior(rules, {spot: row.tolist() for spot, row in evidence.items()})


@lru_cache
def worked_out(seed: int) -> tuple[Library, Known, dict[frozenset[str], float]]:
    rules, evidence = visit(seed, causes=12)
    return rules, evidence, expected(rules, evidence)


@pytest.mark.parametrize("seed", [3, 14, 159])
class TestAgainstTheOracle:
    """Twelve causes, eleven findings, plain and soft answers; every number to 1e-9."""

    def test_full_effort(self, seed: int) -> None:
        rules, evidence, weights = worked_out(seed)
        belief = believe(build(rules, {}), evidence, ALL)
        chances = oracle.chances(rules, weights)

        assert len(belief.sets.weights) == len(weights) == 4096
        for node, chance in zip(belief.network.causes, belief.chances, strict=True):
            assert chance == pytest.approx(chances[node.spot.id], abs=1e-9)
        for row, weight in enumerate(belief.sets.weights):
            present = frozenset(spot.id for spot in belief.set_spots(row))
            assert weight == pytest.approx(weights[present], abs=1e-9)
        assert belief.no_fault == pytest.approx(weights[frozenset()], abs=1e-9)

    def test_predictions(self, seed: int) -> None:
        rules, evidence, weights = worked_out(seed)
        belief = believe(build(rules, {}), evidence, ALL)

        for name in rules.findings:
            states = belief.weights @ belief.predict(Spot(name))
            assert states == pytest.approx(oracle.predict(rules, weights, name), abs=1e-9)

    def test_default_effort(self, seed: int) -> None:
        rules, evidence, weights = worked_out(seed)
        belief = believe(build(rules, {}), evidence, Effort(bounded=True))
        chances = oracle.chances(rules, weights)

        assert belief.sets.left_out < 1e-3
        for node, chance in zip(belief.network.causes, belief.chances, strict=True):
            assert abs(chance - chances[node.spot.id]) <= belief.sets.left_out
        for name in rules.findings:
            states = belief.weights @ belief.predict(Spot(name))
            assert states == pytest.approx(oracle.predict(rules, weights, name), abs=0.005)


def test_untouched_causes_count_in_predictions() -> None:
    """Causes too rare to enter the sets still speak: exactly, in both kinds of finding."""
    rules = garage.library(
        [
            garage.finding("f"), garage.finding("g", ["no", "some", "much"]),
            garage.which("w", ["p", "q", "r"]),
        ],
        [
            garage.cause("a", {"f": "often", "w": {"p": "0.900"}}, "0.100"),
            *[
                garage.cause(f"r{n}", {"g": f"0.{n}00", "w": {"q": "0.500", "r": "0.300"}}, "tiny")
                for n in range(1, 8)
            ],
        ],
    )
    rules.rates["tiny"] = garage.StrengthWord(word="tiny", probability=4e-4)
    evidence = {Spot("f"): np.array([0.0, 1.0])}
    belief = believe(build(rules, {}), evidence, ALL)
    weights = expected(rules, evidence)

    assert belief.table.active.tolist() == [0]
    assert belief.chances[1] == pytest.approx(4e-4)
    for name in ("g", "w"):
        states = belief.weights @ belief.predict(Spot(name))
        assert states == pytest.approx(oracle.predict(rules, weights, name), abs=1e-12)


@given(seeds)
def test_proper_probabilities(seed: int) -> None:
    rules, evidence = visit(seed)
    belief = believe(build(rules, {}), evidence)

    assert ((belief.chances >= 0) & (belief.chances <= 1)).all()
    assert belief.weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert 0 <= belief.no_fault <= 1
    for name in rules.findings:
        rows = belief.predict(Spot(name))
        assert (rows >= 0).all()
        assert rows.sum(axis=1) == pytest.approx(np.ones(belief.kept), abs=1e-9)


@given(seeds)
def test_order_changes_nothing(seed: int) -> None:
    rules, evidence = visit(seed)
    items = list(evidence.items())
    np.random.default_rng(seed + 1).shuffle(items)
    network = build(rules, {})

    np.testing.assert_array_equal(
        believe(network, dict(items)).chances, believe(network, evidence).chances
    )


@given(seeds)
def test_a_retracted_answer_leaves_no_trace(seed: int) -> None:
    rules, evidence = visit(seed)
    network = build(rules, {})
    before = believe(network, evidence)
    extra = next(Spot(name) for name in rules.findings)
    without = {spot: row for spot, row in evidence.items() if spot != extra}
    believe(network, {**evidence, extra: np.eye(len(rules.findings[extra.id].states))[-1]})

    np.testing.assert_array_equal(believe(network, evidence).chances, before.chances)
    np.testing.assert_array_equal(
        believe(network, without).chances, believe(build(rules, {}), without).chances
    )


@given(seeds)
def test_not_sure_says_nothing(seed: int) -> None:
    """A flat likelihood, at full effort, leaves every chance where it was."""
    rules, evidence = visit(seed, causes=7)
    network = build(rules, {})
    spot = Spot(next(iter(rules.findings)))
    without = {each: row for each, row in evidence.items() if each != spot}
    flat = np.full(len(rules.findings[spot.id].states), 0.4)

    np.testing.assert_allclose(
        believe(network, {**without, spot: flat}, ALL).chances,
        believe(network, without, ALL).chances,
        atol=1e-12,
    )


def corner_rules() -> Library:
    return garage.library(
        [
            garage.finding("felt", ["none", "slight", "strong"]),
            garage.finding("dial", ["within", "beyond"], scope=Scope.CORNER),
        ],
        [
            garage.cause("bent", {"felt": "often", "dial": "usually"}, scope=Scope.CORNER),
            garage.cause("heavy", {"felt": "usually"}, "0.010", scope=Scope.CORNER),
            garage.cause("shaft", {"felt": "sometimes"}, "0.010"),
        ],
    )


@pytest.mark.parametrize("reading", [[1.0, 0.0], [1.0, 0.05]])
def test_a_good_reading_leaves_the_other_corners_alone(reading: list[float]) -> None:
    """Odds between any two causes that stand elsewhere stay as they were."""
    network = build(corner_rules(), {})
    felt = {Spot("felt"): np.array([0.0, 0.0, 1.0])}
    good = {**felt, Spot("dial", Corner.LF): np.array(reading)}
    after = believe(network, good, ALL)

    def single(belief: Belief, spot: Spot) -> float:
        rows = [row for row in range(belief.kept) if belief.set_spots(row) == (spot,)]
        return float(belief.sets.weights[rows[0]])

    first = believe(network, felt, ALL)
    others = [node.spot for node in network.causes if node.spot != Spot("bent", Corner.LF)]
    ratios = [single(after, spot) / single(first, spot) for spot in others]
    assert ratios == pytest.approx([ratios[0]] * len(others), rel=1e-9)
    assert after.chances[network.index[Spot("bent", Corner.LF)]] < 0.3 * first.chances[0]


@pytest.mark.parametrize(("strength", "leads"), [("nearly always", "a"), ("seldom", "b")])
def test_the_stronger_rule_leads(strength: str, leads: str) -> None:
    rules = garage.library(
        [garage.finding("f")],
        [garage.cause("a", {"f": strength}), garage.cause("b", {"f": "often"})],
    )
    belief = believe(build(rules, {}), {Spot("f"): np.array([0.0, 1.0])})

    assert belief.network.causes[int(belief.chances.argmax())].spot.id == leads


@pytest.mark.parametrize("seed", range(6))
def test_all_findings_together_as_one_by_one(seed: int) -> None:
    """The likelihoods worked out together equal the states weighted with the evidence."""
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=7)
    evidence = garage.random_evidence(rng, rules)
    belief = believe(build(rules, {}), evidence)
    graded = [spot for spot in evidence if belief.network.findings[spot].graded]
    together = belief.explain_graded(graded)

    assert graded
    for f, spot in enumerate(graded):
        alone = belief.explain(spot) @ evidence[spot]
        np.testing.assert_allclose(together[:, f], alone, rtol=1e-9, atol=1e-15)
