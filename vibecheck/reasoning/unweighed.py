"""What sets that were not weighed weigh, guessed from those of the same size that were grown.

Of each set of causes is known what one more cause can add at most: `reach`, the summed gains of the
causes of later rank over a smaller set inside it. What they do add is less, since causes explain
each other away: the more so the more there was to explain, and the better the set explains it, that
is, the more it weighs. Of the sets that are grown all three are known; a product of powers, fitted
to them, tells what the others would have added. Sets with still more causes are counted as they
were found beyond those that were grown.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
_TINY = 1e-300
_FEWEST = 20  # sets that must have been grown for a fit


class Explained(Struct, frozen=True):
    """What a further cause adds, as a share of `reach`, at most 1:

    exp(level) * reach ** slope * weight ** tilt, with the set's weight as a share of the heaviest
    of its size. As it stands it is about that of deep searches of demo cases and random networks.
    """

    level: float = -1.0
    slope: float = -0.5
    tilt: float = 0.0

    def share(self, reach: Array, weight: Array) -> Array:
        """The share for each reach and weight, of any shape [unitless]."""
        share = np.log(np.maximum(reach, _TINY))
        share *= self.slope
        share += self.level
        if self.tilt:
            share += self.tilt * np.log(np.maximum(weight, _TINY))
        np.minimum(share, 0.0, out=share)
        return np.exp(share, out=share)


def fitted(reach: Array, weight: Array, added: Array, usual: Explained) -> Explained:
    """The law that the grown sets (p,) follow; where they are too few to tell, `usual`, without
    its tilt, since that speaks of sets of another size.

    Heavier sets never gain more than light ones of the same reach, nor do sets of more reach gain
    a larger share of it: what seems so is chance, and is left out of the law.

    Parameters
    ----------
    reach, added : what a further cause may add to each of them, and what it does.
    weight : of each, as a share of the heaviest of its size.
    """
    telling = (reach > 0.0) & (added > 0.0)
    if telling.sum() < _FEWEST:
        return replace(usual, tilt=0.0)
    logs = np.log(np.stack([reach[telling], weight[telling]]))
    share = np.log(added[telling]) - logs[0]
    with_both = _powers(logs, share, [0, 1])
    if (with_both[1:] <= 0.0).all():
        return Explained(*with_both.tolist())
    with_one = [_powers(logs, share, [row]) for row in (0, 1)]
    falling = [powers for powers in with_one if (powers[1:] <= 0.0).all()]
    if not falling:
        return Explained(float(share.mean()), 0.0, 0.0)
    return Explained(*min(falling, key=lambda powers: _missed(powers, logs, share)).tolist())


def _powers(logs: Array, share: Array, rows: list[int]) -> Array:
    """Least squares (3,): a constant, and a power for these rows of logs (2, p), else 0."""
    columns = np.concatenate([np.ones((1, len(share))), logs[rows]]).T
    powers = np.zeros(3)
    powers[[0, *(row + 1 for row in rows)]] = np.linalg.lstsq(columns, share, rcond=None)[0]
    return powers


def _missed(powers: Array, logs: Array, share: Array) -> float:
    """What a fit leaves, summed squares."""
    left = share - powers[0] - powers[1:] @ logs
    return float(left @ left)


class Passed(Struct, frozen=True):
    """Sets of one size that were not grown, as children (r, n) of r smaller sets.

    log_top : log weight of the heaviest child, of which all else are shares [nat].
    members : (r, m) causes of the smaller sets.
    weight : of each child; hope : what one more cause may add to it, at most.
    gains : what each child weighs over the smaller set; after : summed gains of its siblings of
    later rank.
    """

    log_top: float
    members: Ints
    weight: Array
    hope: Array
    gains: Array
    after: Array


class Guess(Struct, frozen=True):
    """What the children with one more cause weigh: by cause (n,), and in all, as shares."""

    log_top: float
    columns: Array
    total: float


def guess(passed: Passed, law: Explained) -> Guess:
    """What the sets passed over weigh with one cause more."""
    bound = law.share(passed.after, passed.weight)
    bound *= passed.hope
    each = np.divide(bound, passed.after, out=np.zeros_like(bound), where=passed.after > 0)
    before = np.cumsum(each, axis=1)
    before -= each
    before *= passed.gains
    columns, total = by_cause(passed.members, bound)
    columns += before.sum(axis=0)
    return Guess(passed.log_top, columns, total)


def by_cause(members: Ints, shares: Array) -> tuple[Array, float]:
    """Summed shares of the children (p, n) of sets (p, m): of those that hold each cause, shape
    (n,), and of all."""
    rows = shares.sum(axis=1)
    columns: Array = shares.sum(axis=0)
    for ranks in members.T:
        columns += np.bincount(ranks, rows, len(columns))
    return columns, float(rows.sum())
