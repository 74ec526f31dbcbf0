"""The calculators of the list. None is loaded before it is used."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from msgspec import Struct

from vibecheck.calculator_list import LISTED

if TYPE_CHECKING:
    from vibecheck.calculators.calculator import Calculator


class Listed(Struct, frozen=True):
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


CALCULATORS = tuple(Listed(*each) for each in LISTED)


def listed(name: str) -> Listed | None:
    """The calculator of this name, if there is one."""
    return next((each for each in CALCULATORS if each.name == name), None)
