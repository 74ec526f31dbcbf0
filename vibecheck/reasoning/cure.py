"""Which remedy cures which set of causes, and what it costs to get the car right.

Cost to resolve: the remedy with most chance over effort is tried first (the order that is best
when one fault is present and trials do not disturb each other, [1]), then the one with most of it
where that one has failed, and so on: what a failed remedy would have cured is likely no more, so
remedies for one fault hardly add up. Each is paid for if those before it did not cure; one stops
where that is best, and what is left costs `UNRESOLVED` minutes.

References
----------
[1] Heckerman, Breese, Rommelse: Decision-theoretic troubleshooting, CACM 38(3), 1995
    (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.knowledge.model import Remedy, Spot
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

# Minutes an unresolved complaint is taken to cost: more than the dearest remedy, or nobody would
# ever try that one.
UNRESOLVED = 720.0
CALLED_FOR = 3.0  # a cause this many times likelier than before any answer explains something
LEAST_CHANCE = 0.002  # remedies below this chance are left out of the sums
MOST_TRIES = 12  # remedies tried one after the other, at most


class Cures(Struct, frozen=True, dict=True):
    """Remedies at their spots against kept sets.

    spots : the remedies; efforts : (r,) minutes with access and parts; here : (r,) reachable.
    cures : (k, r) chance that the remedy cures the set [unitless].
    causes : the causes that each remedy is for.
    """

    spots: tuple[Spot, ...]
    efforts: Array
    here: NDArray[np.bool_]
    cures: Array
    causes: tuple[tuple[Spot, ...], ...]

    def chances(self, weights: Array) -> Array:
        """Chance of cure of each remedy for rows of set weights, shape (..., r)."""
        chances: Array = weights @ self.cures
        return chances

    @cached_property
    def kinds(self) -> Array:
        """The rows of `cures` that differ, shape (g, r)."""
        kinds: Array = self._sorted[0]
        return kinds

    def masses(self, weights: Array) -> Array:
        """Rows of set weights (k, n) summed over the sets that are cured alike, shape (n, g)."""
        _, order, starts = self._sorted
        masses: Array = np.add.reduceat(weights[order], starts, axis=0).T
        return masses

    @cached_property
    def _sorted(self) -> tuple[Array, Ints, Ints]:
        """Kinds, the sets in their order, and where each kind begins."""
        # Rows are told apart by one sum: sines of whole numbers are independent of each other.
        sums = (self.cures * np.sin(np.arange(1.0, self.cures.shape[1] + 1.0))).sum(axis=1)
        _, first, kind_of = np.unique(sums, return_index=True, return_inverse=True)
        order = np.argsort(kind_of, kind="stable")
        return self.cures[first], order, np.searchsorted(kind_of[order], np.arange(len(first)))


def cures(belief: Belief, ways: Ways) -> Cures:
    """Tabulate the remedies of all causes that a kept set holds."""
    library = belief.network.library
    columns: dict[Spot, int] = {}
    entries: list[tuple[int, int, float]] = []
    found: list[list[Spot]] = []
    alive = belief.weights @ belief.has
    for k, cause in enumerate(belief.table.active):
        node = belief.network.causes[cause]
        if alive[k] < LEAST_CHANCE:
            continue
        for remedy_id, word in node.rule.remedies.items():
            spot = remedy_spot(library.remedies[remedy_id], node.spot.corner)
            column = columns.setdefault(spot, len(columns))
            if column == len(found):
                found.append([])
            found[column].append(node.spot)
            entries.append((k, column, library.strength(word)))
    by_cause = np.zeros((len(belief.table.active), len(columns)))
    for k, column, chance in entries:
        by_cause[k, column] = chance
    efforts, here = _efforts(belief, ways, tuple(columns))
    return Cures(
        tuple(columns), efforts, here, _cure_sets(belief, by_cause), tuple(map(tuple, found))
    )


def remedy_spot(remedy: Remedy, corner: Corner | None) -> Spot:
    """Where a remedy is done for a cause at `corner`."""
    return Spot(remedy.id, corner if remedy.scope is Scope.CORNER else None)


def cost_to_resolve(
    masses: Array, kinds: Array, efforts: Array, failed: Sequence[int] | None = None
) -> Array:
    """Expected minutes until the complaint is gone.

    Parameters
    ----------
    masses : (n, g) share of each kind of set, n beliefs; rows sum to 1 at most [unitless].
    kinds : (g, r) chance of cure of each remedy for each kind of set [unitless].
    efforts : (r,) effort of each remedy, > 0 [min].
    failed : (n,) a remedy that has failed already and is not tried again, for each belief.

    Returns
    -------
    cost : (n,) [min].
    """
    cost: Array = masses.sum(axis=1) * UNRESOLVED
    rows, left = np.arange(len(masses)), masses
    spent, untried = np.zeros(len(masses)), np.ones((len(masses), len(efforts)))
    if failed is not None:
        untried[rows, list(failed)] = 0.0
    for _ in range(min(MOST_TRIES, len(efforts))):
        chances = (left @ kinds) * untried
        going = _may_pay(chances, left.sum(axis=1), efforts)
        rows, left, spent, untried = rows[going], left[going], spent[going], untried[going]
        if not len(rows):
            break
        pick = np.argmax(chances[going] / efforts, axis=1)
        spent = spent + efforts[pick] * left.sum(axis=1)
        left = left * (1.0 - kinds.T[pick])
        untried[np.arange(len(rows)), pick] = 0.0
        cost[rows] = np.minimum(cost[rows], spent + left.sum(axis=1) * UNRESOLVED)
    return cost


def cost_of_each(mass: Array, kinds: Array, efforts: Array) -> Array:
    """Expected minutes for each kind of set if all are treated as is best for the whole, (g,).

    Whatever is learned, one can do so all the same: to know more never costs more than this.

    Parameters
    ----------
    mass : (g,) share of each kind of set [unitless]; kinds, efforts : as in `cost_to_resolve`.
    """
    left, spent = np.ones(len(mass)), np.zeros(len(mass))
    best, least = np.full(len(mass), UNRESOLVED), UNRESOLVED * float(mass.sum())
    untried = np.ones(len(efforts))
    for _ in range(min(MOST_TRIES, len(efforts))):
        chances = (mass * left) @ kinds * untried
        pick = int(np.argmax(chances / efforts))
        if not chances[pick] > 0.0:
            break
        spent = spent + efforts[pick] * left
        left = left * (1.0 - kinds[:, pick])
        untried[pick] = 0.0
        cost = spent + left * UNRESOLVED
        if float(mass @ cost) < least:
            best, least = cost, float(mass @ cost)
    return best


def _may_pay(chances: Array, open_now: Array, efforts: Array) -> NDArray[np.bool_]:
    """For which beliefs some remedy may still be worth its try, even after all others, (n,)."""
    in_the_end = np.maximum(open_now - chances.sum(axis=1), 0.0)
    pays: NDArray[np.bool_] = (chances * UNRESOLVED > in_the_end[:, None] * efforts).any(axis=1)
    return pays


def _cure_sets(belief: Belief, by_cause: Array) -> Array:
    """A set is cured by a remedy in so far as each of its causes is; the empty set by none.

    A cause that is hardly likelier than before any answer explains nothing: beside one that does,
    it need not be cured for the complaint to go.
    """
    members = _explaining(belief)
    size = (members >= 0).sum(axis=1, keepdims=True)
    nothing = np.ones((1, by_cause.shape[1]))
    together = np.concatenate([by_cause, nothing])[members].prod(axis=1)
    together[size[:, 0] == 0] = 0.0
    summed = np.concatenate([by_cause, 0.0 * nothing])[members].sum(axis=1)
    # With several faults no single remedy cures all; the first one still does its share.
    partly = np.maximum(together, 0.5 * summed / np.maximum(size, 1))
    result: Array = np.where(size > 1, partly, together)
    return result


def _explaining(belief: Belief) -> NDArray[np.int64]:
    """Members of the kept sets, without those that explain nothing beside one that does."""
    members = belief.members
    odds = belief.network.odds[belief.table.active]
    needed = belief.chances[belief.table.active] >= CALLED_FOR * odds / (1.0 + odds)
    counts = (members >= 0) & np.append(needed, False)[members]
    kept: NDArray[np.int64] = np.where(counts.any(axis=1, keepdims=True) & ~counts, -1, members)
    return kept


def _efforts(
    belief: Belief, ways: Ways, spots: tuple[Spot, ...]
) -> tuple[Array, NDArray[np.bool_]]:
    library = belief.network.library
    efforts, here = [], []
    for spot in spots:
        remedy = library.remedies[spot.id]
        way = ways.to(remedy.access, spot.corner, here=ways.place in remedy.places)
        parts = library.access.parts_minutes.get(remedy.parts, 0.0)
        efforts.append(max(remedy.minutes + way.minutes + parts, 1.0))
        here.append(way.here)
    return np.array(efforts, dtype=float), np.array(here, dtype=bool)

