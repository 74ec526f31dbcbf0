"""What is believed about a vehicle after its evidence: sets of causes, chances, predictions.

Causes that no searched finding touches stay independent of each other and of all sets, each with
its folded probability; the sets speak about the touched ones only.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.evidence import Evidence, Split, split
from vibecheck.reasoning.network import Network
from vibecheck.reasoning.search import Effort, Sets, grow

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

KEPT_SETS = 400  # sets used for predictions and reasons; chances use all of them


@dataclass(frozen=True)
class Belief:
    """The posterior of one vehicle.

    `chances`, shape (causes,): probability that each cause is present [unitless].
    """

    network: Network
    evidence: Evidence
    table: Split
    sets: Sets
    chances: Array

    @cached_property
    def kept(self) -> int:
        """How many of the heaviest sets are used for predictions."""
        return min(KEPT_SETS, len(self.sets.weights))

    @cached_property
    def weights(self) -> Array:
        """Weights of the kept sets, summing to 1, shape (k,) [unitless]."""
        head = self.sets.weights[: self.kept]
        share: Array = head / head.sum()
        return share

    @cached_property
    def has(self) -> Flags:
        """Which touched cause is in which kept set, shape (k, touched)."""
        return membership(self.sets.members[: self.kept], len(self.table.touched))

    @cached_property
    def calm(self) -> Array:
        """Probability of every untouched cause, 0 for touched ones, shape (causes,)."""
        calm = self.table.calm.copy()
        calm[self.table.touched] = 0.0
        return calm

    @property
    def no_fault(self) -> float:
        """Probability that none of the known causes is present [unitless]."""
        empty = (self.sets.members < 0).all(axis=1)
        return float(self.sets.weights[empty].sum() * np.prod(1.0 - self.calm))

    def set_spots(self, row: int) -> tuple[Spot, ...]:
        """The causes of one set."""
        ranks = self.sets.members[row]
        return tuple(
            self.network.causes[self.table.touched[rank]].spot for rank in ranks if rank >= 0
        )

    def predict(self, spot: Spot) -> Array:
        """Chance of each state of a finding under each kept set, shape (k, states)."""
        node = self.network.findings[spot]
        place = {int(cause): k for k, cause in enumerate(self.table.touched)}
        base = node.base.copy()
        rows = np.full((len(place), len(base)), 1.0 if node.graded else 0.0)
        speaks = np.zeros(len(place))
        for cause, row in node.rows.items():
            if cause in place:
                rows[place[cause]] = row
                speaks[place[cause]] = 1.0
            elif node.graded:
                base = base * (1.0 - self.calm[cause] * (1.0 - row))
        if node.graded:
            return self._noisy_max(base, rows, speaks)
        total = self.has @ (rows * speaks[:, None])
        count = self.has @ speaks
        mixed: Array = np.where(
            count[:, None] > 0, total / np.maximum(count, 1.0)[:, None], base[None]
        )
        return mixed

    def _noisy_max(self, base: Array, rows: Array, speaks: Array) -> Array:
        named = np.nonzero(speaks)[0]
        logs = self.has[:, named].astype(float) @ np.log(rows[named])
        cumulative = base[None] * np.exp(logs)
        states: Array = np.diff(cumulative, axis=1, prepend=0.0)
        return np.maximum(states, 0.0)


def membership(members: NDArray[np.intp], count: int) -> Flags:
    """Sets as rows of flags, shape (sets, count)."""
    flags = np.zeros((len(members), count + 1), dtype=bool)
    np.put_along_axis(flags, members, True, axis=1)
    return flags[:, :count]


def believe(network: Network, evidence: Evidence, effort: Effort | None = None) -> Belief:
    """The posterior of a vehicle given its evidence.

    Parameters
    ----------
    network : the vehicle's rule graph.
    evidence : finding spot -> likelihood over its states, shape (states,), not all zero.
    effort : how far to search.
    """
    table = split(network, evidence)
    sets = grow(table, effort)
    chances = table.calm.copy()
    flags = membership(sets.members, len(table.touched))
    chances[table.touched] = sets.weights @ flags
    return Belief(network, evidence, table, sets, np.clip(chances, 0.0, 1.0))
