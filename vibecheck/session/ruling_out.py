"""What is ruled out: by a look at that very part or a measurement of it, and by nothing else.

A cause under the threshold is ruled out if a finding of that part, at that place, taken alone
speaks against it by 20 to 1 or more, and came from a look, a measurement or a trial. What people
say rules nothing out, and a cause that another one explains away is only less likely now.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import FindingKind
from vibecheck.reasoning.network import FindingNode
from vibecheck.session.inference import Inference

ODDS_AGAINST = 20.0
_SPOKEN = (FindingKind.COMPLAINT, FindingKind.HISTORY)
LookedAt = tuple[Spot, FindingNode, NDArray[np.float64]]  # with the result's likelihood


class RuledOut(Struct, frozen=True):
    """A cause at its place, the finding that ruled it out, and that finding's entry.

    `odds` are how many times likelier the finding is without the cause than with it [unitless].
    """

    cause: Spot
    finding: Spot
    entry: Entry
    odds: float


def ruled_out(plan: Inference) -> tuple[RuledOut, ...]:
    """All causes that are ruled out, each by the finding that speaks most against it."""
    chances, least = plan.belief.chances, plan.library.settings.prune_below
    looked_at = [
        (spot, finding, likelihood)
        for spot, likelihood in plan.case_evidence.evidence.items()
        if (finding := plan.network.findings.get(spot)) is not None
        and finding.rule.kind not in _SPOKEN
    ]
    found = []
    for index in plan.by_chance:
        if chances[index] < least:
            best = _strongest(plan, index, looked_at)
            if best is not None:
                found.append(best)
    return tuple(found)


def _strongest(plan: Inference, index: int, looked_at: Sequence[LookedAt]) -> RuledOut | None:
    node = plan.network.causes[index]
    best: RuledOut | None = None
    for spot, finding, likelihood in looked_at:
        if index not in finding.rows or spot.corner is not node.spot.corner:
            continue
        if not any(spot.id in plan.library.checks[check].yields for check in node.rule.confirm_by):
            continue
        odds = odds_against(finding, index, likelihood)
        if odds >= ODDS_AGAINST and (best is None or odds > best.odds):
            best = RuledOut(node.spot, spot, plan.case_evidence.entries[spot], odds)
    return best


def odds_against(
    finding: FindingNode, cause: int, likelihood: np.ndarray[tuple[int, ...], np.dtype[np.float64]]
) -> float:
    """How many times likelier a result is without the cause than with it, both alone [unitless].

    Parameters
    ----------
    finding, cause : the finding's node and the index of a cause that it names.
    likelihood : of the result, over the states, shape (states,).
    """
    without, alone = finding.base, finding.rows[cause]
    if finding.graded:  # cumulative: noisy-max multiplies the leak and the cause
        without, alone = np.diff(without, prepend=0.0), np.diff(without * alone, prepend=0.0)
    with_cause = float(alone @ likelihood)
    return float(without @ likelihood) / max(with_cause, 1e-300)
