"""Grows sets of causes, best first, and weighs each against the evidence.

A hypothesis is a set of causes; its weight is the product of their odds times the likelihood of
every searched finding. Sets are grown one cause at a time. How much a cause can add to any set
is bounded by what it adds to the empty set (noisy-max explains away, so a further cause never
helps a finding more than the first one does); a branch whose bound is negligible is cut, and the
bounds of all cut branches are added up as `left_out`. For `which` findings, which mix, the bound
is the cause's own likelihood over the smallest one met; it holds for a set of any size because a
mixture lies between its parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.reasoning.evidence import Split

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
TINY = 1e-300


@dataclass(frozen=True)
class Effort:
    """How far to search: `cut` is the share of the total below which a branch is dropped."""

    cut: float = 2e-6
    most_causes: int = 5
    most_branches: int = 20_000


@dataclass(frozen=True)
class Sets:
    """Weighted sets of touched causes.

    members : (k, m) indices into Split.touched, -1 where a set is shorter.
    weights : (k,) posterior share of each set among those found, summing to 1 [unitless].
    log_total : log of the total weight, the probability of the evidence [nat].
    left_out : estimate, from above, of the share of the sets that were not grown [unitless].
    """

    members: Ints
    weights: Array
    log_total: float
    left_out: float


@dataclass
class _Level:
    """All sets of one size: members, log prior odds, and the state of each finding table."""

    members: Ints
    log_odds: Array
    cumulative: Array
    speaks: Array
    says: Array
    log_weight: Array


def grow(table: Split, effort: Effort | None = None) -> Sets:
    """Weigh all sets of causes that matter.

    Raises
    ------
    ValueError : no set can explain the evidence at all (all likelihoods are zero).
    """
    effort = effort or Effort()
    order, bound = _order_by_bound(table)
    levels = [_empty(table)]
    total = _log_add(levels[0].log_weight)
    cut_away = 0.0
    while levels[-1].members.shape[1] < min(effort.most_causes, len(table.touched)):
        level, dropped = _extend(table, levels[-1], order, bound, total, effort)
        cut_away += dropped
        if not len(level.members):
            break
        levels.append(level)
        total = np.logaddexp(total, _log_add(level.log_weight))
    if not np.isfinite(total):
        raise ValueError("no set of causes gives this evidence any chance")
    return _collect(levels, order, float(total), cut_away)


def likelihoods(table: Split, cumulative: Array, speaks: Array, says: Array) -> Array:
    """Likelihood of each searched finding for each set, shape (sets, graded + which)."""
    graded = np.einsum("kfs,fs->kf", cumulative, table.steps)
    mixed = np.where(speaks > 0, says / np.maximum(speaks, 1.0), table.background)
    chances: Array = np.maximum(np.concatenate([graded, mixed], axis=1), 0.0)
    return chances


def _empty(table: Split) -> _Level:
    shape = (1, len(table.background))
    cumulative = table.leak[None]
    speaks, says = np.zeros(shape), np.zeros(shape)
    weight = _log_likelihood(table, cumulative, speaks, says)
    return _Level(
        np.zeros((1, 0), dtype=np.intp), np.zeros(1), cumulative, speaks, says, weight
    )


def _order_by_bound(table: Split) -> tuple[Ints, Array]:
    """Causes by falling bound of (weight with) / (weight without), and the log bounds."""
    count = len(table.touched)
    if not count:
        return np.zeros(0, dtype=np.intp), np.zeros(0)
    alone = np.einsum("cfs,fs->cf", table.cumulative * table.leak, table.steps)
    none = np.einsum("fs,fs->f", table.leak, table.steps)
    gain = np.log(np.maximum(alone, TINY)) - np.log(np.maximum(none, TINY))
    lowest = np.minimum(
        table.background, np.where(table.speaks > 0, table.says, np.inf).min(axis=0)
    )
    mixed = np.where(
        table.speaks > 0,
        np.log(np.maximum(table.says, TINY)) - np.log(np.maximum(lowest, TINY)),
        0.0,
    )
    bound = np.log(np.maximum(table.odds, TINY))
    bound = bound + np.maximum(gain, 0.0).sum(axis=1) + np.maximum(mixed, 0.0).sum(axis=1)
    order = np.argsort(-bound, kind="stable")
    return order, bound[order]


def _extend(
    table: Split, level: _Level, order: Ints, bound: Array, total: float, effort: Effort
) -> tuple[_Level, float]:
    """One cause more: children of every set, cut by their bound. Members are ranks in `order`."""
    count = len(order)
    last = level.members[:, -1] if level.members.shape[1] else np.full(len(level.members), -1)
    rest = np.concatenate([np.cumsum(np.maximum(bound, 0.0)[::-1])[::-1], [0.0]])
    hope = level.log_weight[:, None] + bound[None, :] + rest[None, 1:]
    hope = np.where(np.arange(count)[None, :] > last[:, None], hope - total, -np.inf)
    keep = hope > np.log(max(effort.cut, TINY))
    if keep.sum() > effort.most_branches:
        edge = np.partition(hope[keep], -effort.most_branches)[-effort.most_branches]
        keep &= hope >= edge
    dropped = float(np.exp(np.minimum(hope[~keep], 0.0)).sum())
    parent, child = np.nonzero(keep)
    cause = order[child]
    cumulative = level.cumulative[parent] * table.cumulative[cause]
    speaks = level.speaks[parent] + table.speaks[cause]
    says = level.says[parent] + table.says[cause]
    log_odds = level.log_odds[parent] + np.log(np.maximum(table.odds[cause], TINY))
    members = np.concatenate([level.members[parent], child[:, None]], axis=1)
    weight = log_odds + _log_likelihood(table, cumulative, speaks, says)
    if level.members.shape[1] + 1 == effort.most_causes:
        dropped += float(np.exp(weight - total).sum() * np.exp(bound).sum()) if len(bound) else 0.0
    return _Level(members, log_odds, cumulative, speaks, says, weight), dropped


def _collect(levels: list[_Level], order: Ints, total: float, cut_away: float) -> Sets:
    width = levels[-1].members.shape[1]
    members = np.concatenate(
        [
            np.pad(level.members, ((0, 0), (0, width - level.members.shape[1])), constant_values=-1)
            for level in levels
        ]
    )
    weights = np.exp(np.concatenate([level.log_weight for level in levels]) - total)
    heaviest = np.argsort(-weights, kind="stable")
    ranks = members[heaviest]
    named = np.where(ranks < 0, -1, order[ranks]) if len(order) else ranks
    return Sets(named, weights[heaviest], total, cut_away)


def _log_likelihood(table: Split, cumulative: Array, speaks: Array, says: Array) -> Array:
    chances = likelihoods(table, cumulative, speaks, says)
    with np.errstate(divide="ignore"):
        logs: Array = np.log(chances).sum(axis=1)
    return logs


def _log_add(values: Array) -> float:
    return float(np.logaddexp.reduce(values)) if len(values) else -np.inf
