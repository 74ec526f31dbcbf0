"""Every figure of docs/benchmarks.md in one table: goal, measured, ratio, how.

    python tests/bench/bench_all.py [--turns N] [ROW ...]

Rows: start screen posterior error growth folder case record (all of them if none is named). Whole
processes are run in pairs, in turn, and the ratio is taken pair by pair by the processor time of
the processes, so that other work on the machine counts on both sides; the median of N pairs is
printed with the lowest and the highest. What is measured inside this process is told in units of
`import numpy` as well, which is run in the same minutes.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np  # noqa: E402
from msgspec import structs  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

import bench_first_screen  # noqa: E402
import bench_record  # noqa: E402

from vibecheck.casebook.archive import Archive, Search  # noqa: E402
from vibecheck.casebook.case import Case, Entry  # noqa: E402
from vibecheck.casebook.store import create, load  # noqa: E402
from vibecheck.knowledge.library import Library  # noqa: E402
from vibecheck.knowledge.library_cache import OFF  # noqa: E402
from vibecheck.knowledge.loader import examine  # noqa: E402
from vibecheck.knowledge.place import find_demo_cases, find_rules  # noqa: E402
from vibecheck.knowledge.profile import PARTS  # noqa: E402
from vibecheck.reasoning.belief import believe  # noqa: E402
from vibecheck.reasoning.cure import cures  # noqa: E402
from vibecheck.reasoning.network import build  # noqa: E402
from vibecheck.reasoning.nextcheck import options  # noqa: E402
from vibecheck.reasoning.search import Effort  # noqa: E402
from vibecheck.session import physics  # noqa: E402
from vibecheck.session.diagnosis import Diagnosis  # noqa: E402
from vibecheck.session.open_case import OpenCase, diagnose, library_at  # noqa: E402

# As an installed program runs: from compiled files.
PLAIN = {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": ""}
NUMPY = ("-c", "import numpy")
DEMO = "two_faults_at_once.yaml"
EVERY_STATE = 5  # entries from one state of an interview to the next
EVERY_ERROR = 20
DEEP = Effort(cut=1e-9, worth=1.0, most_branches=6000, most_cells=10**9)
BRANCHES = 2000
DEEP_LARGE = Effort(cut=1e-9, worth=1.0, most_branches=BRANCHES, most_cells=10**9)
GROWTH = 10
VISITS = 10_000
ENTRIES = 8_000
FIRST_PAGE = 60
Row = tuple[str, str, str, str]  # what, goal, measured, how


def cpu_s(*words: str, environment: dict[str, str] | None = None) -> float:
    """Processor time of a Python process with these words [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *words], check=True, cwd=ROOT, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, env=os.environ | PLAIN | (environment or {}),
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def spread(values: Sequence[float], digits: int = 2) -> str:
    """Median with the lowest and the highest."""
    low, middle, high = min(values), statistics.median(values), max(values)
    return f"{middle:.{digits}f} ({low:.{digits}f} to {high:.{digits}f})"


def ratios(turns: int, ours: Callable[[], float], theirs: Callable[[], float]) -> str:
    """The spread of pairs, after one of each to warm up."""
    ours(), theirs()
    return spread([ours() / theirs() for _ in range(turns)])


def ms(task: Callable[[], object]) -> float:
    """Processor time of a task in this process, the shorter of two runs [ms]."""
    spent = []
    for _ in range(2):
        begun = time.process_time()
        task()
        spent.append(1000.0 * (time.process_time() - begun))
    return min(spent)


def rows_start(turns: int) -> Iterator[Row]:
    """Commands as whole processes."""
    with tempfile.TemporaryDirectory() as folder:
        case = Path(folder) / "visit.yaml"
        case.write_bytes((find_demo_cases() / DEMO).read_bytes())
        cache = {"XDG_CACHE_HOME": folder, OFF: ""}
        for words in (
            ("rank", str(case)), ("next", str(case)), ("report", str(case)),
            ("answer", str(case), "vibration=slight"), ("--help",),
        ):
            goal = "1.2" if words == ("--help",) else "3.0"
            yield (f"`{words[0]}`", f"at most {goal} x numpy", ratios(
                turns, lambda words=words: cpu_s("-m", "vibecheck.cli.main", *words,
                                                 environment=cache),
                lambda: cpu_s(*NUMPY)), "whole processes, cache filled")
        yield ("`rank`, no cache", "at most 5 x numpy", ratios(
            turns, lambda: cpu_s("-m", "vibecheck.cli.main", "rank", str(case),
                                 environment={OFF: "1"}),
            lambda: cpu_s(*NUMPY)), "whole processes")


