"""Why: each finding's weight of evidence for and against each cause.

The weight is the change of the cause's log odds when the finding is added to all the others
(weight of evidence, in bit). It is taken from the listed sets by dividing the finding's likelihood
out of their weights again; for findings that were folded into the odds it is the same sum done
on the cause alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.belief import Belief, membership

Array = NDArray[np.float64]
TINY = 1e-300


@dataclass(frozen=True)
class Weight:
    """One finding's weight of evidence for a cause [bit]."""

    finding: Spot
    bits: float


def weights(belief: Belief) -> dict[Spot, tuple[Weight, ...]]:
    """For every cause, the findings that move it, heaviest first."""
    observed = [spot for spot in belief.evidence if spot in belief.network.findings]
    found: dict[Spot, list[Weight]] = {node.spot: [] for node in belief.network.causes}
    bits = _touched_bits(belief, observed)
    untouched = np.ones(len(belief.network.causes), dtype=bool)
    untouched[belief.table.touched] = False
    for f, spot in enumerate(observed):
        for cause, change in zip(belief.table.touched, bits[f], strict=True):
            found[belief.network.causes[cause].spot].append(Weight(spot, float(change)))
        for cause, row in belief.network.findings[spot].rows.items():
            if untouched[cause]:  # folded: only a certainly normal graded finding gets here
                change = float(np.log2(row[0]))
                found[belief.network.causes[cause].spot].append(Weight(spot, change))
    return {
        cause: tuple(sorted(list_, key=lambda weight: (-abs(weight.bits), str(weight.finding))))
        for cause, list_ in found.items()
    }


def _touched_bits(belief: Belief, observed: list[Spot]) -> Array:
    """Change of the log odds of each touched cause by each finding, shape (f, touched) [bit]."""
    has = membership(belief.sets.members, len(belief.table.touched)).astype(float)
    listed = belief.sets.weights
    without = np.empty((len(observed), len(listed)))
    for f, spot in enumerate(observed):
        likelihood = belief.explain(spot) @ belief.evidence[spot]
        without[f] = listed / np.maximum(likelihood, TINY)
    now = _logit(listed[None] @ has, listed.sum(keepdims=True)[:, None])
    before = _logit(without @ has, without.sum(axis=1, keepdims=True))
    bits: Array = (now - before) / np.log(2.0)
    return bits


def _logit(inside: Array, total: Array) -> Array:
    outside = np.maximum(total - inside, TINY)
    logits: Array = np.log(np.maximum(inside, TINY)) - np.log(outside)
    return logits
