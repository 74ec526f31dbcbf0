"""The screens of the calculators, and which of them fills in a check.

A screen is made with the open case (or None) and the question in hand (or None). It takes its
result into the case itself, so that nothing is lost when the case refuses it, and is dismissed
with True if it did. None is loaded before it is opened.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from vibecheck.calculators.registry import CALCULATORS

if TYPE_CHECKING:
    from textual.screen import Screen

    from vibecheck.session.interview import Question
    from vibecheck.session.open_case import OpenCase

SHEET = "round"  # readings round the wheel one by one, which is a runout


class Shown(Struct, frozen=True):
    """A calculator as it is offered: its name, title, and what it is for."""

    name: str
    title: str
    says: str

    def make(self, opened: OpenCase | None, question: Question | None) -> Screen[bool]:
        """Its screen."""
        if self.name == SHEET:
            from vibecheck.tui.readings import ReadingsScreen

            return ReadingsScreen(opened, question)
        from vibecheck.calculators.registry import listed

        found = listed(self.name)
        assert found is not None
        if found.load().reads_file:
            from vibecheck.tui.calculators.file_screen import FileCalculatorScreen

            return FileCalculatorScreen(found, opened, question)
        from vibecheck.tui.calculators.screen import CalculatorScreen

        return CalculatorScreen(found, opened, question)


SHOWN = (
    Shown(SHEET, "Readings round the wheel", "Gauge readings one by one, with runout and shape"),
    *(Shown(each.name, each.title, each.says) for each in CALCULATORS),
)


def shown_named(name: str) -> Shown | None:
    """The calculator of this name."""
    return next((each for each in SHOWN if each.name == name), None)


def shown_for(calculator: str) -> Shown | None:
    """What works out what a check asks for, if there is one; a runout is read round the wheel."""
    return shown_named(SHEET if calculator == "runout" else calculator)
