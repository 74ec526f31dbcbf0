"""What the learning part counts: how often each cause was true, against how often it was stated.

    python tests/reference/real_cases/counts.py

A rate is a word of the rules; counts may move it, shrunk to the word: a gamma prior worth `WEIGHT`
cases, so that the shrunk factor is (WEIGHT + seen) / (WEIGHT + stated). A word moves only where
that factor passes half a step of the scale, and one such table moves a word by one step. Whether
rates by counts would name more faults of cases not counted is told by folds inside the learning
part: each fold is scored with the factors of the others. The checking part is not read.

References
----------
1. A. Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, ch. 2.6: a gamma prior for a rate of
   counts with known exposure (from memory).
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

WEIGHT = 4.0  # cases that a written rate is worth
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


def factor(seen: float, stated: float) -> float:
    """By what a rate is multiplied, shrunk to 1 [unitless]."""
    return (WEIGHT + seen) / (WEIGHT + stated)


def weighed(case: Scored, factors: Mapping[str, float]) -> Scored:
    """A case as if the rates had these factors; exact for cars with one fault."""
    chances = {cause: chance * factors.get(cause, 1.0) for cause, chance in case.ranking}
    scale = sum(chance for _, chance in case.ranking) / sum(chances.values())
    ranking = sorted(((cause, min(1.0, scale * chance)) for cause, chance in chances.items()),
                     key=lambda pair: (-pair[1], pair[0]))  # fmt: skip
    return replace(case, ranking=tuple(ranking))


def fold(name: str) -> int:
    """The fold of a case, by a hash that has nothing to do with that of its part."""
    return int(hashlib.md5(name.encode("utf-8"), usedforsecurity=False).hexdigest(), 16) % FOLDS


def folded(scored: Sequence[Scored]) -> list[Scored]:
    """Each case with the factors that the cases of the other folds give."""
    made = []
    for number in range(FOLDS):
        others = counts([case for case in scored if fold(case.id) != number])
        factors = {cause: factor(*pair) for cause, pair in others.items()}
        made += [weighed(case, factors) for case in scored if fold(case.id) == number]
    return made


def half_step(library: Library) -> float:
    """The factor at which a rate is nearer to the next word of the scale [unitless]."""
    rates = sorted(word.probability for word in library.rates.values())
    steps = [upper / lower for lower, upper in zip(rates, rates[1:], strict=False)]
    return math.exp(sum(math.log(step) for step in steps) / len(steps) / 2.0)


def page(library: Library, scored: Sequence[Scored]) -> str:
    """The table of causes that counts speak to, and what rates by counts would gain."""
    edge = half_step(library)
    found = sorted(counts(scored).items(), key=lambda item: -factor(*item[1]))
    lines = [f"{len(scored)} cases; a word moves at {edge:.2f} or {1 / edge:.2f}", ""]
    for cause, (seen, stated) in found:
        times = factor(seen, stated)
        if not 0.83 < times < 1.2:
            word = library.causes[cause].rate
            moves = "" if 1 / edge < times < edge else "  the word moves"
            lines.append(f"{cause:28s} {word:12s} seen {seen:4.1f}  stated {stated:4.1f}  "
                         f"times {times:.2f}{moves}")  # fmt: skip
    for title, some in (("as written", scored), ("rates by counts, by folds", folded(scored))):
        lines += ["", title, *summary(some)[:4]]
    gain = log_score(folded(scored))[0] - log_score(scored)[0]
    return "\n".join([*lines, "", f"gain in mean log score: {gain:+.3f}"]) + "\n"


def main() -> None:
    """Print the page for the complaints of the learning part."""
    library, known = load(find_rules()), stories.known_ids()
    cases = [case for case in stories.read_encodings().values()
             if stories.part_of(case.id, known) == "learn"]  # fmt: skip
    sys.stdout.write(page(library, score(library, cases, "complaint", known)))


if __name__ == "__main__":
    main()
