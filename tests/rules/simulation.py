"""Simulated visits: faults drawn by their rates, vague answers drawn from their strengths.

    python tests/rules/simulation.py           print the page on calibration
    python tests/rules/simulation.py --write   write docs/calibration.md

A visit is one in which some vibration is felt. Its answers are that and one to four more
complaint answers, chosen without looking at what they say. The faults of a visit are known, so the
share of visits in which a cause stated with 30 % is really there should be near 30 %.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.place import find_rules
from vibecheck.knowledge.words import FindingKind
from vibecheck.reasoning.belief import anywhere, believe
from vibecheck.reasoning.evidence import hard
from vibecheck.reasoning.network import FindingNode, Network
from vibecheck.session.inference import network_of
from vibecheck.session.rule_simulation import draw_state

DOCUMENT = Path(__file__).parents[2] / "docs" / "calibration.md"
VISITS, MANY, SEED = 200, 4000, 20
BANDS = 10
LEAST_IN_BAND = 20
WIDEST = 0.1  # largest distance allowed between stated and true share in a band [unitless]
STEP = 0.7  # spread of a wrong strength in log odds [nat], about one word of the scale
VIBRATION = Spot("vibration")
Array = NDArray[np.float64]
Rng = np.random.Generator
Statement = tuple[float, bool]  # what is stated [unitless], and whether it is so


@dataclass(frozen=True)
class Visit:
    """What is wrong with a car and what its driver says."""

    faults: frozenset[Spot]
    answers: dict[Spot, str]


@dataclass(frozen=True)
class Band:
    """Statements whose probability lies in one tenth: how many, their mean, the true share."""

    count: int
    stated: float
    true: float


def draw(network: Network, rng: Rng) -> Visit:
    """One visit in which a vibration is felt."""
    prior = network.odds / (1.0 + network.odds)
    complaints = [spot for spot, node in network.findings.items()
                  if node.rule.kind is FindingKind.COMPLAINT and spot != VIBRATION]  # fmt: skip
    while True:
        present = np.nonzero(rng.random(len(prior)) < prior)[0].tolist()
        felt = draw_state(network, VIBRATION, present, rng)
        if felt == network.findings[VIBRATION].states[0]:
            continue
        asked = rng.choice(len(complaints), size=rng.integers(1, 5), replace=False)
        answers = {complaints[i]: draw_state(network, complaints[i], present, rng) for i in asked}
        faults = frozenset(network.causes[index].spot for index in present)
        return Visit(faults, {VIBRATION: felt, **answers})


def told(network: Network, visit: Visit) -> dict[str, float]:
    """Stated probability that each cause is present at some corner [unitless]."""
    evidence = {spot: hard(network.findings[spot], said) for spot, said in visit.answers.items()}
    belief = believe(network, evidence)
    causes = sorted({node.spot.id for node in network.causes})
    return {cause: anywhere(belief, cause) for cause in causes}


def bands(pairs: Sequence[Statement]) -> list[Band]:
    """Statements sorted into tenths of probability; empty tenths are left out."""
    found = []
    for low in range(BANDS):
        inside = [(p, hit) for p, hit in pairs if min(int(p * BANDS), BANDS - 1) == low]
        if inside:
            stated, true = np.mean(np.array(inside, dtype=float), axis=0)
            found.append(Band(len(inside), float(stated), float(true)))
    return found


def run(
    teller: Network, world: Network, visits: int = VISITS, seed: int = SEED
) -> tuple[list[Band], list[Band]]:
    """Bands of all causes, and of the leading cause alone, for visits drawn from `world`."""
    every, leading = statements(teller, world, visits, seed)
    return bands(every), bands(leading)


def statements(
    teller: Network, world: Network, visits: int = VISITS, seed: int = SEED
) -> tuple[list[Statement], list[Statement]]:
    """What is stated of every cause, and of the leading one, and whether it is there."""
    rng = np.random.default_rng(seed)
    every: list[Statement] = []
    leading: list[Statement] = []
    for _ in range(visits):
        visit = draw(world, rng)
        faulty = {spot.id for spot in visit.faults}
        said = told(teller, visit)
        every += [(chance, cause in faulty) for cause, chance in said.items()]
        top = max(said, key=lambda cause: said[cause])
        leading.append((said[top], top in faulty))
    return every, leading


def shaken(network: Network, seed: int = SEED) -> Network:
    """The same network with every rate and strength off by about one word of its scale."""
    rng = np.random.default_rng(seed)
    causes = tuple(replace(node, odds=node.odds * float(np.exp(rng.normal(0.0, STEP))))
                   for node in network.causes)  # fmt: skip
    findings = {spot: replace(node, rows={index: _shaken(node, row, rng)
                                          for index, row in node.rows.items()})
                for spot, node in network.findings.items()}  # fmt: skip
    return replace(network, causes=causes, findings=findings)


def _shaken(node: FindingNode, row: Array, rng: Rng) -> Array:
    shares: Array = np.diff(row, prepend=0.0) if node.graded else row
    shares = np.maximum(shares, 1e-9) * np.exp(rng.normal(0.0, STEP, len(shares)))
    shares = shares / shares.sum()
    result: Array = np.cumsum(shares) if node.graded else shares
    if node.graded:
        result[-1] = 1.0
    return result


def page(library: Library) -> str:
    """The page of the documentation."""
    network = network_of(library, {})
    own, shaky = run(network, network, MANY), run(network, shaken(network), MANY)
    return "\n".join([
        "# Are the stated probabilities worth their number?",
        "",
        "Simulated visits: faults drawn by their rates, then a complaint of vibration and one to",
        "four more vague answers drawn from the strengths; nothing is measured. Each line takes",
        "the statements of one tenth of probability: how many, their mean, and the share of visits",
        "in which the cause was really there. A cause counts over all its corners. Written by",
        "`python tests/rules/simulation.py --write`; a test holds 200 visits to within 0.1.",
        "",
        "This shows that the sums are right, not that the rates and strengths are: those are from",
        "memory. The second part shows what happens when all of them are wrong: the visits come",
        "from rates and strengths that are each off by about one word of the scale, the ranking",
        "still uses ours.",
        "",
        f"## {MANY} visits drawn from the rules",
        "",
        *_tables(*own),
        f"## {MANY} visits drawn from rules that are off by one word throughout",
        "",
        *_tables(*shaky),
    ])  # fmt: skip


def _tables(every: Sequence[Band], leading: Sequence[Band]) -> list[str]:
    lines = []
    for title, found in (("All causes", every), ("The leading cause", leading)):
        lines += [f"{title}:", "", "| statements | stated | true |", "|---|---|---|"]
        lines += [f"| {band.count} | {band.stated:.2f} | {band.true:.2f} |" for band in found]
        lines.append("")
    return lines


def main(arguments: Sequence[str]) -> None:
    """Print the page, or write it into the documentation."""
    text = page(load(find_rules()))
    if "--write" in arguments:
        DOCUMENT.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)


if __name__ == "__main__":
    main(sys.argv[1:])
