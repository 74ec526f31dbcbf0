"""A network of 150 causes against an exact sum of another kind.

Reference: D. Heckerman, "A tractable inference algorithm for diagnosing multiple diseases",
UAI 1989 (from memory). Two-level noisy-OR networks: the chance of some findings being present
is written by inclusion and exclusion over the subsets of these findings, each term a product
over causes that needs no sets of causes at all. The work is 2 to the power of the number of
findings present, whatever the number of causes, and the result is exact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

import garage
import numpy as np
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.network import build
from vibecheck.reasoning.search import Effort

LEAK = 0.04


def quickscore(
    rules: Library, present: list[str], absent: list[str]
) -> tuple[float, dict[str, float]]:
    """Chance of the findings, and posterior of each cause, by inclusion and exclusion."""
    rates = {each.id: rules.rates[each.rate].probability for each in rules.causes.values()}
    total, with_cause = [], {name: [] for name in rates}
    for size in range(len(present) + 1):
        for subset in itertools.combinations(present, size):
            off = [*absent, *subset]
            fails = {name: stays_off(rules, name, off) for name in rates}
            term = (-1) ** size * (1 - LEAK) ** len(off)
            for name, rate in rates.items():
                term *= 1 - rate + rate * fails[name]
            total.append(term)
            for name, rate in rates.items():
                share = rate * fails[name] / (1 - rate + rate * fails[name])
                with_cause[name].append(term * share)
    chance = math.fsum(total)
    return chance, {name: math.fsum(terms) / chance for name, terms in with_cause.items()}


def stays_off(rules: Library, cause: str, findings: list[str]) -> float:
    shows: Mapping = rules.causes[cause].shows
    return math.prod(
        1 - rules.strengths[shows[each]].probability for each in findings if each in shows
    )


def network_of(seed: int) -> Library:
    """150 invented causes, 30 findings of two states, rates that sum to about 0.35."""
    rng = np.random.default_rng(seed)
    findings = [garage.finding(f"f{n}", leak="rarely") for n in range(30)]
    return garage.library(
        findings,
        [
            garage.cause(
                f"c{n}",
                {
                    f.id: garage.word(rng.uniform(0.1, 0.95))
                    for f in findings
                    if rng.random() < 0.25
                },
                garage.word(float(rng.choice([0.001, 0.002, 0.005]))),
            )
            for n in range(150)
        ],
    )


def errors_of(
    rules: Library, present: list[str], absent: list[str]
) -> tuple[float, float, float]:
    """Largest error of a chance with the usual effort, what it says is left out and may be off."""
    answers = {Spot(name): np.array([0.0, 1.0]) for name in present}
    answers |= {Spot(name): np.array([1.0, 0.0]) for name in absent}
    belief = believe(build(rules, {}), answers, Effort(bounded=True))
    _, chances = quickscore(rules, present, absent)
    errors = [
        abs(chance - chances[node.spot.id])
        for node, chance in zip(belief.network.causes, belief.chances, strict=True)
    ]
    return max(errors), belief.sets.left_out, belief.sets.apart


@pytest.mark.parametrize(("seed", "count"), [(1, 6), (2, 8), (3, 10)])
def test_a_car_with_two_faults(seed: int, count: int) -> None:
    """Findings that two causes bring about: chances to 0.003."""
    rules = network_of(seed)
    named = {**rules.causes[f"c{seed}"].shows, **rules.causes[f"c{seed + 50}"].shows}
    present = sorted(named, key=lambda name: str(named[name]), reverse=True)[:count]
    absent = [name for name in rules.findings if name not in named][:8]
    error, left_out, apart = errors_of(rules, present, absent)

    assert error <= left_out and error <= apart
    assert error < 0.003


@pytest.mark.parametrize(("seed", "count"), [(1, 6), (2, 7), (3, 8), (4, 9)])
def test_findings_that_fit_no_car(seed: int, count: int) -> None:
    """Findings picked blindly take three or four faults to explain: the search owns up to it."""
    rules = network_of(seed)
    names = list(rules.findings)
    error, left_out, apart = errors_of(rules, names[:count], names[count : count + 8])

    assert error <= left_out and error <= apart
    assert error < 0.006


def test_two_findings_by_hand() -> None:
    """One cause, both findings present: 0.1 (1 - .96 * .2)(1 - .96 * .5) against 0.9 * 0.04^2."""
    rules = garage.library(
        [garage.finding("f0", leak="rarely"), garage.finding("f1", leak="rarely")],
        [garage.cause("c", {"f0": "0.800", "f1": "0.500"}, "0.100")],
    )
    chance, chances = quickscore(rules, ["f0", "f1"], [])
    caused = 0.1 * (1 - 0.96 * 0.2) * (1 - 0.96 * 0.5)

    assert chance == pytest.approx(caused + 0.9 * 0.04**2)
    assert chances["c"] == pytest.approx(caused / chance)
