"""The wizard: shows the first screen at once and reads the rules while it stands."""

from __future__ import annotations

import asyncio
import os
import signal
import threading
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import work
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.css.query import NoMatches
from textual.screen import Screen
from textual.worker import WorkerFailed

from vibecheck.casebook.folders import usual_folder
from vibecheck.errors import VibecheckError
from vibecheck.metrology.units.choice import Units
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.calculators.catalog import SHOWN, shown_named
from vibecheck.tui.folders import UNFINISHED, KeptVisit, kept_visits
from vibecheck.tui.looks import DARK, LIGHT
from vibecheck.tui.plain import line, visible
from vibecheck.tui.start import StartScreen
from vibecheck.tui.style_sheet import KeptStyleSheet

if TYPE_CHECKING:
    from vibecheck.calculators.reading_sheet import RoundSheet
    from vibecheck.casebook.case import PlaceName
    from vibecheck.knowledge.library import Library
    from vibecheck.report.wording import Wording
    from vibecheck.session.open_case import OpenCase
    from vibecheck.session.unfinished import Unfinished
    from vibecheck.session.wheel_set import OpenSet
    from vibecheck.tui.visit import VisitScreen

KEEP_EVERY_S = 1.0
DEMO_SETS = "wheel_sets"  # folder within that of the demo cases
END_WITHIN_S = 3.0  # after a signal
_THEMES = (DARK, LIGHT)


