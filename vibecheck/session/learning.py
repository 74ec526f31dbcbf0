"""Rates and strengths drawn from confirmed outcomes toward what was counted; proposals only.

Rates. Of the visits with a confirmed fault, a share has each fault. By the written rates a visit
with these facts and this kind of complaint has it with a known chance; the mean of that over the
visits is the written share. Counts and written shares make the proposed share
(`reasoning.shrinkage`), and the rates are changed by the factors under which the same visits come
out with the proposed shares. Only faults with `LEAST` visits, counted or expected, get a new rate;
their rates keep their sum, the others stay. The mix of complaints is the shop's, not the car's: it
is taken as it came.

Strengths. How often a confirmed fault, alone, was met with each state of a finding: a row of
counts for each fault, finding and, where the rules part them, axle.

Not learned: strengths on the kind of complaint (the visits are taken by it), speeds that physics
gives, findings that *are* the fault, findings on which the rules have no word; and of a fault that
stops the car no strength, and never a lower rate, since it is missed where it matters most.

Assumptions: a confirmed visit had that one fault; what was asked of a car depends on what was
answered before and on nothing else about the fault; speeds as on a typical car.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vibecheck.distributions import student_t_two_sided_95
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Spot
from vibecheck.knowledge.profile import follows_resonance
from vibecheck.knowledge.words import Axle, Danger, Scope, Side
from vibecheck.reasoning.network import FindingNode, Network, spots
from vibecheck.reasoning.rates import rate
from vibecheck.reasoning.shrinkage import (
    BetaShare,
    Row,
    balanced,
    own_share,
    own_weight,
    prior_weight,
    shrunk,
)
from vibecheck.session.inference import network_of
from vibecheck.session.outcomes import Closed, can_be_put_right

LEAST = 5  # visits, counted or expected, below which nothing is proposed
LEAST_SCORED = 30  # visits below which no score is worth comparing
LEAST_GAIN = 0.005  # nat a visit; a smaller difference is none that matters
FOLDS = 5
_LEAST_CHANCE = 1e-6  # of a state, so that a strength is no certainty
Array = NDArray[np.float64]


class Key(NamedTuple):
    """A strength: of a fault on a finding, at one axle or side where the rules part them."""

    cause: str
    finding: str
    at: Axle | Side | None


class Held(StrEnum):
    """Why a proposal keeps what is written."""

    TOO_FEW = "too_few"
    DANGER = "danger"


class HeldOutWord(StrEnum):
    """What the held-out score says of the proposals."""

    TOO_FEW = "too_few"
    BETTER = "better"
    NO_DIFFERENCE = "no_difference"
    WORSE = "worse"


@dataclass(frozen=True)
class RateProposal:
    """A fault's share of the confirmed visits, and the factor on its rate.

    seen : visits with it. expected : visits by the written rates.
    written, share : its share by the rules, and as proposed.
    factor : by which its rates are multiplied [unitless]; 1 where `held`.
    """

    cause: str
    seen: int
    expected: float
    written: float
    share: BetaShare
    factor: float
    held: Held | None


@dataclass(frozen=True)
class StrengthProposal:
    """How often a fault alone is met with each state of a finding; all shape (states,).

    counts : visits; broken where a reading lies between states.
    written : chance of each state by the rules. shares : as proposed.
    strength : the proposed chances without what the finding shows without any fault.
    """

    key: Key
    counts: Array
    written: Array
    shares: tuple[BetaShare, ...]
    strength: Array

    @property
    def cases(self) -> float:
        """How many answers were counted."""
        return float(self.counts.sum())


@dataclass(frozen=True)
class Score:
    """Log of the chance given to the confirmed fault at its place, mean over visits [nat].

    Every visit is scored by proposals from the visits of the other folds.
    gain : mean of after less before; spread : half the width of its 95 % interval.
    """

    visits: int
    before: float
    after: float
    gain: float
    spread: float
    verdict: HeldOutWord


@dataclass(frozen=True)
class Learned:
    """What the confirmed visits propose.

    rate_weight : what a written rate was taken to be worth [cases with the fault].
    strength_weight : what a written row of strengths was taken to be worth [cases].
    few : strengths with counts, but fewer than `LEAST`.
    moved : share of the visits that get another fault by the proposed rates [unitless].
    """

    visits: int
    rate_weight: float
    strength_weight: float
    rates: tuple[RateProposal, ...]
    strengths: tuple[StrengthProposal, ...]
    few: int
    moved: float
    score: Score

    @property
    def changes(self) -> tuple[RateProposal, ...]:
        """The rates that would change."""
        return tuple(each for each in self.rates if each.held is None)


@dataclass(frozen=True)
class _Proposed:
    """What proposals come to for scoring: factors on the odds, (causes at places,), and rows."""

    factors: Array
    rows: Mapping[Key, Array]


def learn(library: Library, visits: Sequence[Closed]) -> Learned:
    """Proposals from confirmed visits, and their held-out score.

    Parameters
    ----------
    visits : confirmed ones (`outcomes.Visits.confirmed`).
    """
    world = _World(library)
    found = world.learn(visits)
    return replace(found, score=_score(world, visits))


class _World:
    """The rules as tables of single faults, made once for each kind of complaint."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self._networks: dict[str | None, Network] = {}
        self._tables: dict[tuple[str | None, Spot], Array] = {}
        self._odds: dict[tuple[tuple[str, str], ...], Array] = {}
        self._weights: dict[tuple[tuple[tuple[str, str], ...], str | None], Array] = {}
        self._learned: dict[tuple[str | None, Spot], dict[int, Key]] = {}

    @property
    def network(self) -> Network:
        """The rules for any car, without a complaint."""
        return self.behind(None)

    def behind(self, complaint: str | None) -> Network:
        """The rules for any car with this complaint; causes stand in one order in all of them."""
        if complaint not in self._networks:
            self._networks[complaint] = network_of(self.library, {}, complaint)
        return self._networks[complaint]

    @cached_property
    def names(self) -> list[str]:
        """Faults that can be put right, in the order of their counts."""
        causes = self.library.causes.values()
        return [each.id for each in causes if can_be_put_right(self.library, each)]

    @cached_property
    def sums(self) -> Array:
        """1 where a cause at its place (row) is a fault (column)."""
        column = {name: place for place, name in enumerate(self.names)}
        made = np.zeros((len(self.network.causes), len(self.names)))
        for index, node in enumerate(self.network.causes):
            if node.spot.id in column:
                made[index, column[node.spot.id]] = 1.0
        return made

    def node(self, complaint: str | None, finding: Spot) -> FindingNode | None:
        return self.behind(complaint).findings.get(finding)

    def odds(self, facts: Mapping[str, str]) -> Array:
        """Prior odds of every cause at its place on a car with these facts, shape (causes,)."""
        key = tuple(sorted(facts.items()))
        if key not in self._odds:
            made = np.zeros(len(self.network.causes))
            for cause in self.library.causes.values():
                for spot in spots(cause, facts):
                    chance = rate(self.library, cause, facts, spot.corner)
                    made[self.network.index[spot]] = chance / (1.0 - chance)
            self._odds[key] = made
        return self._odds[key]

    def table(self, complaint: str | None, finding: Spot) -> Array | None:
        """Chance of each state given each cause alone, shape (causes, states); None if unknown."""
        key = (complaint, finding)
        if key not in self._tables:
            node = self.node(complaint, finding)
            if node is None:
                return None
            made = np.tile(_alone(node, None), (len(self.network.causes), 1))
            for index, row in node.rows.items():
                made[index] = _alone(node, row)
            self._tables[key] = made
        return self._tables[key]

    def shares(self, visits: Sequence[Closed]) -> Array:
        """Chance of each fault of each visit by its facts and complaint, (visits, faults)."""
        made = np.empty((len(visits), len(self.names)))
        for place, visit in enumerate(visits):
            key = (tuple(sorted(visit.facts.items())), visit.complaint)
            if key not in self._weights:
                self._weights[key] = self._weighed(visit)
            made[place] = self._weights[key]
        sums = made.sum(axis=1, keepdims=True)
        return np.asarray(made / np.where(sums > 0.0, sums, 1.0))

    def _weighed(self, visit: Closed) -> Array:
        """Weight of each fault by the facts and the complaint of a visit, (faults,)."""
        weights = self.odds(visit.facts)
        if visit.complaint is not None and self.library.complaint is not None:
            table = self.table(visit.complaint, Spot(self.library.complaint))
            states = list(self.library.findings[self.library.complaint].states)
            if table is not None:
                weights = weights * table[:, states.index(visit.complaint)]
        return np.asarray(weights @ self.sums)

    def learn(self, visits: Sequence[Closed]) -> Learned:
        rate_weight, rates, moved = self._rates(visits)
        rows = self._counted(visits)
        weight = prior_weight([row for row, _ in rows.values()])
        strengths = tuple(
            _strength(key, row, node, shrunk(row, weight))
            for key, (row, node) in rows.items() if row.cases >= LEAST
        )
        blank = Score(len(visits), 0.0, 0.0, 0.0, 0.0, HeldOutWord.TOO_FEW)
        return Learned(len(visits), rate_weight, weight, rates, strengths,
                       len(rows) - len(strengths), moved, blank)  # fmt: skip

    def _rates(self, visits: Sequence[Closed]) -> tuple[float, tuple[RateProposal, ...], float]:
        if not visits:
            return own_weight((), ()), (), 0.0
        shares = self.shares(visits)
        written = shares.mean(axis=0)
        counts = np.zeros(len(self.names))
        for visit in visits:
            if visit.cause is not None and visit.cause.id in self.names:
                counts[self.names.index(visit.cause.id)] += 1.0
        there = np.nonzero(written)[0]
        weight = own_weight(counts[there].tolist(), written[there].tolist())
        after = {int(at): own_share(counts[at], counts.sum(), written[at], weight) for at in there}
        wanted = np.array([after[at].value if at in after else 0.0 for at in range(len(counts))])
        raw = balanced(shares, wanted / wanted.sum())
        expected = len(visits) * written
        enough = np.maximum(counts, expected) >= LEAST
        factors = self._scaled(raw, enough)
        made = tuple(
            RateProposal(name, int(counts[at]), float(expected[at]), float(written[at]),
                         after[at], float(factors[at]),
                         self._held(name, bool(enough[at]), raw, factors, at))
            for at, name in enumerate(self.names)
            if at in after and (counts[at] or expected[at] >= 1.0)
        )
        new = shares * factors
        new /= np.where(new.any(axis=1), new.sum(axis=1), 1.0)[:, None]
        moved = 0.5 * float(np.abs(new.mean(axis=0) - written).sum())
        return weight, made, moved

    def _held(
        self, name: str, enough: bool, raw: Array, factors: Array, at: int
    ) -> Held | None:
        if not enough:
            return Held.TOO_FEW
        stops = self.library.causes[name].danger is Danger.STOP
        return Held.DANGER if stops and factors[at] == 1.0 and raw[at] != 1.0 else None

    def _scaled(self, raw: Array, enough: NDArray[np.bool_]) -> Array:
        """Factors that keep the sum of the rates they change; 1 for the others."""
        rates = self.network.odds @ self.sums
        factors: Array = np.ones(len(raw))
        if not enough.any():
            return factors
        factors[enough] = raw[enough] * rates[enough].sum() / (rates * raw)[enough].sum()
        stops = [self.library.causes[name].danger is Danger.STOP for name in self.names]
        kept: Array = np.where(stops, np.maximum(factors, 1.0), factors)
        return kept

    def _counted(self, visits: Sequence[Closed]) -> dict[Key, tuple[Row, FindingNode]]:
        """Counts of every strength that is learned, with a node of its finding."""
        found: dict[Key, tuple[Row, FindingNode]] = {}
        for visit in visits:
            if visit.cause is None or visit.cause not in self.network.index:
                continue
            index = self.network.index[visit.cause]
            for finding, likelihood in visit.evidence.items():
                node = self.node(visit.complaint, finding)
                table = self.table(visit.complaint, finding)
                key = self.keys(visit.complaint, finding).get(index)
                if node is None or table is None or key is None:
                    continue
                part = table[index] * likelihood
                if key not in found:
                    found[key] = (Row(np.zeros(len(part)), table[index]), node)
                found[key][0].counts[:] += part / part.sum()
        return found

    def keys(self, complaint: str | None, finding: Spot) -> dict[int, Key]:
        """The strengths of a finding that are learned, by the causes that they speak for."""
        key = (complaint, finding)
        if key not in self._learned:
            node = self.node(complaint, finding)
            causes = self.network.causes
            self._learned[key] = {} if node is None else {
                index: key_of(causes[index].rule, causes[index].spot, finding.id)
                for index in node.rows if self._is_learned(index, node)
            }
        return self._learned[key]

    def _is_learned(self, index: int, node: FindingNode) -> bool:
        cause = self.network.causes[index].rule
        return (
            index not in node.usual
            and node.rule.id != self.library.complaint
            and node.rule.id not in cause.seen_as
            and cause.danger is not Danger.STOP
            and not (node.rule.computed is not None and follows_resonance(cause))
        )

    def proposed(self, learned: Learned) -> _Proposed:
        """The proposals as the score needs them."""
        factors = np.ones(len(self.names))
        for each in learned.rates:
            factors[self.names.index(each.cause)] = each.factor
        whole = np.where(self.sums.any(axis=1), self.sums @ factors, 1.0)
        return _Proposed(whole, {each.key: each.strength for each in learned.strengths})

    def log_chance(
        self, visit: Closed, proposed: _Proposed | None, kept: dict[tuple[str | None, Spot], Array]
    ) -> float:
        """Log of the chance of the visit's fault at its place, among single faults [nat].

        Parameters
        ----------
        kept : tables with the proposed rows, filled as they are needed.
        """
        odds = self.odds(visit.facts)
        logs = np.log(np.maximum(odds if proposed is None else odds * proposed.factors, 1e-300))
        for finding, likelihood in visit.evidence.items():
            table = self.table(visit.complaint, finding)
            if table is None:
                continue
            if proposed is not None:
                key = (visit.complaint, finding)
                if key not in kept:
                    kept[key] = self._replaced(table, visit.complaint, finding, proposed)
                table = kept[key]
            logs = logs + np.log(np.maximum(table @ likelihood, 1e-300))
        if visit.cause is None:
            raise ValueError(visit.id)
        most = float(logs.max())
        whole = most + math.log(float(np.exp(logs - most).sum()))
        return float(logs[self.network.index[visit.cause]]) - whole

    def _replaced(
        self, table: Array, complaint: str | None, finding: Spot, proposed: _Proposed
    ) -> Array:
        node = self.node(complaint, finding)
        if node is None:
            return table
        made = table.copy()
        for index, key in self.keys(complaint, finding).items():
            strength = proposed.rows.get(key)
            if strength is not None:
                row = np.cumsum(strength) if node.graded else strength
                made[index] = _alone(node, row)
        return made


