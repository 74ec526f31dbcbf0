"""The benches there are, and which of them fills in a check.

A bench screen is made with the open desk (or None) and the question in hand (or None), and is
dismissed with the assignments to take into the case (or None). Screens are named by
"module:Class" so that none is loaded before it is opened.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from textual.screen import Screen

if TYPE_CHECKING:
    from vibecheck.session.answers import Assignment
    from vibecheck.session.desk import Desk
    from vibecheck.session.interview import Question

    BenchScreen = Screen[Sequence[Assignment] | None]
    BenchMaker = Callable[[Desk | None, Question | None], BenchScreen]


@dataclass(frozen=True)
class Bench:
    """One bench: its name, what it is for, its screen, and the calculators it stands for."""

    name: str
    title: str
    says: str
    screen: str
    calculators: tuple[str, ...] = ()

    def make(self, desk: Desk | None, question: Question | None) -> BenchScreen:
        """Its screen."""
        module, _, name = self.screen.partition(":")
        maker: BenchMaker = getattr(import_module(module), name)
        return maker(desk, question)


BENCHES: tuple[Bench, ...] = ()


def bench_named(name: str) -> Bench | None:
    """The bench of this name."""
    return next((bench for bench in BENCHES if bench.name == name), None)


def bench_for(calculator: str) -> Bench | None:
    """The bench that works out what a check asks for, if there is one."""
    if not calculator:
        return None
    return next((bench for bench in BENCHES if calculator in bench.calculators), None)