class VibecheckApp(App[None]):
    """All screens, and the case that is open.

    Parameters
    ----------
    cases : the folder for visits; the user's data folder if None.
    rules : a folder of rules instead of the usual one.
    case : a case file to open at once.
    """

    TITLE = "vibecheck"
    CSS_PATH = "looks.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "length_unit", "mm / in", show=False),
        Binding("f3", "speed_unit", "km/h / mph", show=False),
        Binding("f4", "light_or_dark", "Light / dark", show=False),
        Binding("ctrl+q", "quit", "Leave the program", show=False, priority=True),
    ]

    def __init__(
        self, cases: Path | None = None, rules: Path | None = None, case: Path | None = None
    ) -> None:
        super().__init__()
        self.stylesheet = KeptStyleSheet(variables=self.get_css_variables())
        self.cases = cases or usual_folder()
        self.rules = rules
        self._kept = kept = _unfinished(self.cases / UNFINISHED)
        self.units = kept.units if kept else Units()
        self.opened: OpenCase | None = None
        # What was typed at calculators and read round a wheel, and is in no case yet, by its key.
        self.drafts: dict[str, dict[str, str]] = dict(kept.drafts) if kept else {}
        self.sheets: dict[str, RoundSheet] = kept.round_sheets() if kept else {}
        # From another run: shown where they were typed, but never offered to a visit.
        self.from_before = frozenset((*self.drafts, *self.sheets))
        self._fleeting: set[str] = set()  # visits that are only in memory
        self._stands = False  # the first screen, drawn
        self._first_case = case
        self.opens_at_once = case is not None
        self._library: asyncio.Task[Library] | None = None
        for theme in _THEMES:
            self.register_theme(theme)
        self.theme = LIGHT.name if kept and kept.light else DARK.name

    def get_default_screen(self) -> Screen[None]:
        """The start."""
        return StartScreen()

    def on_load(self) -> None:
        """Heed the system before the terminal is changed."""
        self._heed_system()

    def _heed_system(self) -> None:
        """A closed terminal and an end told by the system leave as a key does."""
        if self.is_headless:
            return
        for name in ("SIGHUP", "SIGTERM"):
            number = getattr(signal, name, None)  # not every system has both
            with suppress(NotImplementedError, RuntimeError, ValueError):
                if number is not None:
                    asyncio.get_running_loop().add_signal_handler(number, self.end_now, number)

    def end_now(self, number: int) -> None:
        """Keep what is not finished, give the terminal back, and end with the signal's code.

        A terminal that is gone may never take what is still to be written: then it ends without.
        """
        self.keep_unfinished()
        last = threading.Timer(END_WITHIN_S, os._exit, (128 + number,))
        last.daemon = True
        last.start()
        self.exit(return_code=128 + number)

    def on_mount(self) -> None:
        """Open what was asked for; else read the rules while the start stands."""
        self._heed_system()  # again: a driver may have put handlers of its own
        self.set_interval(KEEP_EVERY_S, self.keep_unfinished)
        if self._first_case is not None:
            self.open_visit(self._first_case)
        else:
            self.call_after_refresh(self.read_rules)

    def on_ready(self) -> None:
        """The first screen stands."""
        self._stands = True

    def _handle_exception(self, error: Exception) -> None:
        """What comes up, or is read for a screen, as the program ends finds its widgets gone: no
        fault to tell."""
        leaving = self.return_code is not None or (self._stands and not self.is_running)
        first = error.error if isinstance(error, WorkerFailed) else error
        if not (leaving and isinstance(first, NoMatches)):
            super()._handle_exception(error)

    def on_unmount(self) -> None:
        """Keep what is not finished."""
        self.keep_unfinished()

    def keep_unfinished(self) -> None:
        """Write down what was typed and is in no case, if it changed."""
        from vibecheck.session.unfinished import Unfinished, gathered, write_unfinished

        now = gathered(self.units, self.theme == LIGHT.name, self.drafts, self.sheets,
                       frozenset(self._fleeting))
        before = self._kept or Unfinished()
        if now != before and write_unfinished(self.cases / UNFINISHED, now):
            self._kept = now

    @work(exclusive=True, group="rules")
    async def read_rules(self) -> None:
        """Read the rules beside the screens."""
        try:
            await self.library()
        except VibecheckError as error:
            self.tell(str(error))

    async def library(self) -> Library:
        """The rules, read once, beside the screens.

        Raises
        ------
        RulesError : they have faults. InputError : there are none.
        """
        if self._library is None or (self._library.done() and self._library.exception()):
            self._library = asyncio.ensure_future(asyncio.to_thread(_read_library, self.rules))
        return await asyncio.shield(self._library)

    def demo_visits(self) -> Sequence[KeptVisit]:
        """The demo cases there are."""
        from vibecheck.knowledge.place import find_demo_cases

        try:
            folder = find_demo_cases()
            found = kept_visits(folder, folder / DEMO_SETS)
        except VibecheckError:
            return ()
        return sorted(found, key=lambda visit: visit.path.name)

    # Visits

    @work(exclusive=True, group="opening")
    async def begin_visit(self, place: str) -> None:
        """Show the form of a new visit."""
        from vibecheck.tui.newvisit import NewVisitScreen

        self.tell("Reading the rules ...")
        try:
            library = await self.library()
        except VibecheckError as error:
            self.tell(str(error))
            return
        self.tell("")
        screen = NewVisitScreen(library, cast("PlaceName", place), self.cases, self.rules)
        self.push_screen(screen, self._begun)

    def _begun(self, opened: OpenCase | None) -> None:
        if opened is not None:
            self._show_visit(opened)

    @work(exclusive=True, group="opening")
    async def open_visit(self, path: Path) -> None:
        """Open a visit that was kept."""
        await self._open(lambda: _opened(path, self.rules))

    @work(exclusive=True, group="opening")
    async def open_demo(self, path: Path) -> None:
        """Open a copy of a demo in memory; the demo's file is never written."""
        await self._open(lambda: _copy(path, self.rules))

    @work(exclusive=True, group="opening")
    async def begin_wheels(self, place: str) -> None:
        """Ask what a new set is, and begin it."""
        from vibecheck.tui.wheels_begin import begin

        self.tell("Reading the rules ...")
        try:
            await self.library()
        except VibecheckError as error:
            self.tell(str(error))
            return
        self.tell("")
        begin(self, cast("PlaceName", place))

    def show_wheels(self, bench: OpenSet) -> None:
        """The screen of a set."""
        from vibecheck.tui.wheels import WheelsScreen

        if bench.path is None:
            self._fleeting.add(bench.case.id)
        self.push_screen(WheelsScreen(bench))

    def open_corner_wheels(self) -> None:
        """The four wheels of the car whose visit is open, tires off."""
        from vibecheck.session.wheel_corners import CornerWheels
        from vibecheck.tui.wheels import WheelsScreen

        if self.opened is None:
            return

        def back(_: None) -> None:
            visit = self._visit()
            if visit is not None:
                visit.show_all()

        dial = self.units.length
        self.push_screen(WheelsScreen(CornerWheels(self.opened, dial)), back)

    async def _open(self, make: Callable[[], OpenCase | OpenSet]) -> None:
        from vibecheck.session.open_case import OpenCase

        self.tell("Opening ...")
        try:
            await self.library()
            opened = await asyncio.to_thread(make)
        except VibecheckError as error:
            if isinstance(self.screen, StartScreen):
                await self.screen.stand()
            self.tell(str(error))
            return
        self.tell("")
        if isinstance(opened, OpenCase):
            self._show_visit(opened)
        else:
            self.show_wheels(opened)

    def _show_visit(self, opened: OpenCase) -> None:
        from vibecheck.tui.visit import VisitScreen

        self.opened = opened
        if opened.path is None:
            self._fleeting.add(opened.case.id)
        self.push_screen(VisitScreen(opened))

    def leave_visit(self) -> None:
        """Back to the start."""
        while not isinstance(self.screen, StartScreen):
            self.pop_screen()
        self.opened = None

    def keep_visit(self) -> None:
        """Keep a visit that is only in memory (a demo) as a file of its own."""
        from vibecheck.tui.attempt import attempt
        from vibecheck.tui.folders import fresh_path, make_folder

        opened = self.opened
        if opened is None or opened.path is not None:
            return
        path = fresh_path(self.cases, opened.case.title)
        word = attempt(lambda: make_folder(self.cases)) or attempt(lambda: opened.keep(path))
        if not word:
            self._fleeting.discard(opened.case.id)
        self.notify(visible(word or f"kept as {path}"), markup=False)
        self.show_anew()

    def open_calculator(self, name: str) -> None:
        """Open a calculator, with the case if there is one; its result goes into the case."""
        calculator = shown_named(name)
        if calculator is None:
            self.notify(visible(f"there is no calculator '{name}'", 80), markup=False)
            return

        def back(taken: bool | None) -> None:
            visit = self._visit()
            if taken and visit is not None:
                visit.show_all()

        self.push_screen(calculator.make(self.opened, None), back)

    def tell(self, sentence: str) -> None:
        """Say something at the start, where it stays; elsewhere as a notice."""
        if isinstance(self.screen, StartScreen):
            self.screen.say(sentence)
        elif sentence:
            self.notify(visible(sentence), markup=False, timeout=10)

    # Comfort

    def action_length_unit(self) -> None:
        """Between millimeters and inches."""
        self._choose_units(self.units.other_length())

    def action_speed_unit(self) -> None:
        """Between kilometers and miles per hour."""
        self._choose_units(self.units.other_speed())

    def _choose_units(self, units: Units) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, BaseScreen):
                screen.units_changing(self.units)
        self.units = units
        self.show_anew()
        self.notify(line(f"Units: {units.length}, {units.speed}").plain, markup=False, timeout=2)

    @property
    def wording(self) -> Wording:
        """How values are said: in the units chosen."""
        from vibecheck.report.wording import Wording

        return Wording(self.units)

    def show_anew(self) -> None:
        """Let every screen show its values anew."""
        for screen in self.screen_stack:
            if isinstance(screen, BaseScreen):
                screen.units_changed()

    def action_light_or_dark(self) -> None:
        """Between the light and the dark look."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def _visit(self) -> VisitScreen | None:
        from vibecheck.tui.visit import VisitScreen

        return next((each for each in self.screen_stack if isinstance(each, VisitScreen)), None)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """What the command palette offers here."""
        yield SystemCommand("Unit of length", "mm or inch; typed digits stay",
                            self.action_length_unit)
        yield SystemCommand("Unit of speed", "km/h or mph; typed digits stay",
                            self.action_speed_unit)
        yield SystemCommand("Light or dark", "Change the look", self.action_light_or_dark)
        if self.opened is not None and self.opened.path is None:
            yield SystemCommand("Keep this visit", "As a file of its own", self.keep_visit)
        if self.opened is not None:
            yield SystemCommand("Four wheels, tires off", "All bead surfaces in one table",
                                self.open_corner_wheels)
        for calculator in SHOWN:
            yield SystemCommand(f"Calculator: {calculator.title}", calculator.says,
                                lambda name=calculator.name: self.open_calculator(name))
        for key, binding, enabled in _commands(screen):
            if enabled:
                yield SystemCommand(
                    binding.description, f"Key {key}",
                    lambda action=binding.action: self._run_on(screen, action),
                )
        yield SystemCommand("Leave the program", "Everything is saved", self.action_quit)

    async def _run_on(self, screen: Screen[object], action: str) -> None:
        await screen.run_action(action)


def _commands(screen: Screen[object]) -> Iterable[tuple[str, Binding, bool]]:
    """The keys of a screen that are worth a line in the palette, each once."""
    seen: set[str] = set()
    for key, (node, binding, enabled, _) in screen.active_bindings.items():
        worth = binding.show or (len(key) == 1 and key.isalpha())
        if node is screen and worth and binding.description not in seen:
            seen.add(binding.description)
            yield key, binding, enabled


def _unfinished(path: Path) -> Unfinished | None:
    """What an earlier run left, if it left anything; the module is read only then."""
    if not path.exists():
        return None
    from vibecheck.session.unfinished import read_unfinished

    return read_unfinished(path)


def _read_library(rules: Path | None) -> Library:
    from vibecheck.session.open_case import library_at

    return library_at(rules)


def _opened(path: Path, rules: Path | None) -> OpenCase | OpenSet:
    from vibecheck.casebook.store import load
    from vibecheck.session.open_case import OpenCase

    if load(path).case.wheels is not None:
        from vibecheck.session.wheel_set import OpenSet

        return OpenSet.open(path, rules)
    opened = OpenCase.open(path, rules)
    _work_out(opened)
    return opened


def _copy(path: Path, rules: Path | None) -> OpenCase | OpenSet:
    from vibecheck.casebook.store import load
    from vibecheck.session.open_case import OpenCase, library_at

    case = load(path).case
    if case.wheels is not None:
        from vibecheck.session.wheel_set import OpenSet

        return OpenSet(None, case, library_at(rules))
    opened = OpenCase(None, case, library_at(rules))
    _work_out(opened)
    return opened


def _work_out(opened: OpenCase) -> None:
    """Work out what the first screen shows, so that it need not wait for it."""
    found = opened.diagnosis
    found.driving, found.conclusion, found.less_likely  # noqa: B018 - each is kept once read


def run(
    cases: Path | None = None, rules: Path | None = None, case: Path | None = None
) -> int:
    """Run the wizard in this terminal; gives the exit code of the program."""
    app = VibecheckApp(cases, rules, case)
    app.run()
    return app.return_code or 0
