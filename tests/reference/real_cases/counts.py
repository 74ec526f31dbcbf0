"""What the learning part counts: how often each cause was true, against how often it was stated.

    python tests/reference/real_cases/counts.py

A rate is a word of the rules; counts may move it, shrunk to the word, at two levels: the kind that
a cause is like first of all (all that turns with the driveshaft, say), where a dozen cases speak
together, and the cause within it. Each factor has a gamma prior about 1: of a kind worth
`KIND_WEIGHT` cases, of a cause worth `WEIGHT`, so that a factor alone is (weight + seen) /
(weight + stated). A word moves only where the product passes half a step of the scale, and one such
table moves a word by one step. Whether rates by counts would name more faults of cases not counted
is told by folds inside the learning part: each fold is scored with the factors of the others. The
checking part is not read.

References
----------
1. A. Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, ch. 2.6 and 5: a gamma prior for a
   rate of counts with known exposure, and levels of such priors (from memory).
"""

from __future__ import annotations

import hashlib
import math
import sys
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules

sys.path.insert(0, str(Path(__file__).parent))

import stories  # noqa: E402
from score import Scored, log_score, score, summary  # noqa: E402

WEIGHT = 6.0  # cases that a written rate is worth within its kind
KIND_WEIGHT = 5.0  # cases that the written rates of a kind are worth together
ROUNDS = 6  # of the two levels in turn; the factors then change by less than a hundredth
FOLDS = 10
Counts = dict[str, tuple[float, float]]  # cause -> cases in which it was true, and was stated


def counts(scored: Sequence[Scored]) -> Counts:
    """Cases by cause; where a verdict names several, each has the share that was stated of it."""
    seen: defaultdict[str, float] = defaultdict(float)
    stated: defaultdict[str, float] = defaultdict(float)
    for case in scored:
        chances = dict(case.ranking)
        total = sum(chances.values())
        true = {cause: max(chances[cause], 1e-9) for cause in case.truth if cause in chances}
        for cause, chance in true.items():
            seen[cause] += chance / sum(true.values())
        for cause, chance in chances.items():
            stated[cause] += chance / total
    return {cause: (seen[cause], stated[cause]) for cause in stated}


def factor(seen: float, stated: float, weight: float = WEIGHT, now: float = 1.0) -> float:
    """By what a rate is multiplied, shrunk to 1 [unitless].

    now : the factor that was in the chances already when they were counted.
    """
    return now * (weight + seen) / (weight * now + stated)


def kind_of(library: Library, cause: str) -> str:
    """The kind that a cause is like first of all; the cause itself if it is like none."""
    return next(iter(library.causes[cause].like), cause)


def factors(library: Library, scored: Sequence[Scored]) -> dict[str, tuple[float, float]]:
    """Cause -> factor of its kind, and of the cause within it [unitless]."""
    kinds = {cause: kind_of(library, cause) for cause in library.causes}
    wide, own = dict.fromkeys(kinds.values(), 1.0), dict.fromkeys(kinds, 1.0)
    for _ in range(ROUNDS):
        sums: defaultdict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
        for cause, pair in _recount(scored, kinds, wide, own).items():
            sums[kinds[cause]][0] += pair[0]
            sums[kinds[cause]][1] += pair[1]
        wide = {kind: factor(*sums[kind], KIND_WEIGHT, now) for kind, now in wide.items()}
        told = _recount(scored, kinds, wide, own)
        own = {cause: factor(*told[cause], WEIGHT, now) for cause, now in own.items()}
    return {cause: (wide[kind], own[cause]) for cause, kind in kinds.items()}


def _recount(scored: Sequence[Scored], kinds: Mapping[str, str], wide: Mapping[str, float],
             own: Mapping[str, float]) -> Counts:  # fmt: skip
    both = {cause: wide[kind] * own[cause] for cause, kind in kinds.items()}
    return {**dict.fromkeys(kinds, (0.0, 0.0)), **counts([weighed(case, both) for case in scored])}


def weighed(case: Scored, times: Mapping[str, float]) -> Scored:
    """A case as if the rates had these factors; exact for cars with one fault."""
    chances = {cause: chance * times.get(cause, 1.0) for cause, chance in case.ranking}
    scale = sum(chance for _, chance in case.ranking) / sum(chances.values())
    ranking = sorted(((cause, min(1.0, scale * chance)) for cause, chance in chances.items()),
                     key=lambda pair: (-pair[1], pair[0]))  # fmt: skip
    return replace(case, ranking=tuple(ranking))


def fold(name: str) -> int:
    """The fold of a case, by a hash that has nothing to do with that of its part."""
    return int(hashlib.md5(name.encode("utf-8"), usedforsecurity=False).hexdigest(), 16) % FOLDS


def folded(library: Library, scored: Sequence[Scored]) -> list[Scored]:
    """Each case with the factors that the cases of the other folds give."""
    made = []
    for number in range(FOLDS):
        others = factors(library, [case for case in scored if fold(case.id) != number])
        times = {cause: wide * own for cause, (wide, own) in others.items()}
        made += [weighed(case, times) for case in scored if fold(case.id) == number]
    return made


def half_step(library: Library) -> float:
    """The factor at which a rate is nearer to the next word of the scale [unitless]."""
    rates = sorted(word.probability for word in library.rates.values())
    steps = [upper / lower for lower, upper in zip(rates, rates[1:], strict=False)]
    return math.exp(sum(math.log(step) for step in steps) / len(steps) / 2.0)


def page(library: Library, scored: Sequence[Scored]) -> str:
    """The table of causes that counts speak to, and what rates by counts would gain."""
    edge, told = half_step(library), counts(scored)
    found = sorted(factors(library, scored).items(), key=lambda item: -math.prod(item[1]))
    lines = [f"{len(scored)} cases; a word moves at {edge:.2f} or {1 / edge:.2f}", ""]
    for cause, (wide, own) in found:
        seen, stated = told.get(cause, (0.0, 0.0))
        if not 0.83 < wide * own < 1.2:
            word = library.causes[cause].rate
            moves = "" if 1 / edge < wide * own < edge else "  the word moves"
            lines.append(f"{cause:28s} {word:14s} seen {seen:4.1f}  stated {stated:4.1f}  "
                         f"times {wide:.2f} x {own:.2f}{moves}")  # fmt: skip
    by_counts = folded(library, scored)
    for title, some in (("as written", scored), ("rates by counts, by folds", by_counts)):
        lines += ["", title, *summary(some)[:4]]
    gain = log_score(by_counts)[0] - log_score(scored)[0]
    return "\n".join([*lines, "", f"gain in mean log score: {gain:+.3f}"]) + "\n"


def main() -> None:
    """Print the page for the complaints of the learning part."""
    library, known = load(find_rules()), stories.known_ids()
    cases = [case for case in stories.read_encodings().values()
             if stories.part_of(case.id, known) == "learn"]  # fmt: skip
    sys.stdout.write(page(library, score(library, cases, "complaint", known)))


if __name__ == "__main__":
    main()
