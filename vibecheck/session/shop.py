"""A shop's own figures over its closed visits: what was behind each kind of complaint, how often
the first remedy held, the minutes to the right decision, and who came back.

A visit counts for "behind" and "minutes" if its outcome is confirmed (`outcomes`), for "held" if
what was found was looked at again after the first remedy, or somebody came back.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vibecheck.knowledge.library import Library
from vibecheck.reasoning.shrinkage import BetaShare, counted_share
from vibecheck.session.outcomes import Closed, OutcomeStanding, Visits
from vibecheck.session.rule_numbers import behind

LEAST = 5  # visits below which a share or a median is not told
_COUNTED = frozenset({
    OutcomeStanding.CONFIRMED, OutcomeStanding.NOT_ITS_REMEDY, OutcomeStanding.NOT_LOOKED_AGAIN,
    OutcomeStanding.PARTLY_LOOKED_AGAIN, OutcomeStanding.NOT_FIXED, OutcomeStanding.CAME_BACK,
})  # fmt: skip


@dataclass(frozen=True)
class FoundBehind:
    """A fault behind one kind of complaint: confirmed visits, and its share by the rules."""

    cause: str
    visits: int
    by_the_rules: float


@dataclass(frozen=True)
class Minutes:
    """Minutes of the checks before the first remedy, by the rules: the middle half [min]."""

    visits: int
    low: float
    median: float
    high: float


@dataclass(frozen=True)
class KindOfComplaint:
    """What became of one kind of complaint; `complaint` is None for all kinds together.

    visits : with a fault written down at the end. confirmed : of these.
    held, not_held : whose first remedies held, or did not; the others were not looked at again.
    share_held : of those, with its bounds; None where too few.
    came_back : visits that somebody came back from.
    """

    complaint: str | None
    visits: int
    confirmed: int
    behind: tuple[FoundBehind, ...]
    held: int
    not_held: int
    share_held: BetaShare | None
    minutes: Minutes | None
    came_back: int


@dataclass(frozen=True)
class Shop:
    """All of it, the most frequent kind first."""

    visits: Visits
    together: KindOfComplaint
    kinds: tuple[KindOfComplaint, ...]


def shop_of(library: Library, visits: Visits) -> Shop:
    """The figures of a folder's visits."""
    counted = [each for each in visits.closed if each.standing in _COUNTED]
    written = {each.complaint: dict(each.shares) for each in behind(library, {})}
    told = Counter(each.complaint for each in counted if each.complaint is not None)
    kinds = tuple(
        _kind(name, [each for each in counted if each.complaint == name], written.get(name, {}))
        for name, _ in told.most_common()
    )
    return Shop(visits, _kind(None, counted, {}), kinds)


def _kind(
    complaint: str | None, visits: Sequence[Closed], written: dict[str, float]
) -> KindOfComplaint:
    confirmed = [each for each in visits if each.standing is OutcomeStanding.CONFIRMED]
    causes = Counter(each.cause.id for each in confirmed if each.cause is not None)
    held = sum(each.held is True for each in visits)
    lost = sum(each.held is False for each in visits)
    return KindOfComplaint(
        complaint, len(visits), len(confirmed),
        tuple(FoundBehind(name, count, written.get(name, 0.0))
              for name, count in sorted(causes.items(), key=lambda item: (-item[1], item[0]))),
        held, lost, counted_share(held, held + lost) if held + lost >= LEAST else None,
        _minutes([each.minutes for each in confirmed]),
        sum(each.came_back for each in visits),
    )  # fmt: skip


def _minutes(spent: Sequence[float]) -> Minutes | None:
    if len(spent) < LEAST:
        return None
    low, median, high = (float(each) for each in np.quantile(spent, (0.25, 0.5, 0.75)))
    return Minutes(len(spent), low, median, high)