def rows_screen(turns: int) -> Iterator[Row]:
    """The first screen, and a case opened until its ranking is seen."""
    for name, goal, program in (
        ("first screen", "1.3", bench_first_screen.WIZARD),
        ("case opened until its ranking is seen", "3",
         bench_first_screen.opened(find_demo_cases() / DEMO)),
    ):
        yield (name, f"at most {goal} x an empty app", ratios(
            turns, lambda program=program: bench_first_screen.screen_s(program),
            lambda: bench_first_screen.screen_s(bench_first_screen.EMPTY)),
            "whole processes in a terminal, cache filled")


def states(every: int) -> Iterator[Diagnosis]:
    """States of all demo interviews, each `every` entries."""
    library = library_at(None)
    for path in sorted(find_demo_cases().glob("*.yaml")):
        case = load(path).case
        for count in range(0, len(case.entries) + 1, every):
            yield diagnose(library, structs.replace(case, entries=case.entries[:count]))


def rows_posterior(turns: int) -> Iterator[Row]:
    """Posterior and ranking over the states of the demo interviews."""
    posterior, ranking = [], []
    for found in states(EVERY_STATE):
        network, evidence = found.network, found.case_evidence.evidence

        def rank(found: Diagnosis = found) -> None:
            belief = believe(found.network, found.case_evidence.evidence)
            options(belief, cures(belief, found.ways), found.situation)

        posterior.append(ms(lambda network=network, evidence=evidence: believe(network, evidence)))
        ranking.append(ms(rank))
    unit = 1000.0 * statistics.median(cpu_s(*NUMPY) for _ in range(turns))
    for name, goal, times in (("posterior", "median 5 ms, 95 % 10 ms", posterior),
                              ("ranking with next checks", "median 25 ms, 95 % 50 ms", ranking)):
        middle, most = statistics.median(times), float(np.percentile(times, 95))
        yield (name, goal, f"median {middle:.1f} ms, 95 % {most:.1f} ms",
               f"{len(times)} states; {middle / unit:.3f} and {most / unit:.3f} x `import numpy` "
               f"({unit:.0f} ms then)")


def rows_error(turns: int) -> Iterator[Row]:
    """The largest error of any chance against a search ten times as deep."""
    errors = []
    for found in states(EVERY_ERROR):
        evidence = found.case_evidence.evidence
        deep = believe(found.network, evidence, DEEP).chances
        errors.append(float(np.abs(deep - believe(found.network, evidence).chances).max()))
    yield ("error of any chance", "at most 0.005",
           f"median {statistics.median(errors):.5f}, most {max(errors):.4f}",
           f"{len(errors)} states against ten times the sets")


def grown(library: Library, times: int) -> Library:
    """The library with its causes, findings and checks as many times over, each with its own.

    Each cause is as many times rarer: cars do not have more faults for having more rules.
    """
    kinds: dict[str, dict[str, Any]] = {"causes": {}, "findings": {}, "checks": {}}
    core = set(library.core)
    for copy in range(times):
        def other(name: str, copy: int = copy) -> str:
            return name if not copy or name in core else f"{name}_{copy}"

        for finding in library.findings.values():
            kinds["findings"][other(finding.id)] = structs.replace(finding, id=other(finding.id))
        for check in library.checks.values():
            kinds["checks"][other(check.id)] = structs.replace(
                check, id=other(check.id), yields=[other(each) for each in check.yields],
                ask_after=[other(each) for each in check.ask_after])
        for cause in library.causes.values():
            shows = {name: {other(finding): word for finding, word in getattr(cause, name).items()}
                     for name in PARTS}
            kinds["causes"][other(cause.id)] = structs.replace(
                cause, id=other(cause.id), confirm_by=[other(each) for each in cause.confirm_by],
                **shows)
    rates = {name: structs.replace(rate, probability=rate.probability / times)
             for name, rate in library.rates.items()}
    return replace(library, digest=f"{library.digest} x {times}", rates=rates, **kinds)


