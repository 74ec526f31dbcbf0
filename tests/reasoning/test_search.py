"""The search against plain enumeration and against itself with more effort."""

from __future__ import annotations

import garage
import numpy as np
import oracle
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.reasoning.evidence import Split, split
from vibecheck.reasoning.network import build
from vibecheck.reasoning.search import Effort, grow

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6,
             bounded=True)
DEEP = Effort(cut=1e-9, worth=1.0, most_causes=6, most_branches=6000, most_cells=10**9)
USUAL = Effort(bounded=True)


def table_of(seed: int, causes: int = 9, which_: int = 3, soft: float = 0.3) -> Split:
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=causes, which_=which_)
    return split(build(rules, {}), garage.random_evidence(rng, rules, soft=soft))


@given(st.integers(0, 10_000))
def test_all_sets_are_met_once(seed: int) -> None:
    sets = grow(table_of(seed, causes=7), ALL)

    found = {tuple(sorted(row[row >= 0])) for row in sets.members}
    assert len(found) == len(sets.members) == 2 ** len(sets.chances)
    assert sets.weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert (np.diff(sets.weights) <= 0).all()
    assert sets.left_out == 0.0


@given(st.integers(0, 10_000))
def test_little_effort_stays_within_what_it_says_is_left_out(seed: int) -> None:
    """Plain answers to graded findings: the bound is a law there."""
    table = table_of(seed, which_=0, soft=0.0)
    exact = grow(table, ALL)
    for effort in (USUAL, Effort(most_branches=3, bounded=True),
                   Effort(most_causes=2, bounded=True), Effort(cut=0.01, bounded=True)):
        short = grow(table, effort)
        missed = 1.0 - np.exp(short.log_total - exact.log_total)
        assert missed <= short.left_out + 1e-12
        assert np.abs(short.chances - exact.chances).max() <= short.left_out + 1e-12


def test_with_mixing_findings_and_soft_answers_it_is_an_estimate() -> None:
    """Strengths and answers drawn at random: of the right size, and chances close all the same."""
    ratios, errors = [], []
    for seed in range(60):
        table = table_of(seed)
        exact, short = grow(table, ALL), grow(table, USUAL)
        error = float(np.abs(short.chances - exact.chances).max())
        errors.append(error)
        ratios.append(error / short.left_out if error > 1e-9 else 0.0)

    assert np.median(ratios) < 1.5
    assert np.quantile(ratios, 0.95) < 10.0
    assert max(errors) < 0.0002


@pytest.mark.parametrize("seed", range(4))
def test_a_network_of_full_size_is_answered_closely(seed: int) -> None:
    """200 causes, 25 findings of which 12 in doubt, one or two faults: chances to 0.002."""
    rules = garage.large_library()
    rng = np.random.default_rng(seed)
    hidden = [Spot(f"c{seed}", Corner.LF), *([Spot("c60")] if seed % 2 else [])]
    table = split(build(rules, {}), garage.drawn_evidence(rng, rules, hidden))
    usual, deep = grow(table, USUAL), grow(table, DEEP)

    error = np.abs(usual.chances - deep.chances).max()

    assert len(table.active) == 200
    assert error < 0.002 and error <= usual.apart + 1e-4 and usual.apart < 0.02
    assert 1.0 - np.exp(usual.log_total - deep.log_total) <= usual.left_out < 0.05


def test_weights_of_a_small_case_by_hand() -> None:
    """Two causes of 0.1 each, noisy-OR of 0.8 and 0.5 with leak 0.1, answer yes."""
    rules = garage.library(
        [garage.finding("f", leak="0.100")],
        [garage.cause("a", {"f": "0.800"}, "0.100"), garage.cause("b", {"f": "0.500"}, "0.100")],
    )
    sets = grow(split(build(rules, {}), {Spot("f"): np.array([0.0, 1.0])}))
    weights = {
        (): 0.81 * 0.1,
        (0,): 0.09 * (1 - 0.9 * 0.2),
        (1,): 0.09 * (1 - 0.9 * 0.5),
        (0, 1): 0.01 * (1 - 0.9 * 0.2 * 0.5),
    }
    total = sum(weights.values())

    for row, weight in zip(sets.members, sets.weights, strict=True):
        assert weight == pytest.approx(weights[tuple(sorted(row[row >= 0]))] / total)
    assert sets.none == pytest.approx(weights[()] / total)
    assert sets.log_total == pytest.approx(np.log(total / 0.81))


def test_evidence_against_everything_does_not_underflow() -> None:
    """130 findings that hardly anything explains, each of chance 0.001: 1e-390, still proper."""
    findings = [garage.finding(f"f{n}", leak="0.001") for n in range(130)]
    rules = garage.library(
        findings, [garage.cause("a", {"f0": "often"}), garage.cause("b", {"f0": "seldom"})]
    )
    evidence = {Spot(each.id): np.array([0.0, 1.0]) for each in findings}
    sets = grow(split(build(rules, {}), evidence))
    weights = oracle.posterior(rules, {Spot("f0"): [0.0, 1.0]})

    assert sets.log_total < np.log(1e-300)
    assert sets.weights.sum() == pytest.approx(1.0)
    expected = oracle.chances(rules, weights)
    assert sets.chances == pytest.approx([expected["a"], expected["b"]])


def test_impossible_evidence_is_refused() -> None:
    rules = garage.library([garage.finding("f")], [garage.cause("a", {"f": "often"})])
    table = split(build(rules, {}), {Spot("f"): np.array([1.0, 1.0])})
    table.steps[:] = 0.0

    with pytest.raises(ValueError, match="no set of causes"):
        grow(table)


def test_no_causes_at_all() -> None:
    rules = garage.library([garage.finding("f")], [])
    sets = grow(split(build(rules, {}), {Spot("f"): np.array([0.0, 1.0])}), USUAL)

    assert (sets.none, sets.left_out, len(sets.members)) == (1.0, 0.0, 1)
def test_the_drawn_sets_stand_for_all_that_are_not_kept() -> None:
    """Few heaviest sets alone miss what the many light ones say together; drawn ones do not."""
    alone: list[float] = []
    drawn: list[float] = []
    for seed in range(30):
        table = table_of(seed)
        exact = grow(table, ALL).chances
        for effort, errors in (
            (Effort(most_listed=60, most_kept=20, drawn=0), alone),
            (Effort(most_listed=60, most_kept=20, drawn=200), drawn),
        ):
            sets = grow(table, effort)
            has = np.zeros((sets.kept, len(exact) + 1))
            np.put_along_axis(has, sets.kept_members, 1.0, axis=1)
            errors.append(float(np.abs(sets.kept_weights @ has[:, :-1] - exact).max()))
            assert sets.kept_weights.sum() == pytest.approx(1.0)

    assert np.mean(drawn) < 0.2 * np.mean(alone)
