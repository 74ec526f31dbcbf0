"""The wizard as its screens know it: what they share, and the ways that lead out of a screen.

`app.VibecheckApp` is it; screens know no more of the app than this.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

if TYPE_CHECKING:
    from textual.screen import Screen

    from vibecheck.calculators.reading_sheet import RoundSheet
    from vibecheck.metrology.units.choice import Units
    from vibecheck.report.wording import Wording
    from vibecheck.session.wheel_set import OpenSet
    from vibecheck.tui.folders import KeptVisit

Result = TypeVar("Result")


class Wizard(Protocol):
    """What is shared by all screens, and where a screen may lead."""

    cases: Path  # the folder for visits
    rules: Path | None  # a folder of rules instead of the usual one
    opens_at_once: bool  # begun with a case, which is seen before anything else
    units: Units
    drafts: dict[str, dict[str, str]]  # typed and in no case yet, by its key
    sheets: dict[str, RoundSheet]  # read round a wheel and in no case yet, by its key
    from_before: frozenset[str]  # keys of drafts and sheets that another run left

    @property
    def wording(self) -> Wording:
        """How values are said: in the units chosen."""

    def tell(self, sentence: str) -> None:
        """Say something at the start, where it stays; elsewhere as a notice."""

    def push_screen(
        self, screen: Screen[Result], callback: Callable[[Result | None], None]
    ) -> object:
        """Show a screen; the callback takes what it gives, or None."""

    def demo_visits(self) -> Sequence[KeptVisit]:
        """The demo cases there are."""

    def begin_visit(self, place: str) -> object:
        """Show the form of a new visit."""

    def open_visit(self, path: Path) -> object:
        """Open a visit that was kept."""

    def open_demo(self, path: Path) -> object:
        """Open a copy of a demo in memory; the demo's file is never written."""

    def leave_visit(self) -> None:
        """Back to the start."""

    def begin_wheels(self, place: str) -> object:
        """Ask what a new set is, and begin it."""

    def show_wheels(self, bench: OpenSet) -> None:
        """The screen of a set."""

    def open_calculator(self, name: str) -> None:
        """Open a calculator, with the case if there is one; its result goes into the case."""