def rows_growth(turns: int) -> Iterator[Row]:
    """Ten times the rules."""
    library = library_at(None)
    large = grown(library, GROWTH)
    case = load(find_demo_cases() / DEMO).case

    def network(rules: Library) -> None:
        build(rules, case.facts, physics.rows(rules, case.facts))

    times = [ms(lambda rules=rules: network(rules)) for rules in (library, large)]
    yield ("network and speed rows, 10 x the rules", "at most 12 x", f"{times[1] / times[0]:.1f} x",
           f"{len(large.causes)} causes, {len(large.findings)} findings, in this process")
    found = [diagnose(rules, case) for rules in (library, large)]
    evidence = [each.case_evidence.evidence for each in found]

    def rank(place: int) -> None:
        belief = believe(found[place].network, evidence[place])
        options(belief, cures(belief, found[place].ways), found[place].situation)

    times = [ms(lambda place=place: rank(place)) for place in (0, 1)]
    yield ("ranking, 10 x the rules", "at most 10 x", f"{times[1] / times[0]:.1f} x",
           f"{DEMO}, {len(found[1].network.causes)} causes")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    yield ("memory, 10 x the rules", "under 300 MB", f"{memory:.0f} MB", "this process, highest")
    errors = []
    for path in sorted(find_demo_cases().glob("*.yaml")):
        half = load(path).case
        half = structs.replace(half, entries=half.entries[: len(half.entries) // 2])
        asked = diagnose(large, half)
        belief = believe(asked.network, asked.case_evidence.evidence)
        deep = believe(asked.network, asked.case_evidence.evidence, DEEP_LARGE)
        errors.append(float(np.abs(deep.chances - belief.chances).max()))
    yield ("error of any chance, 10 x the rules", "at most 0.005",
           f"median {statistics.median(errors):.5f}, most {max(errors):.4f}",
           f"{len(errors)} demo interviews, halfway, against {BRANCHES} sets of each size grown")
    read = ms(lambda: examine(find_rules()))
    yield ("rules read and checked", "-", f"{read:.0f} ms", "no cache, with all advice")


def visit(number: int, entries: int) -> Case:
    """A visit of an invented shop."""
    made = [
        Entry(id=f"e{each}", at=f"2026-01-01T{each // 3600 % 24:02}:{each // 60 % 60:02}:"
              f"{each % 60:02}Z", kind="note", place="bay", by="technician", text="it hums")
        for each in range(entries)
    ]
    return Case(id=f"visit-{number}", title=f"Visit {number}", place="bay", entries=made,
                invented=True)


def rows_folder(turns: int) -> Iterator[Row]:
    """The first page of a folder of visits, once its index is made."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        create(folder / "0.yaml", visit(0, 1))
        text = (folder / "0.yaml").read_text(encoding="utf-8")
        for number in range(1, VISITS):
            (folder / f"{number}.yaml").write_text(
                text.replace("visit-0", f"visit-{number}"), encoding="utf-8")
        begun = time.process_time()
        with Archive.beside(folder) as archive:
            archive.refresh(folder)
            first = time.process_time() - begun

            def page() -> None:
                archive.refresh(folder)
                archive.search(Search(), folder, FIRST_PAGE)

            again = [ms(page) for _ in range(turns)]
    yield (f"first page of {VISITS:,} visits", "0.1 s", f"{spread(again, 0)} ms",
           f"index looked over and searched; made for the first time in {first:.0f} s")


def rows_case(turns: int) -> Iterator[Row]:
    """An answer to a case of very many entries."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "visit.yaml"
        create(path, visit(0, ENTRIES))
        opened = OpenCase.open(path)
        times = []
        for turn in range(turns):
            begun = time.process_time()
            opened.answer(["vibration=" + ("slight" if turn % 2 else "strong")])
            times.append(1000.0 * (time.process_time() - begun))
    yield (f"an answer to a case of {ENTRIES:,} entries", "under 100 ms",
           f"{spread(times, 0)} ms", "saved to disk")


def rows_record(turns: int) -> Iterator[Row]:
    """Everything done with a measured drive of four hours, beside reading its numbers alone."""
    numbers, everything = list(bench_record.STEPS)[0], list(bench_record.STEPS)[-1]
    name = f"a drive of {bench_record.MINUTES:g} min at 200 Hz"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drive.csv"
        bench_record.write(path, bench_record.MINUTES)
        yield (f"{name}: {everything}", "at most 4 x its numbers alone", ratios(
            turns, lambda: bench_record.measured(everything, path)[0],
            lambda: bench_record.measured(numbers, path)[0]),
            f"processes after their imports; numbers alone: {numbers}")
        yield (f"{name}: memory", "under 200 MB",
               f"{bench_record.measured(everything, path)[1]:.0f} MB", "its process, highest")


ROWS: dict[str, Callable[[int], Iterator[Row]]] = {
    "start": rows_start, "screen": rows_screen, "posterior": rows_posterior, "error": rows_error,
    "growth": rows_growth, "folder": rows_folder, "case": rows_case,
    "record": rows_record,
}


def main() -> None:
    """Measure, and print the table row by row."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", nargs="*", metavar="ROW", help=", ".join(ROWS))
    parser.add_argument("--turns", type=int, default=9)
    chosen = parser.parse_args()
    print("| what | goal | measured | how |\n|---|---|---|---|")
    for name in chosen.rows or ROWS:
        for row in ROWS[name](chosen.turns):
            print("| " + " | ".join(row) + " |", flush=True)


if __name__ == "__main__":
    main()
