"""How well the rules name the fault of real cases.

    python tests/reference/real_cases/score.py                 numbers, misses to learn from
    python tests/reference/real_cases/score.py --learn         the learning part alone
    python tests/reference/real_cases/score.py --typical       complaints as owners tell them
    python tests/reference/real_cases/score.py --check-misses  the misses of the checking part too

A case counts as hit in the first k if a fault of its verdict is among the k likeliest causes, each
taken over all its corners. Where a verdict names several faults, the best placed one counts, for
the place and for the log score alike. README.md says what may be done with the numbers.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.reasoning.belief import anywhere
from vibecheck.session.proving import diagnosis_of

sys.path.insert(0, str(Path(__file__).parent))

import stories  # noqa: E402

Stacked = Literal["complaint", "seen"]
LAYERS: tuple[Stacked, ...] = ("complaint", "seen")
PLACES = (1, 3, 5)
BAND = 15  # least number of cases in a band of the calibration
LEAST = 1e-3  # a lower chance, and that of a fault without a cause, counts as this [unitless]
Z95 = 1.959963984540054  # 0.975 quantile of the standard normal [unitless]


@dataclass(frozen=True)
class Scored:
    """One case in one layer: causes with their chances [unitless], likeliest first."""

    id: str
    part: stories.Part
    layer: Stacked
    truth: tuple[str, ...]
    without_cause: tuple[str, ...]
    ranking: tuple[tuple[str, float], ...]

    @property
    def place(self) -> int | None:
        """Place of the best placed true fault, from 1; None if no cause stands for any."""
        places = [at for at, (cause, _) in enumerate(self.ranking, 1) if cause in self.truth]
        return min(places, default=None)

    @property
    def chance(self) -> float:
        """Chance given to the best placed true fault, at least LEAST [unitless]."""
        return max(LEAST, 0.0 if self.place is None else self.ranking[self.place - 1][1])

    @property
    def lead(self) -> float:
        """Chance given to the leading cause [unitless]."""
        return self.ranking[0][1]

    def hit(self, first: int) -> bool:
        """Whether a true fault is among the first so many."""
        return self.place is not None and self.place <= first


@dataclass(frozen=True)
class Share:
    """A count out of a number, with its Wilson interval at 95 % [unitless]."""

    count: int
    number: int

    @property
    def value(self) -> float:
        """The share itself; nan if there is nothing to count."""
        return self.count / self.number if self.number else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """Score interval for a binomial proportion.

        References
        ----------
        1. E. B. Wilson, Probable inference, the law of succession, and statistical inference,
           J. Am. Stat. Assoc. 22 (1927) 209-212.
        """
        if not self.number:
            return 0.0, 1.0
        spread = Z95**2 / self.number
        middle = (self.value + spread / 2) / (1 + spread)
        inner = self.value * (1 - self.value) / self.number + spread / (4 * self.number)
        half = Z95 * math.sqrt(inner) / (1 + spread)
        return max(0.0, middle - half), min(1.0, middle + half)

    def __str__(self) -> str:
        low, high = self.interval
        return f"{self.count:3d}/{self.number:<3d} {self.value:4.0%} ({low:.0%} to {high:.0%})"


@dataclass(frozen=True)
class Band:
    """Cases of like confidence: the mean chance of the leading cause, and how often it is true."""

    said: float
    right: Share


def chances(library: Library, facts: dict[str, str], answers: Sequence[str]) -> dict[str, float]:
    """Chance of each cause, at whatever corner, after the answers [unitless].

    The only place that knows how a case is opened and answered.

    Raises
    ------
    InputError family : a fact or an answer that cannot be used.
    """
    belief = diagnosis_of(library, facts, answers).belief
    return {cause: anywhere(belief, cause) for cause in library.causes}


def answers_of(case: stories.Encoding, layer: Stacked) -> list[str]:
    """The answers up to a layer: what was seen stands on top of what was said."""
    told = {**case.complaint, **(case.seen or {})} if layer == "seen" else case.complaint
    return [f"{finding}={state}" for finding, state in told.items()]


def score(
    library: Library,
    cases: Iterable[stories.Encoding],
    layer: Stacked,
    known: frozenset[str] = frozenset(),
) -> list[Scored]:
    """Every case that is encoded for the layer; those of like facts share a network."""
    ready = [case for case in cases if layer == "complaint" or case.seen is not None]
    scored = []
    for case in sorted(ready, key=lambda case: (sorted(case.facts.items()), case.id)):
        found = chances(library, case.facts, answers_of(case, layer))
        ranking = sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))
        part = stories.part_of(case.id, known)
        scored.append(Scored(case.id, part, layer, tuple(case.truth), tuple(case.without_cause),
                             tuple(ranking)))  # fmt: skip
    return scored


def log_score(scored: Sequence[Scored]) -> tuple[float, float]:
    """Mean natural log of the chance given to the true fault, and half its 95 % interval."""
    logs = np.log([each.chance for each in scored])
    if len(logs) < 2:
        return float(logs.mean()), math.inf
    return float(logs.mean()), float(Z95 * logs.std(ddof=1) / math.sqrt(len(logs)))


def bands(scored: Sequence[Scored]) -> list[Band]:
    """Calibration of the leading cause, in equal bands of at least BAND cases; none if too few."""
    order = sorted(scored, key=lambda each: each.lead)
    count = len(order) // BAND
    if not count:
        return []
    cut = np.array_split(np.arange(len(order)), count)
    return [
        Band(
            float(np.mean([order[at].lead for at in rows])),
            Share(sum(order[at].hit(1) for at in rows), len(rows)),
        )
        for rows in cut
    ]


def sayable(story: stories.Story, case: stories.Encoding, layer: Stacked) -> Share:
    """How many of the facts of a layer a finding can hold."""
    told = story.complaint if layer == "complaint" else story.seen
    return Share(sum(fact not in case.unsayable for fact in told), len(told))


def summary(scored: Sequence[Scored]) -> list[str]:
    """The numbers of one part and layer."""
    mean, half = log_score(scored)
    lines = [f"  first {first}: {_hits(scored, first)}" for first in PLACES]
    lines.append(f"  mean log score: {mean:.2f} (+/- {half:.2f})")
    lines += [
        f"  leading cause: said {band.said:.0%}, true {band.right}"
        f"{'' if abs(band.said - band.right.value) <= 0.1 else '  off by more than 0.1'}"
        for band in bands(scored)
    ]
    return lines


def _hits(scored: Sequence[Scored], first: int) -> Share:
    return Share(sum(each.hit(first) for each in scored), len(scored))


def misses(scored: Sequence[Scored]) -> list[str]:
    """Cases whose true fault is not among the first three, with what led."""
    return [_miss(each) for each in sorted(scored, key=lambda each: each.id) if not each.hit(3)]


def _miss(each: Scored) -> str:
    true = ", ".join([*each.truth, *(f"{fault} (no cause)" for fault in each.without_cause)])
    place = "not ranked" if each.place is None else f"place {each.place}, {each.chance:.1%}"
    led = ", ".join(f"{cause} {chance:.0%}" for cause, chance in each.ranking[:3])
    return f"  - {each.id}: {true} ({place}); led by {led}"


def page(
    library: Library, check_misses: bool = False,
    parts: Sequence[stories.Part] = ("learn", "check"),
) -> str:  # fmt: skip
    """Everything that is printed; a part that is not asked for is not scored."""
    told, cases, known = stories.read_stories(), stories.read_encodings(), stories.known_ids()
    lines = [f"{len(told)} stories, {len(cases)} of them encoded"]
    asked = [case for case in cases.values() if stories.part_of(case.id, known) in parts]
    for layer in LAYERS:
        scored = score(library, asked, layer, known)
        for part in parts:
            rows = [each for each in scored if each.part == part]
            lines += ["", f"{part}, {layer}: {len(rows)} cases"]
            if not rows:
                continue
            said = [sayable(told[each.id], cases[each.id], layer) for each in rows]
            whole = Share(sum(each.count for each in said), sum(each.number for each in said))
            lines += [f"  facts that can be said: {whole}", *summary(rows)]
            if part == "learn" or check_misses:
                lines += ["  not among the first three:", *misses(rows)]
    return "\n".join(lines) + "\n"


def typical_page(library: Library) -> str:
    """How complaints as owners tell them rank, and those that miss the first three."""
    rows = [_typical(library, at, each) for at, each in enumerate(stories.read_typical(), 1)]
    lines = [f"{len(rows)} typical complaints", *summary(rows)[: len(PLACES) + 1]]
    return "\n".join([*lines, "  not among the first three:", *misses(rows)]) + "\n"


def _typical(library: Library, at: int, each: stories.Typical) -> Scored:
    answers = [f"{finding}={state}" for finding, state in each.answers.items()]
    found = chances(library, each.facts, answers)
    ranking = tuple(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))
    name = f"{at:03d} {', '.join(answers)}"
    return Scored(name, "learn", "complaint", (each.cause,), (), ranking)


def main(arguments: Sequence[str]) -> None:
    """Print the numbers."""
    library = load(find_rules())
    if "--typical" in arguments:
        sys.stdout.write(typical_page(library))
    elif "--learn" in arguments:
        sys.stdout.write(page(library, parts=("learn",)))
    else:
        sys.stdout.write(page(library, "--check-misses" in arguments))


if __name__ == "__main__":
    main(sys.argv[1:])
