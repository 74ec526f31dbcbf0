"""Grows sets of causes, heaviest first, and weighs each against the evidence.

A hypothesis is a set of causes; its weight is the product of their odds times the likelihood of
every searched finding. Sets grow by one cause at a time, always by one of a later rank (ranks
fall with the weight of the cause alone), so that each set is met once. All children of the sets
that are grown are weighed together, as one matrix per finding; every set weighed counts in the
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

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.reasoning.evidence import Split
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
_FAR_TOO_SMALL = (1e-3, 1e-7, 0.0)  # shares of the largest value that are tried in turn
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


class Sets(Struct, frozen=True):
    """Weighted sets of active causes.

    members : (k, m) indices into Split.active, -1 where a set is shorter; heaviest set first.
    weights : (k,) posterior share of each listed set [unitless].
    chances : (c,) posterior share of the sets that hold each active cause [unitless].
    kept_members : (kept, m) the sets used for predictions: the heaviest, and then some drawn
        evenly from all others that were weighed, by weight.
    kept_weights : (kept,) what each of them stands for, summing to 1 [unitless].
    none : posterior share of the empty set [unitless].
    log_total : log of the summed weights of all sets weighed, against the prior of the empty
        set and without the folded findings [nat].
    apart : how far the farthest chance moves if the sets that were not weighed count more than
        was guessed, by `DOUBT` of it [unitless]; a search ten times as deep hardly ever differs
        by more.
    left_out : share of the sets that were not weighed, from above [unitless]; chances are
        hardly ever further off than this, and never where the bound is a law.
    """

    members: Ints
    weights: Array
    chances: Array
    kept_members: Ints
    kept_weights: Array
    none: float
    log_total: float
    left_out: float
    apart: float

    @property
    def kept(self) -> int:
        """How many sets are used for predictions."""
        return len(self.kept_weights)


class _Brood(Struct, frozen=True):
    """All children of a level, as shares of the level's heaviest.

    log_top : log weight of the heaviest child [nat].
    shares : (p, n) weight of each child over that; 0 where the cause is not of a later rank.
    gains : (p, n) what each child weighs over its parent.
    after : (p, n) summed gains of the siblings of later rank.
    """

    log_top: float
    shares: Array
    gains: Array
    after: Array


def grow(split: Split, effort: Effort | None = None) -> Sets:
    """Weigh all sets of causes that matter.

    Raises
    ------
    ValueError : no set can explain the evidence at all (all likelihoods are zero).
    """
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
            law = fitted(reach, shares, brood.gains.sum(axis=1), law)
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
        return _Brood(log_top, nothing, nothing, nothing)
    logs -= log_top
    shares = np.exp(logs, out=logs)
    scale = np.exp(np.clip(log_top - level.log_weight, -_MOST_GAIN, _MOST_GAIN))
    gains = shares * scale[:, None]
    after = np.cumsum(gains, axis=1)
    np.subtract(gains.sum(axis=1, keepdims=True), after, out=after)
    return _Brood(log_top, shares, gains, np.maximum(after, 0.0, out=after))


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
    parent, child = np.nonzero(hope > edge)
    hopes = hope[parent, child]
    most = max(1, min(effort.most_branches, effort.most_cells // hope.shape[1]))
    least = max(
        _edge(hopes, most),
        min(_edge(hopes, effort.surely), edge * effort.worth),
    )
    best = hopes >= least
    return parent[best], child[best]


def _edge(values: Array, most: int) -> float:
    """The least of the `most` largest values, just above zero if there are fewer."""
    if len(values) <= most:
        return TINY
    return max(float(np.partition(values, -most)[-most]), TINY)


def _heaviest(values: Array, most: int) -> Ints:
    """Places of the `most` largest values above zero.

    They are put in order only among those that are not far too small for it.
    """
    largest = float(values.max(initial=0.0))
    for share in _FAR_TOO_SMALL:
        places = np.nonzero(values >= max(share * largest, TINY))[0]
        if len(places) >= most:
            break
    found: Ints = places[values[places] >= _edge(values[places], most)]
    return found


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
        self._listed: list[tuple[Ints, Array]] = [(empty.members, empty.log_weight)]
        self._rest: list[tuple[Ints, Array]] = []
        self._left = -np.inf
        self._weighed: list[float] = []  # log of all that was weighed of each size

    def add(self, level: Level, brood: _Brood) -> None:
        """Count and list all children of a level."""
        if not np.isfinite(brood.log_top):
            self._weighed.append(-np.inf)
            return
        columns = by_cause(level.members, brood.shares)
        self._chances.append((brood.log_top, columns))
        total = float(brood.shares.sum())
        self._weighed.append(brood.log_top + float(np.log(total)))
        self.log_total = float(np.logaddexp(self.log_total, self._weighed[-1]))
        flat = brood.shares.ravel()
        heaviest = _heaviest(flat, self.effort.most_listed)
        self._listed.append((
            _children(level, brood, heaviest), np.log(flat[heaviest]) + brood.log_top
        ))
        drawn, share = _drawn_of_rows(brood.shares, heaviest, self.effort.drawn)
        if len(drawn):
            logs = np.full(len(drawn), np.log(share) + brood.log_top)
            self._rest.append((_children(level, brood, drawn), logs))

    def leave(
        self, level: Level, brood: _Brood, hope: Array, alone: Array, parent: Ints, child: Ints
    ) -> None:
        """Note the descendants of the children that are not grown; `hope` is used up."""
        hope[parent, child] = 0.0
        each_row = hope.sum(axis=1)
        if each_row.any():
            most = _most(brood, alone)
            most[parent, child] = 0.0
            left = np.log(self.margin * float(most.sum())) + brood.log_top
            self._left = float(np.logaddexp(self._left, left))
        least = _WORTH_A_GUESS / len(each_row) * np.exp(
            min(self.log_total - brood.log_top, _MOST_GAIN))
        rows = np.nonzero(each_row > least)[0]
        self._passed = Passed(
            brood.log_top, level.members[rows], brood.shares[rows], hope[rows], brood.gains[rows],
            brood.after[rows])

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
        ranks, logs = _by_weight(self._listed)
        log_guessed, guesses = self._guessed()
        whole = float(np.logaddexp(self.log_total, log_guessed))
        kept, weights = self._kept(ranks, logs)
        ranks, logs = ranks[: self.effort.most_listed], logs[: self.effort.most_listed]
        weighed, guessed = (_summed(each, whole) for each in (self._chances, guesses))
        chances = weighed + guessed
        more = chances + DOUBT * guessed
        more /= 1.0 + DOUBT * float(np.exp(log_guessed - whole))
        return Sets(
            members=_causes(ranks, order),
            weights=np.exp(logs - whole),
            chances=_placed(chances, order),
            kept_members=_causes(kept, order),
            kept_weights=weights,
            none=float(np.exp(self.log_none - whole)),
            log_total=self.log_total,
            left_out=float(np.exp(-np.logaddexp(0.0, self.log_total - self._left))),
            apart=float(np.abs(more - chances).max(initial=0.0)),
        )

    def _kept(self, ranks: Ints, logs: Array) -> tuple[Ints, Array]:
        """The sets for predictions and their weights, out of the listed ones and the rest."""
        most = self.effort.most_kept
        others = [(ranks[most:], logs[most:]), *self._rest]
        more, log_more = _by_weight(others)
        top = float(logs[0])
        drawn, share = _drawn(np.exp(log_more - top), self.effort.drawn)
        weights = np.concatenate([np.exp(logs[:most] - top), np.full(len(drawn), share)])
        both = _joined([ranks[:most], more[drawn]])
        return both, weights / weights.sum()


def _summed(columns: list[tuple[float, Array]], whole: float) -> Array:
    """Shares by cause of several scales, as shares of the whole."""
    return sum((each * np.exp(log_top - whole) for log_top, each in columns), np.zeros(1))


def _placed(by_rank: Array, order: Ints) -> Array:
    """Values by rank as values by active cause."""
    placed = np.zeros(len(order))
    placed[order] = by_rank
    return placed


def _children(level: Level, brood: _Brood, flat: Ints) -> Ints:
    """Members of some children, by their places in the flattened shares."""
    parent, child = np.unravel_index(flat, brood.shares.shape)
    members: Ints = np.concatenate([level.members[parent], child[:, None]], axis=1)
    return members


def _drawn(weights: Array, most: int) -> tuple[Ints, float]:
    """Places drawn evenly by weight, and the weight that each stands for."""
    total = np.cumsum(weights)
    if not most or not len(total) or not total[-1] > 0.0:
        return np.zeros(0, dtype=np.intp), 0.0
    marks = (np.arange(most) + 0.5) * (total[-1] / most)
    return np.searchsorted(total, marks), float(total[-1] / most)


def _drawn_of_rows(shares: Array, without: Ints, most: int) -> tuple[Ints, float]:
    """The same of a table (p, n) as flat places, some of them left out.

    Only rows that a draw falls into are summed up place by place.
    """
    rest = shares.copy()
    rest.ravel()[without] = 0.0
    rows = rest.sum(axis=1)
    row, share = _drawn(rows, most)
    if not len(row):
        return row, share
    into = (np.arange(len(row)) + 0.5) * share - (np.cumsum(rows) - rows)[row]
    chosen, which = np.unique(row, return_inverse=True)
    inside = np.cumsum(rest[chosen], axis=1)[which]
    into = np.clip(into, TINY, inside[:, -1])
    column = (inside < into[:, None]).sum(axis=1)
    return row * shares.shape[1] + column, share


def _by_weight(listed: list[tuple[Ints, Array]]) -> tuple[Ints, Array]:
    """Members and log weights of listed sets of all sizes, the heaviest first."""
    members = _joined([ranks for ranks, _ in listed])
    logs = np.concatenate([logs for _, logs in listed])
    order = np.argsort(-logs, kind="stable")
    return members[order], logs[order]


def _joined(members: list[Ints]) -> Ints:
    """Sets of all sizes, -1 where one is shorter than the longest."""
    width = max(ranks.shape[1] for ranks in members)
    return np.concatenate(
        [
            np.pad(ranks, ((0, 0), (0, width - ranks.shape[1])), constant_values=-1)
            for ranks in members
        ]
    )


def _causes(ranks: Ints, order: Ints) -> Ints:
    """Ranks as indices of active causes, -1 as it is."""
    found: Ints = np.where(ranks < 0, -1, order[ranks]) if len(order) else ranks
    return found
