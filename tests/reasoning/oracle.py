"""Plain enumeration of all sets of causes, straight from the definition of the rule graph.

Reads the rules themselves, works with dicts and products, and shares no code with the product:

    prior        product over causes of p (present) or 1 - p (absent)
    graded       noisy-max with a leak: P(state at most s | set) is the product over the causes
                 present, and the leak, of each one's own P(state at most s)
    which        the plain mean of the distributions of the causes present that speak to it;
                 the background if none does
    evidence     a likelihood over the states of each observed finding (soft or hard)
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from msgspec import structs

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Spot, Strength, StrengthWord
from vibecheck.knowledge.words import Aspect, Scale

Present = frozenset[str]


def with_usual_words(rules: Library, complaint: str | None) -> Library:
    """The same rules with a word written out for every cause on every core finding.

    A cause that has none takes the mean of those that have, each as heavy as its prior odds, and
    as its share of the complaint of this kind if that is known.
    """
    causes = dict(rules.causes)
    weights = {
        each.id: rules.rates[each.rate].probability / (1 - rules.rates[each.rate].probability)
        for each in causes.values()
    }
    strengths = dict(rules.strengths)
    kinds = [each.id for each in rules.core.values() if each.aspect is Aspect.KIND]
    for name in [*kinds, *(each for each in rules.core if each not in kinds)]:
        finding = rules.findings[name]
        full = Library(**{**vars_of(rules), "causes": causes, "strengths": strengths})
        said = {
            each.id: alone(full, finding, each.shows[name])
            for each in causes.values() if name in each.shows
        }  # fmt: skip
        total = math.fsum(weights[each] for each in said)
        usual = [
            math.fsum(weights[each] * row[s] for each, row in said.items()) / total
            for s in range(len(finding.states))
        ]
        words = {state: f"{name} {state}" for state in finding.states}
        for state, share in zip(finding.states, usual, strict=True):
            strengths[words[state]] = StrengthWord(word=words[state], probability=share)
        for each in list(causes.values()):
            if each.id not in said:
                causes[each.id] = structs.replace(each, shows={**each.shows, name: words})
        if name in kinds and complaint is not None:
            full = Library(**{**vars_of(rules), "causes": causes, "strengths": strengths})
            at = list(finding.states).index(complaint)
            for each in causes.values():
                weights[each.id] *= alone(full, finding, each.shows[name])[at]
    return Library(**{**vars_of(rules), "causes": causes, "strengths": strengths, "core": {}})


def vars_of(rules: Library) -> dict[str, Any]:
    return {each.name: getattr(rules, each.name) for each in dataclasses.fields(rules)}


def alone(rules: Library, finding: Finding, strength: Strength) -> list[float]:
    """Chance of each state with one cause alone, as the words say."""
    states = list(finding.states)
    if isinstance(strength, str):
        abnormal = rules.strengths[strength].probability
        return [1 - abnormal] + [abnormal / (len(states) - 1)] * (len(states) - 1)
    parts = [
        rules.strengths[strength[state]].probability if state in strength else 0.01
        for state in states
    ]
    return [part / sum(parts) for part in parts]


def given(rules: Library, finding: Finding, present: Iterable[str]) -> list[float]:
    """Chance of each state of a finding for a set of causes (all of the whole vehicle)."""
    named = [
        alone(rules, finding, rules.causes[each].shows[finding.id])
        for each in present
        if finding.id in rules.causes[each].shows
    ]
    count = len(finding.states)
    if finding.scale is Scale.WHICH:
        if not named:
            background = finding.background
            return alone(rules, finding, background) if background else [1 / count] * count
        return [sum(row[s] for row in named) / len(named) for s in range(count)]
    named.append(alone(rules, finding, finding.leak))
    at_most = [math.prod(sum(row[: s + 1]) for row in named) for s in range(count)]
    return [at_most[0]] + [at_most[s] - at_most[s - 1] for s in range(1, count)]


def rows_of(rules: Library, finding: str) -> Callable[[Iterable[str]], list[float]]:
    """`given` for one finding; worked out once for all sets with the same causes that show it."""
    known: dict[Present, list[float]] = {}
    shows = {cause.id for cause in rules.causes.values() if finding in cause.shows}

    def row(present: Iterable[str]) -> list[float]:
        speak = frozenset(each for each in present if each in shows)
        if speak not in known:
            known[speak] = given(rules, rules.findings[finding], sorted(speak))
        return known[speak]

    return row


def prior(rules: Library, present: Present) -> float:
    """Chance of exactly this set of causes."""
    return math.prod(
        rules.rates[cause.rate].probability
        if cause.id in present
        else 1 - rules.rates[cause.rate].probability
        for cause in rules.causes.values()
    )


def posterior(
    rules: Library, evidence: Mapping[Spot, Sequence[float]]
) -> dict[Present, float]:
    """Weight of every set of causes given the evidence, summing to 1."""
    weights: dict[Present, float] = {}
    rows = {spot: rows_of(rules, spot.id) for spot in evidence}
    for size in range(len(rules.causes) + 1):
        for names in itertools.combinations(rules.causes, size):
            weight = prior(rules, frozenset(names))
            for spot, likelihood in evidence.items():
                chances = rows[spot](names)
                weight *= sum(a * b for a, b in zip(chances, likelihood, strict=True))
            weights[frozenset(names)] = weight
    total = math.fsum(weights.values())
    return {present: weight / total for present, weight in weights.items()}


def chances(rules: Library, weights: Mapping[Present, float]) -> dict[str, float]:
    """Probability of each cause."""
    return {
        name: math.fsum(weight for present, weight in weights.items() if name in present)
        for name in rules.causes
    }


def predict(rules: Library, weights: Mapping[Present, float], finding: str) -> list[float]:
    """Probability of each state of a finding, over all sets."""
    total = [0.0] * len(rules.findings[finding].states)
    row_of = rows_of(rules, finding)
    for present, weight in weights.items():
        row = row_of(present)
        total = [old + weight * new for old, new in zip(total, row, strict=True)]
    return total


def information(
    rules: Library, weights: Mapping[Present, float], findings: Sequence[str]
) -> float:
    """Mutual information of the set of causes and some findings together [bit]."""
    states = [range(len(rules.findings[each].states)) for each in findings]
    rows = {
        present: [given(rules, rules.findings[each], present) for each in findings]
        for present in weights
    }
    bits = 0.0
    for outcome in itertools.product(*states):
        joint = {
            present: weight * math.prod(rows[present][f][s] for f, s in enumerate(outcome))
            for present, weight in weights.items()
        }
        total = math.fsum(joint.values())
        bits += math.fsum(
            part * math.log2(part / (weights[present] * total))
            for present, part in joint.items()
            if part > 0
        )
    return bits
