"""Weighs many sets of causes with every further cause at once, one matrix product per two findings.

A level is all sets of one size that are grown together. The likelihood of a finding for a set
with one more cause is a product of a row for the set and a column for the cause: cumulative
rows weighted by the evidence for noisy-max findings, shares of the mean for `which` findings.
That of two findings is again such a product, of all rows of one by all rows of the other.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.reasoning.evidence import Split

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
TINY = 1e-300
_AT_ONCE = 4  # pairs multiplied before a logarithm is taken, so that nothing underflows


class Table(Struct, frozen=True):
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


class Level(Struct, frozen=True):
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


def lay_out(split: Split, order: Ints) -> Table:
    """The evidence with the active causes in the order given."""
    return Table(
        np.log(np.maximum(split.odds[order], TINY)),
        np.ascontiguousarray(split.cumulative[order].transpose(1, 2, 0)),
        split.steps,
        split.background,
        np.ascontiguousarray(split.speaks[order].T),
        np.ascontiguousarray(split.says[order].T),
    )


def empty_set(table: Table, leak: Array) -> Level:
    """The level that holds the empty set alone; `leak` (f, s) cumulative."""
    graded = (leak * table.steps).sum(axis=1)
    with np.errstate(divide="ignore"):
        logs = np.log(np.maximum(np.concatenate([graded, table.background]), 0.0))
    silent = np.zeros((len(table.background), 1))
    return Level(
        np.zeros((1, 0), dtype=np.intp), np.zeros(1), logs.sum(keepdims=True),
        leak[:, None, :], silent, silent,
    )


def weigh(table: Table, level: Level) -> Array:
    """Log weight of every set of a level with every cause added, shape (p, n) [nat]."""
    logs = level.log_odds[:, None] + table.log_odds[None, :]
    factors = _in_pairs([*_graded_factors(table, level), *_which_factors(table, level)])
    product, likelihood = np.empty_like(logs), np.empty_like(logs)
    for number, (sets, causes) in enumerate(factors):
        if number % _AT_ONCE == 0:
            np.matmul(sets, causes, out=product)
        else:
            product *= np.matmul(sets, causes, out=likelihood)
        if number % _AT_ONCE == _AT_ONCE - 1 or number == len(factors) - 1:
            with np.errstate(divide="ignore"):
                logs += np.log(np.maximum(product, 0.0, out=product), out=product)
    return logs


def _in_pairs(factors: list[tuple[Array, Array]]) -> list[tuple[Array, Array]]:
    """The same products, of two findings each: (p, s t) for sets and (s t, n) for causes."""
    pairs = [
        ((sets[:, :, None] * more_sets[:, None, :]).reshape(len(sets), -1),
         (causes[:, None, :] * more_causes[None, :, :]).reshape(-1, causes.shape[1]))
        for (sets, causes), (more_sets, more_causes)
        in zip(factors[:-1:2], factors[1::2], strict=True)
    ]
    return pairs + factors[2 * len(pairs):]


def _graded_factors(table: Table, level: Level) -> list[tuple[Array, Array]]:
    """Likelihood of each graded finding as a product of (p, s) for sets and (s, n) for causes."""
    return list(zip(level.cumulative * table.steps[:, None, :], table.cumulative, strict=True))


def _which_factors(table: Table, level: Level) -> list[tuple[Array, Array]]:
    """The same for `which` findings: a cause that speaks takes its share of the mean."""
    count, says = level.speaks, level.says
    silent = np.where(count > 0, says / np.maximum(count, 1.0), table.background[:, None])
    sets = np.stack([silent, says / (count + 1.0), 1.0 / (count + 1.0)], axis=2)
    causes = np.stack([1.0 - table.speaks, table.speaks, table.speaks * table.says], axis=1)
    return list(zip(sets, causes, strict=True))


def grown(table: Table, level: Level, parent: Ints, child: Ints, log_weight: Array) -> Level:
    """The level of some sets (p',) with one cause more each (p',), of given log weight."""
    return Level(
        np.concatenate([level.members[parent], child[:, None]], axis=1),
        level.log_odds[parent] + table.log_odds[child],
        log_weight,
        level.cumulative[:, parent] * table.cumulative[:, :, child].transpose(0, 2, 1),
        level.speaks[:, parent] + table.speaks[:, child],
        level.says[:, parent] + table.says[:, child],
    )
