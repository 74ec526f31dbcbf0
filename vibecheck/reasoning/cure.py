"""Which remedy cures which set of causes, and what it costs to get the car right.

Cost to resolve: remedies are tried in the order of chance over effort (the order that is best
when one fault is present and trials do not disturb each other, [1]); each is paid for if those
before it did not cure; one stops where that is best, and what is left costs `UNRESOLVED` minutes.

References
----------
[1] Heckerman, Breese, Rommelse: Decision-theoretic troubleshooting, CACM 38(3), 1995
    (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.model import Remedy, Spot
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief

Array = NDArray[np.float64]

# Minutes an unresolved complaint is taken to cost: more than the dearest remedy, or nobody would
# ever try that one.
UNRESOLVED = 720.0
CALLED_FOR = 3.0  # a cause this many times likelier than before any answer explains something
LEAST_CHANCE = 0.002  # remedies below this chance are left out of the sums


@dataclass(frozen=True)
class Cures:
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


def cost_to_resolve(chances: Array, efforts: Array) -> Array:
    """Expected minutes until the complaint is gone.

    Parameters
    ----------
    chances : (n, r) chance of cure of each remedy, n beliefs [unitless].
    efforts : (r,) effort of each remedy, > 0 [min].

    Returns
    -------
    cost : (n,) [min].
    """
    if not chances.shape[1]:
        return np.full(len(chances), UNRESOLVED)
    order = np.argsort(-chances / efforts, axis=1)
    sorted_chances = np.take_along_axis(chances, order, axis=1)
    sorted_efforts = efforts[order]
    open_after = np.clip(1.0 - np.cumsum(sorted_chances, axis=1), 0.0, 1.0)
    open_before = np.concatenate([np.ones((len(chances), 1)), open_after[:, :-1]], axis=1)
    spent = np.cumsum(sorted_efforts * open_before, axis=1)
    cost: Array = (spent + open_after * UNRESOLVED).min(axis=1)  # stops where stopping is best
    return np.minimum(cost, UNRESOLVED, out=cost)


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

