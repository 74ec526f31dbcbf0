"""What is believed about a vehicle after its evidence: sets of causes, chances, predictions.

Causes that are not active stay independent of each other and of all sets, each with its folded
probability; the sets speak about the active ones only.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.evidence import Evidence, Split, split
from vibecheck.reasoning.network import Network
from vibecheck.reasoning.outlook import Outlook, SetsAsked, outlooks, states
from vibecheck.reasoning.search import Effort, Sets, grow

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

class Belief(Struct, frozen=True, dict=True):
    """The posterior of one vehicle.

    `chances`, shape (causes,): probability that each cause is present [unitless].
    """

    network: Network
    evidence: Evidence
    table: Split
    sets: Sets
    chances: Array

    @property
    def kept(self) -> int:
        """How many sets are used for predictions."""
        return self.sets.kept

    @cached_property
    def weights(self) -> Array:
        """Weights of the kept sets, summing to 1, shape (k,) [unitless]."""
        return self.sets.kept_weights

    @cached_property
    def has(self) -> Flags:
        """Which active cause is in which kept set, shape (k, active)."""
        return membership(self.members, len(self.table.active))

    @cached_property
    def members(self) -> NDArray[np.intp]:
        """Touched causes of each kept set, -1 where a set is shorter, shape (k, m)."""
        members = self.sets.kept_members
        widest = int((members >= 0).sum(axis=1).max(initial=0))
        return members[:, :widest]

    @cached_property
    def folded(self) -> Array:
        """Probability of every inactive cause, 0 for active ones, shape (causes,)."""
        folded = self.table.folded.copy()
        folded[self.table.active] = 0.0
        return folded

    @cached_property
    def likeliest(self) -> tuple[Spot, ...]:
        """Every cause at its place, the likeliest first, equal ones by name."""
        places = {node.spot: float(chance)
                  for node, chance in zip(self.network.causes, self.chances, strict=True)}
        return tuple(sorted(places, key=lambda spot: (-round(places[spot], 12), str(spot))))

    @cached_property
    def places(self) -> Mapping[str, list[int]]:
        """Indices of each cause at its places."""
        found: dict[str, list[int]] = {}
        for index, node in enumerate(self.network.causes):
            found.setdefault(node.spot.id, []).append(index)
        return found

    @property
    def no_fault(self) -> float:
        """Probability that none of the known causes is present [unitless]."""
        return float(self.sets.none * np.prod(1.0 - self.folded))

    def set_spots(self, row: int) -> tuple[Spot, ...]:
        """The causes of one set."""
        ranks = self.sets.members[row]
        return tuple(
            self.network.causes[self.table.active[rank]].spot for rank in ranks if rank >= 0
        )

    def predict(self, spot: Spot) -> Array:
        """Chance of each state of a finding under each kept set, shape (k, states).

        The sets that are not kept count as well: what they add to the chance of a cause is
        spread evenly over the kept sets.
        """
        return self.outlooks([spot])[spot].chances

    def outlooks(self, spots: Collection[Spot]) -> Mapping[Spot, Outlook]:
        """What these findings, and those asked for before, would tell; each worked out once."""
        new = [spot for spot in spots if spot not in self._outlooks]
        if new:
            nodes = [self.network.findings[spot] for spot in new]
            told = outlooks(self._kept_sets, self.weights, nodes)
            self._outlooks.update(zip(new, told, strict=True))
        return self._outlooks

    def explain(self, spot: Spot) -> Array:
        """Chance of each state under each listed set as it stands, shape (listed, states)."""
        listed = SetsAsked(self.sets.members, self._rank, len(self.table.active), self.folded)
        return states(listed, [self.network.findings[spot]])[0]

    def explain_graded(self, spots: Sequence[Spot]) -> Array:
        """Likelihood of the evidence of graded findings under each listed set, shape (listed, f).

        The same as `explain` weighted with the evidence, worked out for all findings together.
        """
        last = len(self.table.active)  # the row of no cause
        depth = max((len(self.evidence[spot]) for spot in spots), default=1)
        rows = np.ones((last + 1, len(spots), depth))
        base, steps = np.ones((len(spots), depth)), np.zeros((len(spots), depth))
        for f, spot in enumerate(spots):
            node, likelihood = self.network.findings[spot], self.evidence[spot]
            size = len(likelihood)
            rank = self._rank[node.named_by]
            factors = 1.0 - self.folded[node.named_by][:, None] * (1.0 - node.table)
            rows[rank[rank >= 0], f, :size] = node.table[rank >= 0]
            base[f, :size] = factors.prod(axis=0) * node.base
            steps[f, :size] = likelihood - np.append(likelihood[1:], 0.0)
        cumulative = np.tile(base * steps, (len(self.sets.weights), 1, 1))
        for column in self.sets.members.T:
            cumulative *= rows[column]
        likelihoods: Array = cumulative.sum(axis=2)
        return likelihoods

    @cached_property
    def _outlooks(self) -> dict[Spot, Outlook]:
        return {}

    @cached_property
    def _kept_sets(self) -> SetsAsked:
        return SetsAsked(self.members, self._rank, len(self.table.active), self._residual)

    @cached_property
    def _residual(self) -> Array:
        """Chance of each cause beyond what the kept sets say, shape (causes,)."""
        residual = self.folded.copy()
        kept = self.weights @ self.has
        missing = (self.sets.chances - kept) / np.maximum(1.0 - kept, 1e-12)
        residual[self.table.active] = np.clip(missing, 0.0, 0.5)
        return residual

    @cached_property
    def _rank(self) -> NDArray[np.intp]:
        """For every cause its place among the active ones, -1 if it is not active."""
        rank = np.full(len(self.network.causes), -1, dtype=np.intp)
        rank[self.table.active] = np.arange(len(self.table.active))
        return rank


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
    chances = table.folded.copy()
    chances[table.active] = sets.chances
    return Belief(network, evidence, table, sets, np.clip(chances, 0.0, 1.0))


def anywhere(belief: Belief, cause: str) -> float:
    """Chance that a cause is present at some corner or another [unitless].

    Faults at two corners hardly ever come together once a complaint is explained, so the chances
    of the corners are not independent; the union is taken over the listed sets of causes.
    """
    spots = belief.places.get(cause, [])
    if not spots:
        return 0.0
    weights = belief.sets.weights / belief.sets.weights.sum()
    ranks = belief._rank[spots]
    sought = np.zeros(len(belief.table.active) + 1, dtype=bool)  # the last stands for no cause
    sought[ranks[ranks >= 0]] = True
    absent = ~sought[belief.sets.members].any(axis=1)
    elsewhere = float(np.prod(1.0 - belief.folded[spots]))
    union = 1.0 - float(weights @ absent) * elsewhere
    single = belief.chances[spots]
    return min(max(union, float(single.max())), float(single.sum()))
