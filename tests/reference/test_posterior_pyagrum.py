"""The posterior of a 12-cause network against pyagrum's exact inference.

Reference: pyagrum (aGrUM), a general-purpose library for Bayesian networks: variable
elimination over the same network with every table written out, likelihood evidence its own.
The networks are invented.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import warnings
from collections.abc import Mapping

import garage
import numpy as np
import oracle
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Core, Finding, Spot
from vibecheck.knowledge.words import Aspect, Scale
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.network import build
from vibecheck.reasoning.search import Effort

with warnings.catch_warnings():
    # The types of its binding layer carry no module name, which Python 3.12 and later dislike.
    warnings.filterwarnings("ignore", "builtin type .* has no __module__", DeprecationWarning)
    import pyagrum

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6, most_kept=10**6)


def tables(rules: Library) -> pyagrum.BayesNet:
    """The whole network with a table for each finding over all states of its causes."""
    net = pyagrum.BayesNet("invented")
    for cause in rules.causes.values():
        net.add(pyagrum.LabelizedVariable(cause.id, cause.id, 2))
        rate = rules.rates[cause.rate].probability
        net.cpt(cause.id).fillWith([1 - rate, rate])
    values = {name: word.probability for name, word in rules.strengths.items()}
    for finding in rules.findings.values():
        net.add(pyagrum.LabelizedVariable(finding.id, finding.id, len(finding.states)))
        parents = [each.id for each in rules.causes.values() if finding.id in each.shows]
        for parent in parents:
            net.addArc(parent, finding.id)
        leak = shares(values, finding, finding.leak)
        rows = {each: shares(values, finding, rules.causes[each].shows[finding.id])
                for each in parents}  # fmt: skip
        for present in itertools.product((0, 1), repeat=len(parents)):
            there = [rows[name] for name, flag in zip(parents, present, strict=True) if flag]
            row = written_out(finding, leak, there)
            net.cpt(finding.id)[dict(zip(parents, present, strict=True))] = row
    return net


def shares(
    values: Mapping[str, float], finding: Finding, strength: str | Mapping[str, str]
) -> list[float]:
    if isinstance(strength, str):
        others = len(finding.states) - 1
        return [1 - values[strength], *[values[strength] / others] * others]
    raw = [values[strength[s]] if s in strength else 0.01 for s in finding.states]
    return [each / math.fsum(raw) for each in raw]


def written_out(
    finding: Finding, leak: list[float], rows: list[list[float]]
) -> list[float]:
    """One row of a finding's table: noisy-max as a sum over who reaches which state.

    The state seen is the highest that any present cause, or the leak, brings about by itself.
    """
    count = len(finding.states)
    if finding.scale is Scale.WHICH:
        if not rows:
            return [1 / count] * count
        return [math.fsum(row[s] for row in rows) / len(rows) for s in range(count)]
    highest = leak
    for row in rows:
        joint = [0.0] * count
        for one, other in itertools.product(range(count), repeat=2):
            joint[max(one, other)] += highest[one] * row[other]
        highest = joint
    return highest


def exact(net: pyagrum.BayesNet, evidence: Mapping[Spot, np.ndarray]) -> pyagrum.LazyPropagation:
    inference = pyagrum.LazyPropagation(net)
    inference.setEvidence({spot.id: row.tolist() for spot, row in evidence.items()})
    inference.makeInference()
    return inference


def agrees(belief: Belief, inference: pyagrum.LazyPropagation, known: Mapping) -> None:
    for node, chance in zip(belief.network.causes, belief.chances, strict=True):
        reference = inference.posterior(node.spot.id).toarray()[1]
        assert chance == pytest.approx(float(reference), abs=1e-9)
    for spot in belief.network.findings:
        if spot not in known:
            reference = inference.posterior(spot.id).toarray()
            assert belief.weights @ belief.predict(spot) == pytest.approx(reference, abs=1e-9)


@pytest.mark.parametrize("seed", [2, 71, 828])
def test_noisy_max_and_mixing_with_soft_evidence(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=12)
    evidence = garage.random_evidence(rng, rules, soft=0.4, silent=0.3)
    belief = believe(build(rules, {}), evidence, ALL)

    assert any(not np.isin(row, (0.0, 1.0)).all() for row in evidence.values())
    assert len(evidence) < len(rules.findings)
    agrees(belief, exact(tables(rules), evidence), evidence)


@pytest.mark.parametrize("seed", [31, 415])
def test_findings_of_which_every_cause_speaks(seed: int) -> None:
    """A core profile: what is usual is written out for the causes without a word."""
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=8, graded=4, which_=2)
    core = {name: Core(id=name, aspect=Aspect.WHEN) for name in ("g0", "g1", "w1")}
    rules = dataclasses.replace(rules, core=core)
    evidence = garage.random_evidence(rng, rules, soft=0.4, silent=0.3)
    belief = believe(build(rules, {}), evidence, ALL)
    full = oracle.with_usual_words(rules, None)

    assert any(node.usual for node in belief.network.findings.values())
    agrees(belief, exact(tables(full), evidence), evidence)


@pytest.mark.parametrize("seed", [5, 6])
def test_noisy_or_of_the_library_itself(seed: int) -> None:
    """Findings of two states, by pyagrum's own noisy-OR nodes instead of written tables."""
    rng = np.random.default_rng(seed)
    findings = [garage.finding(f"f{n}", leak="0.050") for n in range(8)]
    rules = garage.library(
        findings,
        [
            garage.cause(
                f"c{n}",
                {f.id: garage.word(rng.uniform(0.1, 0.95)) for f in findings if rng.random() < 0.5},
                garage.word(rng.uniform(0.01, 0.1)),
            )
            for n in range(12)
        ],
    )
    net = pyagrum.BayesNet("noisy or")
    for cause in rules.causes.values():
        net.add(pyagrum.LabelizedVariable(cause.id, cause.id, 2))
        rate = rules.rates[cause.rate].probability
        net.cpt(cause.id).fillWith([1 - rate, rate])
    for finding in findings:
        net.addNoisyORNet(pyagrum.LabelizedVariable(finding.id, finding.id, 2), 0.05)
        for cause in rules.causes.values():
            if finding.id in cause.shows:
                strength = rules.strengths[cause.shows[finding.id]].probability
                net.addWeightedArc(cause.id, finding.id, strength)
    evidence = {
        Spot(f"f{n}"): np.array(row)
        for n, row in enumerate([[0.0, 1.0], [0.0, 1.0], [0.2, 1.0], [1.0, 0.0], [0.9, 0.3]])
    }

    agrees(believe(build(rules, {}), evidence, ALL), exact(net, evidence), evidence)