def key_of(cause: Cause, spot: Spot, finding: str) -> Key:
    """The strength that speaks for a cause at its place on a finding."""
    if cause.scope is Scope.VEHICLE or spot.corner is None:
        return Key(cause.id, finding, None)
    if finding in cause.shows_left or finding in cause.shows_right:
        return Key(cause.id, finding, Side.LEFT if spot.corner.left else Side.RIGHT)
    if finding in cause.shows_front or finding in cause.shows_rear:
        return Key(cause.id, finding, Axle.FRONT if spot.corner.front else Axle.REAR)
    return Key(cause.id, finding, None)


def _alone(node: FindingNode, row: Array | None) -> Array:
    """Chance of each state given one cause with this row alone, (states,), summing to 1."""
    if not node.graded:
        return node.base if row is None else row
    cumulative = node.base if row is None else node.base * row
    shares = cumulative.copy()
    shares[1:] -= cumulative[:-1]
    shares = np.maximum(shares, 0.0)
    return np.asarray(shares / shares.sum())


def _strength(
    key: Key, row: Row, node: FindingNode, after: tuple[BetaShare, ...]
) -> StrengthProposal:
    shares = np.array([each.value for each in after])
    return StrengthProposal(key, row.counts, row.written, after, _without_leak(node, shares))


