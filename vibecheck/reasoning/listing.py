"""Which of the sets that were weighed are listed, and which stand for all of them in predictions.

The heaviest sets are listed. Predictions use the heaviest of the list as they are;
for all others some are drawn evenly by weight, each standing for as much as any other.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
_TINY = 1e-300
_FAR_TOO_SMALL = (1e-3, 1e-7, 0.0)  # shares of the largest value that are tried in turn


class Weighed(Struct, frozen=True, dict=True):
    """All sets of one size that were weighed: sets of one cause less, with each cause added.

    members : (p, m) causes of the smaller sets.
    log_top : log weight of the heaviest [nat]; shares : (p, n) weight of each over that.
    heaviest : (h,) flat places of those that are listed.
    """

    members: Ints
    log_top: float
    shares: Array
    heaviest: Ints

    @cached_property
    def listed(self) -> tuple[Ints, Array]:
        """Members (h, m + 1) and log weights (h,) of those listed."""
        logs = np.log(self.shares.ravel()[self.heaviest])
        logs += self.log_top
        return self._sets(self.heaviest), logs

    def drawn(self, most: int) -> tuple[Ints, Array]:
        """Members and log weights of some drawn from those not listed, by weight."""
        rest = self.shares.copy()
        rest.ravel()[self.heaviest] = 0.0
        places, share = _drawn_of_rows(rest, most)
        if not len(places):
            return np.zeros((0, self.members.shape[1] + 1), dtype=np.intp), np.zeros(0)
        return self._sets(places), np.full(len(places), np.log(share) + self.log_top)

    def _sets(self, flat: Ints) -> Ints:
        """Members of some, by their places in the flattened shares."""
        parent, child = np.divmod(flat, self.shares.shape[1])
        members: Ints = np.concatenate([self.members[parent], child[:, None]], axis=1)
        return members


def least_of_most(values: Array, most: int) -> float:
    """The least of the `most` largest values, just above zero if there are fewer."""
    if len(values) <= most:
        return _TINY
    return max(float(np.partition(values, -most)[-most]), _TINY)


def heaviest(values: Array, most: int, least: float = _TINY) -> Ints:
    """Places of the `most` largest values of at least `least`, in the order of the values given.

    They are sought only among those that are not far too small for it.
    """
    largest = float(values.max(initial=0.0))
    for share in _FAR_TOO_SMALL:
        places = np.flatnonzero(values >= max(share * largest, least))
        if len(places) >= most or share * largest <= least:
            break
    among = values[places]
    found: Ints = places[among >= least_of_most(among, most)]
    return found


def by_weight(listed: list[tuple[Ints, Array]]) -> tuple[Ints, Array]:
    """Members and log weights of listed sets of all sizes, the heaviest first; -1 where a set is
    shorter than the longest."""
    logs = np.concatenate([logs for _, logs in listed])
    members = np.full((len(logs), max(ranks.shape[1] for ranks, _ in listed)), -1, dtype=np.intp)
    start = 0
    for ranks, _ in listed:
        members[start : start + len(ranks), : ranks.shape[1]] = ranks
        start += len(ranks)
    order = np.argsort(-logs, kind="stable")
    return members[order], logs[order]


def standing_for_all(
    members: Ints, logs: Array, sizes: tuple[Weighed, ...], most: int, drawn: int
) -> tuple[Ints, Array]:
    """The sets for predictions, and what each of them stands for, summing to 1.

    Parameters
    ----------
    members, logs : of all that are listed, the heaviest first.
    most : of them that are taken as they are; drawn : how many stand for all others.
    """
    others = [(members[most:], logs[most:]), *(size.drawn(drawn) for size in sizes)]
    more, log_more = by_weight(others)
    top = float(logs[0])
    places, share = _drawn(np.exp(log_more - top), drawn)
    both, _ = by_weight([
        (members[:most], np.zeros(len(members[:most]))), (more[places], np.zeros(len(places)))])
    weights = np.concatenate([np.exp(logs[:most] - top), np.full(len(places), share)])
    return both, weights / weights.sum()


def _drawn(weights: Array, most: int) -> tuple[Ints, float]:
    """Places drawn evenly by weight, and the weight that each stands for."""
    total = np.cumsum(weights)
    if not most or not len(total) or not total[-1] > 0.0:
        return np.zeros(0, dtype=np.intp), 0.0
    marks = (np.arange(most) + 0.5) * (total[-1] / most)
    return np.searchsorted(total, marks), float(total[-1] / most)


def _drawn_of_rows(rest: Array, most: int) -> tuple[Ints, float]:
    """The same of a table (p, n), as flat places.

    Only rows that a draw falls into are summed up place by place.
    """
    rows = rest.sum(axis=1)
    row, share = _drawn(rows, most)
    if not len(row):
        return row, share
    into = (np.arange(len(row)) + 0.5) * share - (np.cumsum(rows) - rows)[row]
    chosen, which = np.unique(row, return_inverse=True)
    inside = np.cumsum(rest[chosen], axis=1)[which]
    into = np.clip(into, _TINY, inside[:, -1])
    column = (inside < into[:, None]).sum(axis=1)
    return row * rest.shape[1] + column, share
