"""Grows sets of causes, heaviest first, and weighs each against the evidence.

A hypothesis is a set of causes; its weight is the product of their odds times the likelihood of
every searched finding. Sets grow by one cause at a time, always by one of a later rank (ranks
fall with the weight of the cause alone), so that each set is met once. All children of the sets
that are grown are weighed together, as one matrix; every set weighed counts in the
chances, and the heaviest are listed.

What the descendants of a set can weigh is bounded by its own weight times the product of
(1 + gain) over the later causes, less one. A gain is what a cause adds to a smaller set inside
it. For noisy-max findings whose likelihood rises with the state, or is a plain answer, a cause
never adds more to a larger set (it is explained away). Findings that mix, and soft answers with
their likeliest state in the middle, keep to this as a rule, not as a law: unless all answers are
plain and graded, `left_out` holds `MARGIN` times the bound. Descendants that are not weighed
count in the chances by a guess, see `unweighed`.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.memory import keep_memory
from vibecheck.reasoning.evidence import Split
from vibecheck.reasoning.listing import (
    Weighed,
    by_weight,
    heaviest,
    least_of_most,
    standing_for_all,
)
from vibecheck.reasoning.unweighed import Explained, Guess, Passed, by_cause, fitted, guess
from vibecheck.reasoning.weigh import (
    TINY,
    Level,
    Table,
    empty_set,
    grown,
    lay_out,
    weigh,
)

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
DOUBT = 0.5  # how far what is not weighed may be off its guess, as a share of the guess
MARGIN = 2.0  # taken on the bound where it is no law
_MOST_GAIN = 600.0  # keeps the bound finite
_WORTH_A_GUESS = 1e-4  # summed share of what descendants may weigh that is left out of the guess


class Effort(Struct, frozen=True):
    """How far to search.

    cut : a set is grown while its descendants may weigh more than this share of the total.
    surely : sets of one size that are grown by that alone, the most promising of them; of the
        others, those whose descendants may weigh more than `worth` times the cut.
    most_causes : causes in a set, at most.
    most_branches : sets of one size that are grown further, at most.
    most_cells : children of one size that are weighed, at most; with ten times the causes, fewer
        sets are grown, so that the time does not grow with the square.
    most_listed : sets listed, at most; the chances count every set weighed.
    most_kept : heaviest sets used for predictions as they are, at most.
    drawn : sets drawn from all others that were weighed, to stand for them in predictions.
    bounded : also bound what is left out.
    """

    cut: float = 3e-7
    surely: int = 200
    worth: float = 100.0
    most_causes: int = 6
    most_branches: int = 400
    most_cells: int = 750_000
    most_listed: int = 1000
    most_kept: int = 300
    drawn: int = 400
    bounded: bool = False


class Sets(Struct, frozen=True, dict=True):
    """Weighted sets of active causes.

    members : (k, m) indices into Split.active, -1 where a set is shorter; heaviest set first.
    weights : (k,) posterior share of each listed set [unitless].
    chances : (c,) posterior share of the sets that hold each active cause [unitless].
    none : posterior share of the empty set [unitless].
    log_total : log of the summed weights of all sets weighed, against the prior of the empty
        set and without the folded findings [nat].
    apart : how far the farthest chance moves if the sets that were not weighed count more than
        was guessed, by `DOUBT` of it [unitless]; a search ten times as deep hardly ever differs
        by more.
    left_out : if asked for, the share of the sets that were not weighed, from above [unitless];
        chances are hardly ever further off than this, and never where the bound is a law.
    """

    members: Ints
    weights: Array
    chances: Array
    none: float
    log_total: float
    apart: float
    left_out: float | None
    _found: _Found

    @cached_property
    def kept_members(self) -> Ints:
        """The sets used for predictions (kept, m): the heaviest, and then some drawn evenly from
        all others that were weighed, by weight."""
        return _causes(self._standing[0], self._found.order)

    @property
    def kept_weights(self) -> Array:
        """What each of them stands for, summing to 1, shape (kept,) [unitless]."""
        return self._standing[1]

    @property
    def kept(self) -> int:
        """How many sets are used for predictions."""
        return len(self.kept_weights)

    @cached_property
    def _standing(self) -> tuple[Ints, Array]:
        found, effort = self._found, self._found.effort
        return standing_for_all(
            found.members, found.logs, found.sizes, effort.most_kept, effort.drawn)


class _Found(Struct, frozen=True):
    """What the sets for predictions are taken from.

    members, logs : of all listed sets, by rank; sizes : all that was weighed of each size;
    order : cause of each rank.
    """

    members: Ints
    logs: Array
    sizes: tuple[Weighed, ...]
    order: Ints
    effort: Effort


class _Brood(Struct, frozen=True):
    """All children of a level, as shares of the level's heaviest.

    log_top : log weight of the heaviest child [nat].
    shares : (p, n) weight of each child over that; 0 where the cause is not of a later rank.
    gains : (p, n) what each child weighs over its parent; gained : (p,) summed.
    after : (p, n) summed gains of the siblings of later rank.
    """

    log_top: float
    shares: Array
    gains: Array
    gained: Array
    after: Array


def grow(split: Split, effort: Effort | None = None) -> Sets:
    """Weigh all sets of causes that matter.

    Raises
    ------
    ValueError : no set can explain the evidence at all (all likelihoods are zero).
    """
    keep_memory()
    effort = effort or Effort()
    table, order = _ranked(split)
    level = empty_set(table, split.leak)
    tally = _Tally(level, effort, 1.0 if _is_law(table) else MARGIN)
    alone = np.full(len(order), np.inf)
    reach = shares = np.zeros(0)
    law = Explained()
    size = 0
    while len(level.members) and size < min(effort.most_causes, len(order)):
        size += 1
        brood = _brood(level, weigh(table, level))
        tally.add(level, brood)
        if size > 1:
            law = fitted(reach, shares, brood.gained, law)
        tally.settle(law)
        if size == 2:
            alone[level.last] = brood.after[np.arange(len(level.last)), level.last]
        hope = _hope(brood, alone)
        parent = child = np.zeros(0, dtype=np.intp)
        if size < effort.most_causes:
            parent, child = _chosen(hope, brood.log_top, tally.log_total, effort)
        shares = np.maximum(brood.shares[parent, child], TINY)
        reach = hope[parent, child] / shares
        tally.leave(level, brood, hope, alone, parent, child)
        level = grown(table, level, parent, child, np.log(shares) + brood.log_top)
    tally.settle(replace(law, tilt=0.0))
    return tally.sets(order)


def _ranked(split: Split) -> tuple[Table, Ints]:
    """The table with the causes by falling weight of the cause alone, and their order."""
    order = np.arange(len(split.active), dtype=np.intp)
    table = lay_out(split, order)
    if len(order):
        weights = weigh(table, empty_set(table, split.leak))[0]
        order = np.argsort(-weights, kind="stable").astype(np.intp)
        table = lay_out(split, order)
    return table, order


def _brood(level: Level, logs: Array) -> _Brood:
    """The children of a level; `logs` is used up."""
    np.copyto(logs, -np.inf, where=np.arange(logs.shape[1])[None, :] <= level.last[:, None])
    log_top = float(logs.max(initial=-np.inf))
    if not np.isfinite(log_top):
        nothing = np.zeros_like(logs)
        return _Brood(log_top, nothing, nothing, nothing.sum(axis=1), nothing)
    logs -= log_top
    shares = np.exp(logs, out=logs)
    scale = np.exp(np.clip(log_top - level.log_weight, -_MOST_GAIN, _MOST_GAIN))
    gains = shares * scale[:, None]
    after = np.cumsum(gains, axis=1)
    gained = after[:, -1].copy()
    np.subtract(gained[:, None], after, out=after)
    return _Brood(log_top, shares, gains, gained, after)


def _is_law(table: Table) -> bool:
    """True if every searched finding is graded and plainly answered."""
    size = np.abs(table.steps)
    plain = (size == 0.0) | (size == size.max(axis=1, keepdims=True, initial=0.0))
    return bool(not len(table.background) and plain.all())


def _hope(brood: _Brood, alone: Array) -> Array:
    """What one more cause adds to each child at most, as a share of the heaviest child.

    What all descendants weigh goes with it: once a cause has explained what was left to explain,
    further ones hardly gain. `alone` (n,): summed gains of later causes over each cause alone. It,
    too, is a smaller set inside the child.
    """
    hope: Array = np.minimum(brood.after, alone)
    hope *= brood.shares
    return hope


def _most(brood: _Brood, alone: Array) -> Array:
    """What all descendants of each child weigh at most, as a share of the heaviest child."""
    most: Array = np.minimum(brood.after, np.minimum(alone, _MOST_GAIN))
    np.expm1(most, out=most)
    most *= brood.shares
    return most


def _chosen(hope: Array, log_top: float, log_total: float, effort: Effort) -> tuple[Ints, Ints]:
    """The children to be grown: rows of their parents, and ranks of what is added."""
    edge = effort.cut * float(np.exp(min(log_total - log_top, _MOST_GAIN)))
    every = hope.ravel()
    places = np.flatnonzero(every > edge)
    hopes = every[places]
    most = max(1, min(effort.most_branches, effort.most_cells // hope.shape[1]))
    least = max(
        least_of_most(hopes, most),
        min(least_of_most(hopes, effort.surely), edge * effort.worth),
    )
    parent, child = np.divmod(places[hopes >= least], hope.shape[1])
    return parent, child


class _Tally:
    """Adds up what was weighed, size by size, each as (log of the scale, shares)."""

    def __init__(self, empty: Level, effort: Effort, margin: float) -> None:
        self.log_none = float(empty.log_weight[0])
        self.log_total = self.log_none
        self.effort = effort
        self.margin = margin
        self._chances: list[tuple[float, Array]] = []
        self._guesses: list[Guess] = []
        self._passed: Passed | None = None
        self._none = (empty.members, empty.log_weight)
        self._sizes: list[Weighed] = []
        self._least = -np.inf  # log weight that a set must have to be listed
        self._left = -np.inf
        self._weighed: list[float] = []  # log of all that was weighed of each size

    def add(self, level: Level, brood: _Brood) -> None:
        """Count and list all children of a level."""
        if not np.isfinite(brood.log_top):
            self._weighed.append(-np.inf)
            return
        columns, total = by_cause(level.members, brood.shares)
        self._chances.append((brood.log_top, columns))
        self._weighed.append(brood.log_top + float(np.log(total)))
        self.log_total = float(np.logaddexp(self.log_total, self._weighed[-1]))
        least = max(float(np.exp(min(self._least - brood.log_top, 0.0))), TINY)
        places = heaviest(brood.shares.ravel(), self.effort.most_listed, least)
        self._sizes.append(Weighed(level.members, brood.log_top, brood.shares, places))
        logs = np.concatenate([size.listed[1] for size in self._sizes])
        if len(logs) > (most := self.effort.most_listed):
            self._least = float(np.partition(logs, -most)[-most])

    def leave(
        self, level: Level, brood: _Brood, hope: Array, alone: Array, parent: Ints, child: Ints
    ) -> None:
        """Note the descendants of the children that are not grown; `hope` is used up."""
        hope[parent, child] = 0.0
        each_row = hope.sum(axis=1)
        if self.effort.bounded and each_row.any():
            most = _most(brood, alone)
            most[parent, child] = 0.0
            left = np.log(self.margin * float(most.sum())) + brood.log_top
            self._left = float(np.logaddexp(self._left, left))
        least = _WORTH_A_GUESS / len(each_row) * np.exp(
            min(self.log_total - brood.log_top, _MOST_GAIN))
        rows = np.nonzero(each_row > least)[0]
        self._passed = Passed(
            brood.log_top, level.members[rows],
            *(values.take(rows, axis=0) for values in (
                brood.shares, hope, brood.gains, brood.after)))

    def settle(self, law: Explained) -> None:
        """Guess what was left of the smaller size, now that its grown sets tell how."""
        if self._passed is not None:
            self._guesses.append(guess(self._passed, law))
            self._passed = None

    def _guessed(self) -> tuple[float, list[tuple[float, Array]]]:
        """Log of all that is guessed, and its shares by cause, from the largest sets down."""
        deeper = total = -np.inf  # logs of what larger sets weigh, weighed or guessed
        guesses, weighed = [], [*self._weighed, -np.inf]
        for size in reversed(range(len(self._guesses))):
            each, next_size = self._guesses[size], weighed[size + 1]
            beyond = np.exp(min(deeper - next_size, _MOST_GAIN)) if np.isfinite(next_size) else 1.0
            guesses.append((each.log_top, beyond * each.columns))
            log_guess = np.log(max(beyond * each.total, TINY)) + each.log_top
            total = float(np.logaddexp(total, log_guess))
            deeper = float(np.logaddexp(deeper, np.logaddexp(weighed[size], log_guess)))
        return total, guesses

    def sets(self, order: Ints) -> Sets:
        if not np.isfinite(self.log_total):
            raise ValueError("no set of causes gives this evidence any chance")
        ranks, logs = by_weight([self._none, *(size.listed for size in self._sizes)])
        log_guessed, guesses = self._guessed()
        whole = float(np.logaddexp(self.log_total, log_guessed))
        found = _Found(ranks, logs, tuple(self._sizes), order, self.effort)
        ranks, logs = ranks[: self.effort.most_listed], logs[: self.effort.most_listed]
        weighed, guessed = (_summed(each, whole) for each in (self._chances, guesses))
        chances = weighed + guessed
        more = chances + DOUBT * guessed
        more /= 1.0 + DOUBT * float(np.exp(log_guessed - whole))
        return Sets(
            members=_causes(ranks, order),
            weights=np.exp(logs - whole),
            chances=_placed(chances, order),
            none=float(np.exp(self.log_none - whole)),
            log_total=self.log_total,
            apart=float(np.abs(more - chances).max(initial=0.0)),
            left_out=self._left_out() if self.effort.bounded else None,
            _found=found,
        )

    def _left_out(self) -> float:
        return float(np.exp(-np.logaddexp(0.0, self.log_total - self._left)))


def _summed(columns: list[tuple[float, Array]], whole: float) -> Array:
    """Shares by cause of several scales, as shares of the whole."""
    return sum((each * np.exp(log_top - whole) for log_top, each in columns), np.zeros(1))


def _placed(by_rank: Array, order: Ints) -> Array:
    """Values by rank as values by active cause."""
    placed = np.zeros(len(order))
    placed[order] = by_rank
    return placed


def _causes(ranks: Ints, order: Ints) -> Ints:
    """Ranks as indices of active causes, -1 as it is."""
    found: Ints = np.where(ranks < 0, -1, order[ranks]) if len(order) else ranks
    return found
