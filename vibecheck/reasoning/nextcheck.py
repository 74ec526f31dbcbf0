"""Which check to do next: what it is expected to tell and to save, per minute.

For every check that a live cause names, all outcomes it can have are weighed: how much the
uncertainty about the set of causes falls (mutual information, [bit]) and how much the expected
cost to resolve falls ([min]). Both are divided by the check's own minutes plus the way to its
access state. Checks marked `safety` come first whatever they are worth.

Outcomes are taken as states of the findings; a check with many findings is judged by those that
tell most, up to `MOST_OUTCOMES` combinations, so its worth is never overstated.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Place
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief
from vibecheck.reasoning.cure import Cures, cost_to_resolve
from vibecheck.reasoning.network import finding_spots, spots

Array = NDArray[np.float64]

MINUTES_PER_BIT = 6.0  # what a bit is worth beside the minutes it saves at once
LEAST_MINUTES = 1.0  # even a question takes this long
MOST_OUTCOMES = 36
CLOSELY_WEIGHED = 48  # checks for which the saving in minutes is worked out
NEAR_TIE = 0.85
NEGLIGIBLE_BITS = 0.002


@dataclass(frozen=True)
class Situation:
    """Where the person stands and what is done already.

    ways : the access graph from the present position.
    done : checks that are finished, skipped, or cannot be done here.
    closed : findings that have an answer, or of which the person is not sure.
    again : measured findings whose reading is undecided, to be measured again, with the
        likelihood of the present reading, shape (states,).
    tools : tools at hand; None means all.
    prune_below : probability under which a cause is no longer live [unitless].
    """

    ways: Ways
    done: Collection[Spot] = ()
    closed: Collection[Spot] = ()
    again: Mapping[Spot, Array] = field(default_factory=dict)
    tools: Collection[str] | None = None
    prune_below: float = 0.01

    @property
    def place(self) -> Place:
        """Where the person stands."""
        return self.ways.place


@dataclass(frozen=True)
class Option:
    """A check that could be done next; gains in [bit] and [min], score in [min per min]."""

    spot: Spot
    rule: Check
    asks: tuple[Spot, ...]
    repeats: tuple[Spot, ...]
    minutes: float
    access_minutes: float
    here: bool
    gain: float
    saves: float
    score: float
    near_tie: bool = False

    @property
    def cost(self) -> float:
        """Minutes including the way to it."""
        return self.minutes + self.access_minutes


def options(belief: Belief, cures: Cures, situation: Situation) -> tuple[Option, ...]:
    """All checks worth doing, best first; safety checks before all others."""
    predictor = _Predictor(belief, situation)
    rough = [
        option
        for spot, rule in _candidates(belief, situation)
        if (option := _rough(predictor, spot, rule, situation)) is not None
    ]
    rough.sort(key=lambda option: (-option.gain / max(option.cost, LEAST_MINUTES)))
    safety = [option for option in rough if option.rule.safety]
    others = [option for option in rough if not option.rule.safety]
    weighed = [
        _weigh(predictor, cures, option) for option in [*safety, *others[:CLOSELY_WEIGHED]]
    ]
    weighed.sort(key=_order)
    return _mark_ties(weighed)


def _order(option: Option) -> tuple[bool, float, str]:
    return (not (option.rule.safety and option.here), -option.score, str(option.spot))


def _candidates(belief: Belief, situation: Situation) -> list[tuple[Spot, Check]]:
    library, facts = belief.network.library, belief.network.facts
    live = {
        node.spot
        for node, chance in zip(belief.network.causes, belief.chances, strict=True)
        if chance >= situation.prune_below
    }
    named: dict[str, set[Spot]] = {}
    for cause in live:
        for check in library.causes[cause.id].confirm_by:
            named.setdefault(check, set()).add(cause)
    found = []
    for rule in library.checks.values():
        for spot in spots(rule, facts):
            if spot in situation.done or _must_wait(belief, rule, spot, situation):
                continue
            wanted = any(
                spot.corner is None or cause.corner in (None, spot.corner)
                for cause in named.get(rule.id, ())
            )
            if wanted or rule.safety or rule.kind is CheckKind.QUESTION:
                found.append((spot, rule))
    return found


def _must_wait(belief: Belief, rule: Check, spot: Spot, situation: Situation) -> bool:
    """True while a check that has to come first is still to be done at this place."""
    library, facts = belief.network.library, belief.network.facts
    for before in rule.ask_after:
        first = library.checks[before]
        if situation.place not in first.places:
            continue
        for other in spots(first, facts):
            if other.corner in (None, spot.corner) and other not in situation.done:
                return True
    return False


class _Predictor:
    """Chance of each state of a finding under each kept set, worked out once."""

    def __init__(self, belief: Belief, situation: Situation) -> None:
        self.belief = belief
        self.weights = belief.weights
        self._again = situation.again
        self._known: dict[Spot, tuple[Array, float]] = {}

    def states(self, spot: Spot) -> tuple[Array, float]:
        """(k, states) chances, and the bits the finding alone is expected to tell."""
        if spot not in self._known:
            chances = self.belief.predict(spot)
            if spot in self._again:
                chances = chances * self._again[spot]
                chances = chances / chances.sum(axis=1, keepdims=True)
            self._known[spot] = (chances, mutual_information(self.weights, chances))
        return self._known[spot]

    def outcomes(self, asks: tuple[Spot, ...]) -> Array:
        """(k, outcomes) chances of the combined states of the findings that tell most."""
        table = np.ones((len(self.weights), 1))
        for spot in sorted(asks, key=lambda each: (-self.states(each)[1], str(each))):
            chances, bits = self.states(spot)
            size = table.shape[1] * chances.shape[1]
            if table.shape[1] > 1 and (size > MOST_OUTCOMES or bits < NEGLIGIBLE_BITS):
                continue
            table = (table[:, :, None] * chances[:, None, :]).reshape(len(table), size)
        return table


def mutual_information(weights: Array, chances: Array) -> float:
    """Expected fall of the uncertainty about the set, from its outcomes [bit].

    Parameters
    ----------
    weights : (k,) weights of the sets, summing to 1 [unitless].
    chances : (k, o) chance of each outcome under each set, rows summing to 1 [unitless].
    """
    overall = weights @ chances
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.where(chances > 0, np.log2(chances / np.maximum(overall, 1e-300)), 0.0)
    return max(float(weights @ (chances * logs).sum(axis=1)), 0.0)


def _rough(
    predictor: _Predictor, spot: Spot, rule: Check, situation: Situation
) -> Option | None:
    network = predictor.belief.network
    seen = [each for id_ in rule.yields for each in _spots_of(predictor, id_, spot)]
    asks = tuple(
        each
        for each in seen
        if each in network.findings and (each not in situation.closed or each in situation.again)
    )
    if not asks:
        return None
    outcomes = predictor.outcomes(asks)
    gain = mutual_information(predictor.weights, outcomes)
    if gain < NEGLIGIBLE_BITS and not rule.safety:
        return None
    here = situation.place in rule.places and _has_tools(rule, situation)
    if not here and (Place.BAY not in rule.places or situation.place is Place.BAY):
        return None
    way = situation.ways.to(rule.access, spot.corner, here=here)
    repeats = tuple(each for each in asks if each in situation.again)
    return Option(
        spot, rule, asks, repeats, rule.minutes, way.minutes, way.here, gain, 0.0, 0.0
    )


def _spots_of(predictor: _Predictor, finding_id: str, spot: Spot) -> tuple[Spot, ...]:
    finding = predictor.belief.network.library.findings[finding_id]
    return finding_spots(finding, spot.corner)


def _has_tools(rule: Check, situation: Situation) -> bool:
    return situation.tools is None or all(tool in situation.tools for tool in rule.tools)


def _weigh(predictor: _Predictor, cures: Cures, option: Option) -> Option:
    """Work out the expected saving in minutes and the score."""
    outcomes = predictor.outcomes(option.asks)
    joint = predictor.weights[:, None] * outcomes
    overall = joint.sum(axis=0)
    after = (joint / np.maximum(overall, 1e-300)).T
    now = float(cost_to_resolve(cures.chances(predictor.weights)[None], cures.efforts)[0])
    then = float(overall @ cost_to_resolve(cures.chances(after), cures.efforts))
    saves = max(now - then, 0.0)
    score = (saves + MINUTES_PER_BIT * option.gain) / max(option.cost, LEAST_MINUTES)
    return replace(option, saves=saves, score=score)


def _mark_ties(ordered: list[Option]) -> tuple[Option, ...]:
    """Mark the options whose score is nearly that of the best of their rank."""
    marked: list[Option] = []
    for urgent in (True, False):
        group = [option for option in ordered if (_order(option)[0] is False) is urgent]
        near = [option for option in group if option.score >= NEAR_TIE * group[0].score]
        marked += [
            replace(option, near_tie=len(near) > 1 and option in near) for option in group
        ]
    return tuple(marked)
