"""Time from an answer to the updated ranking, on the demo case with the most entries.

Run: python tests/bench/bench_wizard.py [TURNS]
Three ways, each with fresh answers of the checks that would be asked next: in memory, with the case
saved to disk, and in the wizard's visit screen, drawn anew. The time to the first screen is
measured by bench_first_screen.py.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from vibecheck.casebook.store import load
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.report.rank_page import rank_page  # noqa: E402
from vibecheck.report.wording import Wording  # noqa: E402
from vibecheck.session.answers import Assignment
from vibecheck.session.open_case import OpenCase, library_at
from vibecheck.tui.app import VibecheckApp
from vibecheck.tui.visit import VisitScreen

TURNS = 31


def largest_demo() -> Path:
    """The demo case with the most entries."""
    return max(find_demo_cases().glob("*.yaml"), key=lambda path: len(load(path).case.entries))


def answers(opened: OpenCase) -> Iterator[Assignment]:
    """For ever: an answer to a field that is asked next, changing its state from turn to turn."""
    turn = 0
    while True:
        fields = [field for check in opened.diagnosis.next_checks for field in check.fields]
        field = fields[turn % len(fields)]
        states = list(field.states)
        yield Assignment(field.finding, states[turn % len(states)], field.corner)
        turn += 1


def median_ms(
    opened: OpenCase, turns: int, give: Callable[[Assignment], object]
) -> tuple[float, float]:
    """Median and longest time of giving an answer [ms]."""
    spent = []
    source = answers(opened)
    for _ in range(turns):
        answer = next(source)
        begun = time.perf_counter()
        give(answer)
        spent.append(1000.0 * (time.perf_counter() - begun))
    return statistics.median(spent), max(spent)


def in_session(opened: OpenCase, turns: int) -> tuple[float, float]:
    """Answer and ranking, without a screen."""

    def give(answer: Assignment) -> None:
        opened.answer([answer])
        rank_page(opened.diagnosis, Wording())

    rank_page(opened.diagnosis, Wording())
    return median_ms(opened, turns, give)


async def in_wizard(case: Path, turns: int) -> tuple[float, float]:
    """Answer, ranking, and every part of the visit screen told to show it."""
    app = VibecheckApp(case.parent, None, case)
    async with app.run_test(size=(120, 40)) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, VisitScreen)

        def give(answer: Assignment) -> None:
            screen.do(lambda: screen.opened.answer([answer]))

        return median_ms(screen.opened, turns, give)


def main() -> None:
    """Measure and print."""
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else TURNS
    demo = largest_demo()
    case, library = load(demo).case, library_at(None)
    print(f"{demo.stem}: {len(case.entries)} entries, {turns} answers")
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.yaml"
        copy.write_bytes(demo.read_bytes())
        rows = {
            "in memory": in_session(OpenCase(None, case, library), turns),
            "saved to disk": in_session(OpenCase.open(copy), turns),
        }
        copy.write_bytes(demo.read_bytes())
        rows["in the wizard, saved"] = asyncio.run(in_wizard(copy, turns))
    for name, (median, longest) in rows.items():
        print(f"{name:<22} median {median:6.1f} ms, longest {longest:6.1f} ms")


if __name__ == "__main__":
    main()
