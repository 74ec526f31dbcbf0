"""The calculators there are: the one list. None is loaded before it is used."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from vibecheck.calculators.calculator import Calculator


@dataclass(frozen=True)
class Listed:
    """A calculator by name: its title, what it is for, and the calculator when it is wanted.

    Its module is `vibecheck.calculators.NAME`, its page `vibecheck.report.calculators.NAME`.
    """

    name: str
    title: str
    says: str

    def load(self) -> Calculator:
        """The calculator."""
        found: Calculator = import_module(f"vibecheck.calculators.{self.name}").CALCULATOR
        return found


CALCULATORS = (
    Listed("runout", "Runout from high and low",
           "Work out a runout from readings, and judge it against a limit"),
    Listed("stack", "Which part runs out",
           "Tell tire, wheel and hub apart by turning them against each other"),
    Listed("match", "Best turn",
           "Find the best turn of tire on wheel or wheel on hub, and what it brings"),
    Listed("balance", "Balance",
           "Part and place balance weights, static and couple, from the grams of two planes"),
    Listed("trialweight", "Trial weight on the car",
           "Find the weight that tire, wheel, hub and disc want together, by trial weights"),
    Listed("orders", "Orders at a speed",
           "Say which part shakes at which frequency, and which parts fit a measured one"),
    Listed("record", "Record from a phone",
           "Read a phone's accelerometer record: which order shakes, where to and how strongly"),
)


def listed(name: str) -> Listed | None:
    """The calculator of this name, if there is one."""
    return next((each for each in CALCULATORS if each.name == name), None)
