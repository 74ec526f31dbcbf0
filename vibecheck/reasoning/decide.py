"""What to do: the remedies in order, and whether to go on asking."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from msgspec import Struct

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import CheckKind
from vibecheck.reasoning.belief import Belief
from vibecheck.reasoning.cure import Cures, cost_to_resolve
from vibecheck.reasoning.nextcheck import Option

WORTH_NAMING = 0.01  # remedies below this chance of cure are not named
FITTING = 0.5  # a remedy fits a set of causes from this chance of cure on
CONFIDENT_ENOUGH = 0.5  # acting instead of measuring needs at least this chance


class Try(Struct, frozen=True):
    """A remedy to try: chance of cure [unitless], effort and cost to resolve [min].

    `covers` is the share of what is believed for which this is a fitting remedy [unitless].
    """

    spot: Spot
    chance: float
    covers: float
    effort: float
    cost_to_resolve: float
    here: bool
    cures: tuple[Spot, ...]


class Stopping(StrEnum):
    """Why to stop asking, or why not."""

    GO_ON = "go_on"
    SAME_REMEDY = "same_remedy"
    ACTING_CHEAPER = "acting_cheaper"
    NOTHING_LEFT = "nothing_left"
    NO_FAULT = "no_fault"


class Ruling(Struct, frozen=True):
    """The stopping rule's word."""

    verdict: Stopping
    decided: bool
    remedy: Spot | None
    chance: float


def tries(belief: Belief, cures: Cures) -> tuple[Try, ...]:
    """Remedies by falling chance of cure per minute of effort."""
    chances = cures.chances(belief.weights)
    named = [int(r) for r in np.nonzero(chances >= WORTH_NAMING)[0]]
    rest = belief.weights[:, None] * (1.0 - cures.cures[:, named])
    others = cost_to_resolve(cures.masses(rest), cures.kinds, cures.efforts, failed=named)
    fitting = belief.weights @ (cures.cures >= FITTING)
    found = [
        Try(
            cures.spots[r],
            float(chances[r]),
            float(fitting[r]),
            float(cures.efforts[r]),
            float(cures.efforts[r]) + float(after),
            bool(cures.here[r]),
            cures.causes[r],
        )
        for r, after in zip(named, others, strict=True)
    ]
    found.sort(key=lambda each: (-each.chance / each.effort, str(each.spot)))
    return tuple(found)


def rule(
    belief: Belief, ordered: tuple[Try, ...], checks: tuple[Option, ...], agree_above: float
) -> Ruling:
    """Go on asking, or stop and say why.

    Parameters
    ----------
    ordered, checks : results of `tries` and `nextcheck.options`.
    agree_above : share of the remaining mass that one remedy must fit [unitless].
    """
    agreed = next((each for each in ordered if each.covers >= agree_above), None)
    first = ordered[0] if ordered else None
    if belief.no_fault >= agree_above:
        return Ruling(Stopping.NO_FAULT, bool(belief.evidence), None, belief.no_fault)
    if first is None:
        return Ruling(Stopping.GO_ON if checks else Stopping.NOTHING_LEFT, False, None, 0.0)
    if agreed is not None:
        return Ruling(Stopping.SAME_REMEDY, True, agreed.spot, agreed.chance)
    if not checks:
        return Ruling(Stopping.NOTHING_LEFT, True, first.spot, first.chance)
    asked = [option for option in checks if not option.urgent]
    if _called_for(belief, first) >= CONFIDENT_ENOUGH and (
        _looked_at(belief, first)
        or not any(worth_asking(belief, option, first) for option in asked)
    ):
        return Ruling(Stopping.ACTING_CHEAPER, True, first.spot, first.chance)
    return Ruling(Stopping.GO_ON, False, first.spot, first.chance)


def _looked_at(belief: Belief, first: Try) -> bool:
    """Whether the likeliest fault that a remedy cures was looked at or measured by its own check:
    what could still be asked is then asked after the repair, if at all."""
    network, library = belief.network, belief.network.library
    spot = max(first.cures, key=lambda each: float(belief.chances[network.index[each]]))
    own = next((library.checks[name] for name in network.causes[network.index[spot]].rule.confirm_by
                if library.checks[name].kind is not CheckKind.QUESTION), None)
    return own is not None and any(
        Spot(name, corner) in belief.evidence
        for name in own.yields for corner in {spot.corner, None}
    )


def worth_asking(belief: Belief, option: Option, first: Try) -> bool:
    """Whether a check saves more than it costs beside the remedy that would be tried.

    Of the way to the check only what goes beyond the way to the remedy is counted: the rest is
    gone anyway when the remedy is done.
    """
    library = belief.network.library
    remedy = library.remedies[first.spot.id]
    parts = library.access.parts_minutes.get(remedy.parts, 0.0)
    way = max(first.effort - remedy.minutes - parts, 0.0)
    return option.saves >= option.minutes + max(option.access_minutes - way, 0.0)


def _called_for(belief: Belief, first: Try) -> float:
    """Chance that a remedy cures all, or that a cause is present which it fits.

    The second counts where several faults are present at once: no remedy cures them all, yet
    each has to be done.
    """
    network = belief.network
    present = []
    for spot in first.cures:
        index = network.index[spot]
        word = network.causes[index].rule.remedies[first.spot.id]
        if network.library.strength(word) >= FITTING:
            present.append(float(belief.chances[index]))
    return max([first.chance, *present])
