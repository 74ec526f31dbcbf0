"""Why: each finding's weight of evidence for and against each cause.

The weight is the change of the cause's log odds when the finding is added to all the others
(weight of evidence, in bit). It is taken from the listed sets by dividing the finding's likelihood
out of their weights again; for findings that were folded into the odds it is the same sum done
on the cause alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.belief import Belief

Array = NDArray[np.float64]
TINY = 1e-300


class Weight(Struct, frozen=True):
    """One finding's weight of evidence for a cause [bit]."""

    finding: Spot
    bits: float


class Weights(Mapping[Spot, tuple[Weight, ...]]):
    """For every cause, the findings that move it, heaviest first; sorted only when looked at."""

    def __init__(self, belief: Belief) -> None:
        self._network = belief.network
        self._observed = [spot for spot in belief.evidence if spot in belief.network.findings]
        self._bits = _all_bits(belief, self._observed)
        known = np.where(np.isnan(self._bits), np.inf, self._bits)
        self._lowest = known.argmin(axis=0) if self._observed else np.zeros(0, dtype=int)

    def __getitem__(self, cause: Spot) -> tuple[Weight, ...]:
        column = self._bits[:, self._network.index[cause]]
        found = [
            Weight(self._observed[f], float(column[f])) for f in np.nonzero(~np.isnan(column))[0]
        ]
        return tuple(sorted(found, key=lambda weight: (-abs(weight.bits), str(weight.finding))))

    def __iter__(self) -> Iterator[Spot]:
        return iter(self._network.index)

    def __len__(self) -> int:
        return len(self._network.index)

    def heaviest_against(self, cause: Spot) -> Weight | None:
        """The finding that speaks most against a cause."""
        index = self._network.index[cause]
        if not self._observed:
            return None
        worst = int(self._lowest[index])
        bits = float(self._bits[worst, index])
        return None if np.isnan(bits) else Weight(self._observed[worst], bits)


def weights(belief: Belief) -> Weights:
    """For every cause, the findings that move it, heaviest first."""
    return Weights(belief)


def _all_bits(belief: Belief, observed: list[Spot]) -> Array:
    """Change of the log odds of each cause by each finding, shape (f, causes) [bit].

    NaN where a finding says nothing about a cause.
    """
    bits = np.full((len(observed), len(belief.network.causes)), np.nan)
    inactive = np.ones(bits.shape[1], dtype=bool)
    inactive[belief.table.active] = False
    for f, spot in enumerate(observed):
        for cause, row in belief.network.findings[spot].rows.items():
            if inactive[cause]:  # folded: only a certainly normal graded finding gets here
                bits[f, cause] = np.log2(row[0])
    bits[:, belief.table.active] = _active_bits(belief, observed)
    return bits


def _active_bits(belief: Belief, observed: list[Spot]) -> Array:
    """Change of the log odds of each active cause by each finding, shape (f, active) [bit]."""
    listed = belief.sets.weights
    without = listed / np.maximum(_likelihoods(belief, observed), TINY)
    now = _logit(_by_cause(belief, listed[None]), listed.sum(keepdims=True)[:, None])
    before = _logit(_by_cause(belief, without), without.sum(axis=1, keepdims=True))
    bits: Array = (now - before) / np.log(2.0)
    return bits


def _likelihoods(belief: Belief, observed: list[Spot]) -> Array:
    """Likelihood of each finding's evidence under each listed set, shape (f, listed)."""
    graded = [f for f, spot in enumerate(observed) if belief.network.findings[spot].graded]
    found = np.empty((len(observed), len(belief.sets.weights)))
    found[graded] = belief.explain_graded([observed[f] for f in graded]).T
    for f in sorted(set(range(len(observed))) - set(graded)):
        found[f] = belief.explain(observed[f]) @ belief.evidence[observed[f]]
    return found


def _by_cause(belief: Belief, weights: Array) -> Array:
    """Sum of the weights (n, listed) of the sets that hold each active cause, shape (n, active).

    Sets are short: adding up their members is less work than a product of whole matrices.
    """
    count, widest = len(belief.table.active), belief.sets.members.shape[1]
    places = np.where(belief.sets.members < 0, count, belief.sets.members).ravel()
    sums = [np.bincount(places, np.repeat(row, widest), count + 1)[:count] for row in weights]
    return np.array(sums, dtype=np.float64).reshape(len(weights), count)


def _logit(inside: Array, total: Array) -> Array:
    outside = np.maximum(total - inside, TINY)
    logits: Array = np.log(np.maximum(inside, TINY)) - np.log(outside)
    return logits