def _without_leak(node: FindingNode, shares: Array) -> Array:
    """The row of the cause itself from what is met, (states,): what leaks is taken out."""
    if node.graded:
        cumulative = np.minimum(np.cumsum(shares) / node.base, 1.0)
        shares = np.diff(np.maximum.accumulate(cumulative), prepend=0.0)
    kept: Array = np.maximum(shares, _LEAST_CHANCE)
    return np.asarray(kept / kept.sum())


def _score(world: _World, visits: Sequence[Closed]) -> Score:
    scored = [each for each in visits if each.cause in world.network.index]
    if len(scored) < LEAST_SCORED:
        return Score(len(scored), 0.0, 0.0, 0.0, 0.0, HeldOutWord.TOO_FEW)
    before = np.array([world.log_chance(each, None, {}) for each in scored])
    after = np.empty(len(scored))
    fold = np.array([fold_of(each.id) for each in scored])
    for held_out in range(FOLDS):
        others = [each for each, own in zip(scored, fold, strict=True) if own != held_out]
        proposed = world.proposed(world.learn(others))
        kept: dict[tuple[str | None, Spot], Array] = {}
        for place in np.nonzero(fold == held_out)[0]:
            after[place] = world.log_chance(scored[place], proposed, kept)
    gains = after - before
    gain = float(gains.mean())
    error = float(gains.std(ddof=1)) / math.sqrt(len(gains))
    spread = student_t_two_sided_95(len(gains) - 1) * error
    sure = abs(gain) > max(spread, LEAST_GAIN)
    verdict = HeldOutWord.NO_DIFFERENCE if not sure else (
        HeldOutWord.BETTER if gain > 0.0 else HeldOutWord.WORSE)
    return Score(len(scored), float(before.mean()), float(after.mean()), gain, spread, verdict)


def fold_of(visit: str) -> int:
    """The fold of a visit by its id alone, so that it never changes."""
    return int.from_bytes(hashlib.sha256(visit.encode()).digest()[:8], "big") % FOLDS
