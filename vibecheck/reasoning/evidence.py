"""Evidence split into what folds into the odds and what has to be searched.

Evidence is a likelihood over the states of each observed finding. A graded finding that is
certainly normal multiplies the odds of each cause by its chance of staying normal: that is
exact, so such findings never enter the search. All others do, with the causes that they name.
Causes that are still probable without being named enter too: the sets then tell what the next
check can tell, from the first question on.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.network import FindingNode, Network

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Evidence = Mapping[Spot, Array]

NOTABLE = 5e-4  # a cause this probable enters the sets though nothing searched names it


class Split(Struct, frozen=True):
    """Evidence made ready for the search over the `active` causes.

    active : indices into network.causes, shape (c,).
    odds : folded odds of the active causes, shape (c,), unitless.
    folded : folded probability of every cause, shape (causes,); valid for those not active.
    graded, which : findings searched, in the order of the tables.
    steps : (f, s) weights that turn cumulative rows into the likelihood of the evidence.
    leak : (f, s) cumulative leak; cumulative : (c, f, s) rows, 1 where a cause is silent.
    background : (w,) likelihood if no cause speaks; speaks, says : (c, w) 0/1 and likelihood.
    """

    active: Ints
    odds: Array
    folded: Array
    graded: tuple[Spot, ...]
    which: tuple[Spot, ...]
    steps: Array
    leak: Array
    cumulative: Array
    background: Array
    speaks: Array
    says: Array


def hard(node: FindingNode, state: str) -> Array:
    """Likelihood of a plain answer, shape (states,)."""
    row = np.zeros(len(node.states))
    row[node.states.index(state)] = 1.0
    return row


def is_normal(node: FindingNode, likelihood: Array) -> bool:
    """True for a graded finding that is certainly in its first state."""
    return node.graded and not likelihood[1:].any()


def split(network: Network, evidence: Evidence) -> Split:
    """Fold the normal findings, table the rest.

    Parameters
    ----------
    network : the vehicle's rule graph.
    evidence : finding spot -> likelihood, shape (states,), not all zero. Spots that the
        vehicle does not have are left out.
    """
    odds = network.odds.copy()
    graded: list[FindingNode] = []
    which: list[FindingNode] = []
    for spot, likelihood in sorted(evidence.items(), key=lambda item: str(item[0])):
        node = network.findings.get(spot)
        if node is None:
            continue
        if is_normal(node, likelihood):
            odds[node.named_by] *= node.table[:, 0]
        else:
            (graded if node.graded else which).append(node)
    folded = odds / (1.0 + odds)
    named = folded >= NOTABLE
    for node in [*graded, *which]:
        named[node.named_by] = True
    active = np.nonzero(named)[0]
    place = np.cumsum(named) - 1
    steps, leak, cumulative = _graded_tables(graded, evidence, place, len(active))
    background, speaks, says = _which_tables(which, evidence, place, len(active))
    return Split(
        active=active,
        odds=odds[active],
        folded=folded,
        graded=tuple(node.spot for node in graded),
        which=tuple(node.spot for node in which),
        steps=steps,
        leak=leak,
        cumulative=cumulative,
        background=background,
        speaks=speaks,
        says=says,
    )


def _graded_tables(
    nodes: list[FindingNode], evidence: Evidence, place: Ints, count: int
) -> tuple[Array, Array, Array]:
    depth = max((len(node.states) for node in nodes), default=1)
    steps = np.zeros((len(nodes), depth))
    leak = np.ones((len(nodes), depth))
    cumulative = np.ones((count, len(nodes), depth))
    for f, node in enumerate(nodes):
        likelihood = evidence[node.spot]
        size = len(likelihood)
        steps[f, :size] = likelihood - np.append(likelihood[1:], 0.0)
        leak[f, :size] = node.base
        cumulative[place[node.named_by], f, :size] = node.table
    return steps, leak, cumulative


def _which_tables(
    nodes: list[FindingNode], evidence: Evidence, place: Ints, count: int
) -> tuple[Array, Array, Array]:
    background = np.array([float(node.base @ evidence[node.spot]) for node in nodes])
    speaks = np.zeros((count, len(nodes)))
    says = np.zeros((count, len(nodes)))
    for f, node in enumerate(nodes):
        speaks[place[node.named_by], f] = 1.0
        says[place[node.named_by], f] = node.table @ evidence[node.spot]
    return background, speaks, says
