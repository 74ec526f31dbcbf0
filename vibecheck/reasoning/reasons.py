"""Why: each finding's weight of evidence for and against each cause.

The weight is the change of the cause's log odds when the finding is added to all the others
(weight of evidence, in bit). It is taken from the kept sets by dividing the finding's likelihood
out of their weights again; for findings that were folded into the odds it is the same sum done
on the cause alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.belief import Belief

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
    for spot in observed:
        for cause, bits in _moves(belief, spot).items():
            found[cause].append(Weight(spot, bits))
    return {
        cause: tuple(sorted(list_, key=lambda weight: (-abs(weight.bits), str(weight.finding))))
        for cause, list_ in found.items()
    }


def _moves(belief: Belief, spot: Spot) -> dict[Spot, float]:
    """The bits by which one finding moves each cause that it can move."""
    node = belief.network.findings[spot]
    likelihood = belief.evidence[spot]
    by_set = np.maximum(belief.predict(spot) @ likelihood, TINY)
    without = belief.weights / by_set
    without = without / without.sum()
    bits = _set_bits(belief, belief.weights, without)
    moved = {
        belief.network.causes[cause].spot: float(bits[k])
        for k, cause in enumerate(belief.table.touched)
    }
    touched = set(belief.table.touched.tolist())
    for cause, row in node.rows.items():
        if cause not in touched:  # folded: only a certainly normal graded finding gets here
            moved[belief.network.causes[cause].spot] = float(np.log2(row[0]))
    return moved


def _set_bits(belief: Belief, after: Array, before: Array) -> Array:
    has = belief.has.astype(float)
    logit_after = _logit(after @ has, after @ (1.0 - has))
    logit_before = _logit(before @ has, before @ (1.0 - has))
    bits: Array = (logit_after - logit_before) / np.log(2.0)
    return bits


def _logit(inside: Array, outside: Array) -> Array:
    logits: Array = np.log(np.maximum(inside, TINY)) - np.log(np.maximum(outside, TINY))
    return logits
