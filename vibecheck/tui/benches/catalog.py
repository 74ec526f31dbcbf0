"""The benches there are, and which of them fills in a check.

A bench screen is made with the open desk (or None) and the question in hand (or None). It takes
its result into the case itself, so that nothing is lost when the case refuses it, and is dismissed
with True if it did. Screens are named by "module:Class": none is loaded before it is opened.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from textual.screen import Screen

if TYPE_CHECKING:
    from vibecheck.session.interview import Question
    from vibecheck.session.open_case import OpenCase

    BenchScreen = Screen[bool]
    BenchMaker = Callable[[OpenCase | None, Question | None], BenchScreen]


@dataclass(frozen=True)
class Bench:
    """One bench: its name, what it is for, its screen, and the calculators it stands for."""

    name: str
    title: str
    says: str
    screen: str
    calculators: tuple[str, ...] = ()

    def make(self, desk: OpenCase | None, question: Question | None) -> BenchScreen:
        """Its screen."""
        module, _, name = self.screen.partition(":")
        maker: BenchMaker = getattr(import_module(module), name)
        return maker(desk, question)


BENCHES: tuple[Bench, ...] = (
    Bench("round", "Readings round the wheel", "Gauge readings one by one, with runout and shape",
          "vibecheck.tui.readings:ReadingsScreen", ("runout",)),
    Bench("runout", "Runout from high and low", "Or from a list of readings, against a limit",
          "vibecheck.tui.benches.runout:RunoutBench"),
    Bench("stack", "Which part runs out", "Tire, wheel and hub told apart by turning them",
          "vibecheck.tui.benches.stack:StackBench", ("stack",)),
    Bench("match", "Best turn", "Of the tire on its wheel, or of the wheel on its hub",
          "vibecheck.tui.benches.match:MatchBench", ("match",)),
    Bench("balance", "Balance", "Grams of two planes: weights to place, static and couple",
          "vibecheck.tui.benches.balance:BalanceBench", ("balance",)),
    Bench("trialweight", "Trial weight on the car",
          "The weight that tire, wheel, hub and disc want together",
          "vibecheck.tui.benches.trialweight:TrialWeightBench", ("trialweight",)),
    Bench("orders", "Orders at a speed", "What shakes at which frequency, and what fits a shake",
          "vibecheck.tui.benches.orders:OrdersBench", ("orders",)),
    Bench("record", "Record from a phone", "An acceleration file: spectrum, orders, severity",
          "vibecheck.tui.benches.record:RecordBench", ("record",)),
)


def bench_named(name: str) -> Bench | None:
    """The bench of this name."""
    return next((bench for bench in BENCHES if bench.name == name), None)


def bench_for(calculator: str) -> Bench | None:
    """The bench that works out what a check asks for, if there is one."""
    if not calculator:
        return None
    return next((bench for bench in BENCHES if calculator in bench.calculators), None)
