"""Grows sets of causes, heaviest first, and weighs each against the evidence.

A hypothesis is a set of causes; its weight is the product of their odds times the likelihood of
every searched finding. Sets grow by one cause at a time, always by one of a later rank (ranks
fall with the weight of the cause alone), so that each set is met once. All children of the sets
that are grown are weighed together, as one matrix per finding; every set weighed counts in the
chances, and the heaviest are listed.

What the descendants of a set can weigh is bounded by its own weight times the product of
(1 + gain) over the later causes, less one. A gain is what a cause adds to a smaller set inside
it; for noisy-max findings whose likelihood rises with the state, or is a plain answer, a cause
never adds more to a larger set (it is explained away). For the other findings, which mix or have
their likeliest state in the middle, that is the rule and not a law, and `left_out` an estimate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.reasoning.evidence import Split

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
TINY = 1e-300
_AT_ONCE = 8  # findings multiplied before a logarithm is taken, so that nothing underflows
_MOST_GAIN = 600.0  # keeps the bound finite


@dataclass(frozen=True)
class Effort:
    """How far to search.

    cut : a set is grown while its descendants may weigh more than this share of the total.
    most_causes : causes in a set, at most.
    most_branches : sets of one size that are grown further, at most.
    most_listed : sets listed, at most; the chances count every set weighed.
    most_kept : listed sets used for predictions, at most.
    """

    cut: float = 2e-6
    most_causes: int = 5
    most_branches: int = 600
    most_listed: int = 2000
    most_kept: int = 400


@dataclass(frozen=True)
class Sets:
    """Weighted sets of touched causes.

    members : (k, m) indices into Split.touched, -1 where a set is shorter; heaviest set first.
    weights : (k,) posterior share of each listed set among all sets weighed [unitless].
    chances : (c,) posterior share of the sets that hold each touched cause [unitless].
    kept : how many of the heaviest sets are used for predictions.
    none : posterior share of the empty set [unitless].
    log_total : log of the summed weights of all sets weighed, against the prior of the empty
        set and without the folded findings [nat].
    left_out : share of the sets that were not weighed, estimated from above [unitless].
    """

    members: Ints
    weights: Array
    chances: Array
    kept: int
    none: float
    log_total: float
    left_out: float


@dataclass(frozen=True)
class _Table:
    """The split evidence with the causes in rank order, laid out for products.

    log_odds : (n,); cumulative : (f, s, n); steps : (f, s); background : (w,);
    speaks, says : (w, n).
    """

    log_odds: Array
    cumulative: Array
    steps: Array
    background: Array
    speaks: Array
    says: Array


@dataclass(frozen=True)
class _Level:
    """Sets of one size that are to be grown.

    members : (p, m) ranks; log_odds, log_weight : (p,); cumulative : (f, p, s);
    speaks, says : (w, p).
    """

    members: Ints
    log_odds: Array
    log_weight: Array
    cumulative: Array
    speaks: Array
    says: Array

    @property
    def last(self) -> Ints:
        """Rank of the last cause of each set, -1 for the empty set."""
        if self.members.shape[1]:
            return self.members[:, -1]
        return np.full(len(self.members), -1, dtype=np.intp)


@dataclass(frozen=True)
class _Brood:
    """All children of a level, as shares of the level's heaviest.

    log_top : log weight of the heaviest child [nat].
    shares : (p, n) weight of each child over that; 0 where the cause is not of a later rank.
    after : (p, n) summed shares of the siblings of later rank.
    """

    log_top: float
    shares: Array
    after: Array


def grow(split: Split, effort: Effort | None = None) -> Sets:
    """Weigh all sets of causes that matter.

    Raises
    ------
    ValueError : no set can explain the evidence at all (all likelihoods are zero).
    """
    effort = effort or Effort()
    table, order = _ranked(split)
    level = _empty(table, split.leak)
    tally = _Tally(level, effort)
    alone = np.full(len(order), np.inf)
    size = 0
    while len(level.members) and size < min(effort.most_causes, len(order)):
        size += 1
        brood = _brood(level, _weigh(table, level))
        tally.add(level, brood)
        if size == 2:
            alone[level.last] = _gains(level, brood)[np.arange(len(level.last)), level.last]
        hope = _hope(level, brood, alone)
        grown = np.zeros_like(hope, dtype=bool)
        if size < effort.most_causes:
            grown = _chosen(hope, brood.log_top, tally.log_total, effort)
        tally.leave(brood, hope[~grown])
        level = _next(table, level, brood, grown)
    return tally.sets(order)


def _ranked(split: Split) -> tuple[_Table, Ints]:
    """The table with the causes by falling weight of the cause alone, and their order."""
    order = np.arange(len(split.touched), dtype=np.intp)
    table = _laid_out(split, order)
    if len(order):
        weights = _weigh(table, _empty(table, split.leak))[0]
        order = np.argsort(-weights, kind="stable").astype(np.intp)
        table = _laid_out(split, order)
    return table, order


def _laid_out(split: Split, order: Ints) -> _Table:
    return _Table(
        np.log(np.maximum(split.odds[order], TINY)),
        np.ascontiguousarray(split.cumulative[order].transpose(1, 2, 0)),
        split.steps,
        split.background,
        np.ascontiguousarray(split.speaks[order].T),
        np.ascontiguousarray(split.says[order].T),
    )


def _empty(table: _Table, leak: Array) -> _Level:
    graded = (leak * table.steps).sum(axis=1)
    with np.errstate(divide="ignore"):
        logs = np.log(np.maximum(np.concatenate([graded, table.background]), 0.0))
    silent = np.zeros((len(table.background), 1))
    return _Level(
        np.zeros((1, 0), dtype=np.intp), np.zeros(1), logs.sum(keepdims=True),
        leak[:, None, :], silent, silent,
    )


def _weigh(table: _Table, level: _Level) -> Array:
    """Log weight of every set of a level with every cause added, shape (p, n)."""
    logs = level.log_odds[:, None] + table.log_odds[None, :]
    factors = [*_graded_factors(table, level), *_which_factors(table, level)]
    likelihood = np.empty_like(logs)
    for first in range(0, len(factors), _AT_ONCE):
        product = np.ones_like(logs)
        for sets, causes in factors[first : first + _AT_ONCE]:
            np.matmul(sets, causes, out=likelihood)
            product *= likelihood
        with np.errstate(divide="ignore"):
            logs += np.log(np.maximum(product, 0.0))
    return logs


def _graded_factors(table: _Table, level: _Level) -> list[tuple[Array, Array]]:
    """Likelihood of each graded finding as a product of (p, s) for sets and (s, n) for causes."""
    return list(zip(level.cumulative * table.steps[:, None, :], table.cumulative, strict=True))


def _which_factors(table: _Table, level: _Level) -> list[tuple[Array, Array]]:
    """The same for `which` findings: a cause that speaks takes its share of the mean."""
    count, says = level.speaks, level.says
    silent = np.where(count > 0, says / np.maximum(count, 1.0), table.background[:, None])
    sets = np.stack([silent, says / (count + 1.0), 1.0 / (count + 1.0)], axis=2)
    causes = np.stack([1.0 - table.speaks, table.speaks, table.speaks * table.says], axis=1)
    return list(zip(sets, causes, strict=True))


def _brood(level: _Level, logs: Array) -> _Brood:
    later = np.arange(logs.shape[1])[None, :] > level.last[:, None]
    logs = np.where(later, logs, -np.inf)
    log_top = float(logs.max(initial=-np.inf))
    shares = np.exp(logs - log_top) if np.isfinite(log_top) else np.zeros_like(logs)
    after = shares.sum(axis=1, keepdims=True) - np.cumsum(shares, axis=1)
    return _Brood(log_top, shares, np.maximum(after, 0.0))


def _gains(level: _Level, brood: _Brood) -> Array:
    """Summed gains, over its set, of all causes of later rank than the one added, (p, n)."""
    if not np.isfinite(brood.log_top):
        return np.zeros_like(brood.after)
    scale = np.exp(np.minimum(brood.log_top - level.log_weight, _MOST_GAIN))
    gains: Array = brood.after * scale[:, None]
    return gains


def _hope(level: _Level, brood: _Brood, alone: Array) -> Array:
    """What the descendants of each child weigh at most, as a share of the heaviest child."""
    gains = np.minimum(_gains(level, brood), alone[None, :])
    hope: Array = brood.shares * np.expm1(np.minimum(gains, _MOST_GAIN))
    return hope


def _chosen(hope: Array, log_top: float, log_total: float, effort: Effort) -> NDArray[np.bool_]:
    edge = effort.cut * float(np.exp(min(log_total - log_top, _MOST_GAIN)))
    chosen: NDArray[np.bool_] = hope > edge
    chosen &= hope >= _edge(hope[chosen], effort.most_branches)
    return chosen


def _edge(values: Array, most: int) -> float:
    """The least of the `most` largest values, just above zero if there are fewer."""
    if len(values) <= most:
        return TINY
    return max(float(np.partition(values, -most)[-most]), TINY)


def _next(table: _Table, level: _Level, brood: _Brood, grown: NDArray[np.bool_]) -> _Level:
    parent, child = np.nonzero(grown)
    return _Level(
        np.concatenate([level.members[parent], child[:, None]], axis=1),
        level.log_odds[parent] + table.log_odds[child],
        np.log(np.maximum(brood.shares[parent, child], TINY)) + brood.log_top,
        level.cumulative[:, parent] * table.cumulative[:, :, child].transpose(0, 2, 1),
        level.speaks[:, parent] + table.speaks[:, child],
        level.says[:, parent] + table.says[:, child],
    )


class _Tally:
    """Adds up what was weighed, size by size, each as (log of the scale, shares)."""

    def __init__(self, empty: _Level, effort: Effort) -> None:
        self.log_none = float(empty.log_weight[0])
        self.log_total = self.log_none
        self.effort = effort
        self._chances: list[tuple[float, Array]] = []
        self._listed: list[tuple[Ints, Array]] = [(empty.members, empty.log_weight)]
        self._left = -np.inf

    def add(self, level: _Level, brood: _Brood) -> None:
        if not np.isfinite(brood.log_top):
            return
        rows, columns = brood.shares.sum(axis=1), brood.shares.sum(axis=0)
        for ranks in level.members.T:
            columns += np.bincount(ranks, rows, len(columns))
        self._chances.append((brood.log_top, columns))
        self.log_total = float(np.logaddexp(self.log_total, brood.log_top + np.log(rows.sum())))
        flat = brood.shares.ravel()
        heaviest = np.nonzero(flat >= _edge(flat, self.effort.most_listed))[0]
        parent, child = np.unravel_index(heaviest, brood.shares.shape)
        members = np.concatenate([level.members[parent], child[:, None]], axis=1)
        self._listed.append((members, np.log(flat[heaviest]) + brood.log_top))

    def leave(self, brood: _Brood, hopes: Array) -> None:
        total = float(hopes.sum())
        if total > 0:
            self._left = float(np.logaddexp(self._left, np.log(total) + brood.log_top))

    def sets(self, order: Ints) -> Sets:
        if not np.isfinite(self.log_total):
            raise ValueError("no set of causes gives this evidence any chance")
        ranks, logs = self._heaviest()
        chances = np.zeros(len(order))
        for log_top, columns in self._chances:
            chances[order] += columns * np.exp(log_top - self.log_total)
        return Sets(
            members=np.where(ranks < 0, -1, order[ranks]) if len(order) else ranks,
            weights=np.exp(logs - self.log_total),
            chances=chances,
            kept=min(len(logs), self.effort.most_kept),
            none=float(np.exp(self.log_none - self.log_total)),
            log_total=self.log_total,
            left_out=float(np.exp(-np.logaddexp(0.0, self.log_total - self._left))),
        )

    def _heaviest(self) -> tuple[Ints, Array]:
        """Members and log weights of the heaviest sets of all sizes."""
        width = self._listed[-1][0].shape[1]
        members = np.concatenate(
            [
                np.pad(ranks, ((0, 0), (0, width - ranks.shape[1])), constant_values=-1)
                for ranks, _ in self._listed
            ]
        )
        logs = np.concatenate([logs for _, logs in self._listed])
        first = np.argsort(-logs, kind="stable")[: self.effort.most_listed]
        return members[first], logs[first]
