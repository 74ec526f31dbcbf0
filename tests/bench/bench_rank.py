"""Posterior and next checks: milliseconds in this process, and ratios measured side by side.

    python tests/bench/bench_rank.py

Takes the demo case with the most answers, and an invented network of full size (200 causes,
90 findings, 60 checks). Ratios say more than times: both sides ran on the same machine in turn.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "reasoning")]

import garage  # noqa: E402
import oracle  # noqa: E402

from vibecheck.knowledge.model import Spot  # noqa: E402
from vibecheck.knowledge.words import Corner, Place  # noqa: E402
from vibecheck.reasoning.access import Ways  # noqa: E402
from vibecheck.reasoning.belief import believe  # noqa: E402
from vibecheck.reasoning.cure import cures  # noqa: E402
from vibecheck.reasoning.evidence import Evidence  # noqa: E402
from vibecheck.reasoning.network import Network, build  # noqa: E402
from vibecheck.reasoning.nextcheck import Situation, options  # noqa: E402
from vibecheck.reasoning.search import Effort  # noqa: E402
from vibecheck.session.open_case import OpenCase  # noqa: E402

REPEATS = 31
WHOLE = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6)
DEEP = Effort(cut=0.0, most_branches=6000)


def runs_ms(task: Callable[[], object], repeats: int = REPEATS) -> list[float]:
    """Times of a task [ms], after one run to warm up."""
    task()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        task()
        times.append(1e3 * (time.perf_counter() - start))
    return times


def median_ms(task: Callable[[], object], repeats: int = REPEATS) -> float:
    """Median time of a task [ms]."""
    return statistics.median(runs_ms(task, repeats))


def spread(task: Callable[[], object]) -> str:
    """Median and shortest time in words; the shortest is the least disturbed by other work."""
    times = runs_ms(task)
    return f"median {statistics.median(times):6.1f} ms, shortest {min(times):6.1f} ms"


def largest_demo() -> OpenCase | None:
    """The demo case with the most entries, if there are any."""
    cases = [OpenCase.open(path) for path in sorted((ROOT / "demo_cases").glob("*.yaml"))]
    return max(cases, key=lambda opened: len(opened.diagnosis.case.entries), default=None)


def answer(network: Network, evidence: Evidence, situation: Situation) -> None:
    """All that an answer sets in motion: posterior, cures, next checks."""
    belief = believe(network, evidence)
    options(belief, cures(belief, situation.ways), situation)


def bench_demo(opened: OpenCase) -> None:
    found = opened.diagnosis
    name = opened.path.name if opened.path else found.case.id
    network, evidence, situation = found.network, found.case_evidence.evidence, found.situation
    print(f"largest demo case {name}: {len(network.causes)} causes, {len(evidence)} findings")
    print(f"  posterior                 {spread(lambda: believe(network, evidence))}")
    both = spread(lambda: answer(network, evidence, situation))
    print(f"  posterior and next checks {both}")


def bench_full_size() -> None:
    rules = garage.large_library()
    network = build(rules, {})
    evidence = garage.drawn_evidence(np.random.default_rng(1), rules, [Spot("c1", Corner.LF)])
    situation = Situation(Ways(rules, Place.BAY), closed=set(evidence))
    usual = median_ms(lambda: believe(network, evidence))
    deep = median_ms(lambda: believe(network, evidence, DEEP), repeats=3)
    apart = np.abs(believe(network, evidence).chances - believe(network, evidence, DEEP).chances)
    print(f"invented network: {len(network.causes)} causes, {len(evidence)} findings of "
          f"{len(rules.findings)}, {len(rules.checks)} checks")
    print(f"  posterior                 {spread(lambda: believe(network, evidence))}")
    both = spread(lambda: answer(network, evidence, situation))
    print(f"  posterior and next checks {both}")
    print(f"  ten times the sets, no cut: {deep / usual:.0f} times as long; chances move by "
          f"{apart.max():.5f} at most")


def bench_twelve() -> None:
    rng = np.random.default_rng(3)
    rules = garage.random_library(rng, causes=12)
    evidence = garage.random_evidence(rng, rules)
    plain = {spot: row.tolist() for spot, row in evidence.items()}
    network = build(rules, {})
    usual = median_ms(lambda: believe(network, evidence))
    whole = median_ms(lambda: believe(network, evidence, WHOLE))
    brute = median_ms(lambda: oracle.posterior(rules, plain), repeats=3)
    print("invented network of 12 causes, all 4096 sets by plain enumeration = 1")
    print(f"  search of all sets, no cut {whole / brute:.4f}")
    print(f"  usual search               {usual / brute:.4f}")


def main() -> None:
    opened = largest_demo()
    if opened is not None:
        bench_demo(opened)
    bench_full_size()
    bench_twelve()


if __name__ == "__main__":
    main()
