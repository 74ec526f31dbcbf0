"""What findings would show: the chance of each state of a finding under many sets of causes.

A graded finding is the noisy-max of the causes present: cumulative rows multiply. A `which`
finding is the mean of the rows of those that speak. Causes outside a set are present by chance,
each with its own. Many findings are worked out together, as one table per number of states.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.reasoning.network import FindingNode

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_AT_ONCE = 64  # findings in one table, so that it stays in the processor's cache
_LEGENDRE = np.polynomial.legendre.leggauss(24)
_NODES: Array = 0.5 * (_LEGENDRE[0] + 1.0)
_SHARES: Array = 0.5 * _LEGENDRE[1]


class Outlook(Struct, frozen=True):
    """A finding before it is looked for.

    chances : (k, s) chance of each state under each set; bits : what it is expected to tell of
    the sets [bit]; blur : its mean entropy within a set, which no knowledge of the set removes
    [bit].
    """

    chances: Array
    bits: float
    blur: float


class SetsAsked(Struct, frozen=True, dict=True):
    """Sets of causes and what may be there besides.

    members : (k, m) active causes of each set, then -1 where it is shorter.
    rank : (causes,) place of each cause among the active ones, -1 if it is not active.
    active : how many are active. besides : (causes,) chance of each cause beyond the sets.
    """

    members: Ints
    rank: Ints
    active: int
    besides: Array

    @cached_property
    def largest_first(self) -> Ints:
        """The order that puts the largest sets first, (k,)."""
        order: Ints = np.argsort(-(self.members >= 0).sum(axis=1), kind="stable").astype(np.intp)
        return order


def states(sets: SetsAsked, findings: Sequence[FindingNode]) -> list[Array]:
    """Chance of each state of each finding under each set, (k, s) each [unitless]."""
    found: dict[int, Array] = {}
    for places, table in _tables(sets, findings):
        found |= {place: table[:, :, f] for f, place in enumerate(places)}
    return [found[place] for place in range(len(findings))]


def outlooks(sets: SetsAsked, weights: Array, findings: Sequence[FindingNode]) -> list[Outlook]:
    """The outlook of each finding under sets of these weights (k,)."""
    found: dict[int, Outlook] = {}
    for places, table in _tables(sets, findings):
        found |= zip(places, _told(weights, table), strict=True)
    return [found[place] for place in range(len(findings))]


def outlook(weights: Array, chances: Array) -> Outlook:
    """The outlook of a finding of these chances (k, s) under sets of these weights (k,)."""
    return _told(weights, chances[:, :, None])[0]


def entropy(chances: Array, axis: int = -1) -> Array:
    """Entropy of distributions along an axis [bit]."""
    logs = np.log2(np.maximum(chances, 1e-300))
    bits: Array = -np.multiply(logs, chances, out=logs).sum(axis=axis)
    return bits


def _told(weights: Array, table: Array) -> list[Outlook]:
    """The outlooks of findings of equally many states, `table` (k, s, f)."""
    blur = weights @ entropy(table, axis=1)
    bits = entropy(np.tensordot(weights, table, 1), axis=0) - blur
    return [
        Outlook(table[:, :, f], max(float(bits[f]), 0.0), float(blur[f]))
        for f in range(table.shape[2])
    ]


def _tables(
    sets: SetsAsked, findings: Sequence[FindingNode]
) -> Iterator[tuple[list[int], Array]]:
    """Chances of some findings of one kind at a time: their places, and (k, s, f)."""
    alike: dict[tuple[bool, int], list[int]] = defaultdict(list)
    for place, node in enumerate(findings):
        alike[node.graded, len(node.base)].append(place)
    for (graded, _), places in alike.items():
        for begin in range(0, len(places), _AT_ONCE):
            some = places[begin : begin + _AT_ONCE]
            nodes = [findings[place] for place in some]
            yield some, (_graded if graded else _mixed)(sets, nodes)


class _Rows(Struct, frozen=True):
    """The rows of findings of equally many states, one below the other, m in all.

    words : (m, s) what the cause says; chance : (m,) of the cause beyond the sets;
    finding : (m,) whose it is; starts, sizes : (f,) where each finding's begin, and how many.
    rank, known : (m,) place of the cause among the active ones, and whether it has one.
    """

    words: Array
    chance: Array
    finding: Ints
    starts: Ints
    sizes: Ints
    rank: Ints
    known: NDArray[np.bool_]


def _rows(sets: SetsAsked, findings: Sequence[FindingNode]) -> _Rows:
    cause = np.concatenate([node.named_by for node in findings])
    sizes = np.array([len(node.named_by) for node in findings], dtype=np.intp)
    rank = sets.rank[cause]
    return _Rows(
        np.concatenate([node.table for node in findings]), sets.besides[cause],
        np.repeat(np.arange(len(findings)), sizes), np.cumsum(sizes) - sizes, sizes, rank,
        rank >= 0,
    )


def _graded(sets: SetsAsked, findings: Sequence[FindingNode]) -> Array:
    """Chances of graded findings of equally many states, (k, s, f)."""
    rows = _rows(sets, findings)
    factors = 1.0 - rows.chance[:, None] * (1.0 - rows.words)
    without = np.array([node.base for node in findings])
    some = np.nonzero(rows.sizes)[0]
    if len(some):
        without[some] *= np.multiply.reduceat(factors, rows.starts[some], axis=0)
    told = np.ones((sets.active, *without.T.shape))
    told[rows.rank[rows.known], :, rows.finding[rows.known]] = (
        rows.words[rows.known] / factors[rows.known])
    table = np.empty((len(sets.members), *without.T.shape))
    table[:] = without.T
    order = sets.largest_first
    for column in sets.members[order].T:
        held = int(np.count_nonzero(column >= 0))
        table[:held] *= told[column[:held]]
    chances = np.empty_like(table)
    chances[order] = np.diff(table, axis=1, prepend=0.0)
    return np.maximum(chances, 0.0, out=chances)


def _mixed(sets: SetsAsked, findings: Sequence[FindingNode]) -> Array:
    """Chances of `which` findings of equally many states, (k, s, f)."""
    rows = _rows(sets, findings)
    known, deep = rows.known, rows.words.shape[1]
    # What the causes of a set say, summed, and last how many of them say something.
    told = np.zeros((sets.active, deep + 1, len(findings)))
    told[rows.rank[known], :deep, rows.finding[known]] = rows.words[known]
    told[rows.rank[known], deep, rows.finding[known]] = 1.0
    summed = np.zeros((len(sets.members), deep + 1, len(findings)))
    order = sets.largest_first
    for column in sets.members[order].T:
        held = int(np.count_nonzero(column >= 0))
        summed[:held] += told[column[:held]]
    chances = np.empty((len(sets.members), deep, len(findings)))
    for f, node in enumerate(findings):
        its = slice(rows.starts[f], rows.starts[f] + rows.sizes[f])
        chances[order, :, f] = _mix(
            node.base, summed[:, :deep, f], summed[:, deep, f].astype(np.intp),
            rows.chance[its, None], rows.words[its])
    return chances


def _mix(base: Array, summed: Array, count: Ints, folded: Array, outside: Array) -> Array:
    """Expected mean of the rows of the causes present, others added by chance.

    The mean over n speakers holds 1/n, the integral of t^(n - 1) over 0..1; over all ways in
    which independent causes can be present its expectation is the integral of a product.

    Parameters
    ----------
    summed : (k, s) summed rows of each set's speakers; count : (k,) how many they are.
    folded : (j, 1) chance of each speaker that may be there besides; outside : (j, s) their rows.
    """
    factors = 1.0 - folded + folded * _NODES
    present = np.prod(factors, axis=0)
    added = (outside.T * folded.T) @ (present / factors)
    powers = _NODES ** np.arange(count.max() + 1)[:, None]
    own = (powers @ (_SHARES * present))[np.maximum(count - 1, 0)]
    mixed: Array = summed * own[:, None] + (powers @ (_SHARES * added).T)[count]
    mixed[count == 0] += np.prod(1.0 - folded) * base
    return mixed
