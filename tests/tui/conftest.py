"""What the tests of the screens share: an app on a folder of its own, and what it shows."""

from __future__ import annotations

import asyncio
import errno
import os
import sys
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import textual.app
import textual.pilot
from textual.app import active_app
from textual.pilot import Pilot
from textual.widgets import Input
from textual.worker import WorkerCancelled

from vibecheck.casebook.case import PlaceName
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.app import VibecheckApp
from vibecheck.tui.calculators.screen import CalculatorScreen
from vibecheck.tui.opening import OpeningScreen
from vibecheck.tui.readings import ReadingsScreen
from vibecheck.tui.visit import VisitScreen

if TYPE_CHECKING:
    from real_terminal import RealTerminal

sys.path.insert(0, str(Path(__file__).parent))  # lets the test modules import `real_terminal`

CALM = (  # nothing dangerous seen or felt
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
    "steering_free_play=within",
)
REDRAWN = 3  # drawings, each of which may ask for another
MOST_LOOKS = 60  # before a screen that never comes to rest is taken as it is
SHAKES = ("vibration=strong", "feel=shimmy", "felt_in_steering_wheel=strong")


async def nothing_to_do() -> None:
    """Wait until no task of the running loop has anything to do."""
    ready = asyncio.get_running_loop()._ready  # type: ignore[attr-defined]
    await asyncio.sleep(0)
    while ready:
        await asyncio.sleep(0)


async def at_rest(*_: float) -> None:
    """Wait until everything is done and drawn: what the toolkit's pilot takes 20 ms for."""
    for _ in range(REDRAWN):
        await nothing_to_do()
        active_app.get().screen._on_timer_update()
    await nothing_to_do()


@pytest.fixture(autouse=True)
def events_not_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pilot waits for events and not for time."""
    monkeypatch.setattr(textual.app, "wait_for_idle", at_rest)
    monkeypatch.setattr(textual.pilot, "wait_for_idle", at_rest)


class Stage:
    """A running app: press keys, and read what stands on the screen."""

    def __init__(self, app: VibecheckApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot

    async def settle(self) -> None:
        """Wait until everything begun is done."""
        await self.pilot.pause(0)
        if len(self.app.workers):
            with suppress(WorkerCancelled):  # one that a newer one took the place of is done too
                await self.app.workers.wait_for_complete()
            await self.pilot.pause()
        await self.pilot.pause(0)

    async def come_to_rest(self) -> None:
        """Wait until the rules are read and two looks at the screen show the same."""
        shown = ""
        for _ in range(MOST_LOOKS):
            await self.settle()
            if (rules := self.app._library) is not None:
                await asyncio.wait([rules])
                await self.settle()
            before, shown = shown, self.text
            if shown == before:
                return
            await self.pilot.pause(0.02)

    async def until(self, words: str) -> None:
        """Wait until these words stand on the screen."""
        for _ in range(MOST_LOOKS):
            if words in self.words:
                return
            await self.pilot.pause(0.05)
            await self.settle()
        assert words in self.words

    async def press(self, *keys: str) -> None:
        """Press keys, one after the other."""
        for key in keys:
            await self.pilot.press(key)
            await self.settle()

    async def type(self, text: str) -> None:
        """Type a text into what has the focus."""
        names = {" ": "space", ".": "full_stop", "/": "slash", "-": "minus", "+": "plus"}
        await self.pilot.press(*(names.get(ch, ch) for ch in text))
        await self.settle()

    async def resize(self, width: int, height: int) -> None:
        """Make the terminal another size; the toolkit gathers sizes for 1/120 s."""
        await self.pilot.resize_terminal(width, height)
        await self.pilot.pause(1 / 60)
        await self.settle()

    async def past_opening(self) -> None:
        """Skip the opening of a new visit, where it stands."""
        if isinstance(self.app.screen, OpeningScreen):
            await self.press("escape")

    async def calculator(self, name: str) -> Any:
        """The screen of a calculator, as from the palette or the start."""
        self.app.open_calculator(name)
        await self.settle()
        assert isinstance(self.app.screen, CalculatorScreen | ReadingsScreen)
        return self.app.screen

    async def check(self, finding: str = "bead_radial_inboard") -> ReadingsScreen:
        """The sheet of readings, opened from the check that yields a finding."""
        visit = self.app.screen
        assert isinstance(visit, VisitScreen)
        visit.interview.jump(finding, "LF")
        visit.show_all()
        await self.press("i")
        assert isinstance(self.app.screen, ReadingsScreen)
        return self.app.screen

    async def read_off(self, *texts: str) -> None:
        """Type readings, each with Enter, as a gauge does."""
        for text in texts:
            self.app.screen.query_one("#round-entry", Input).value = text
            await self.pilot.press("enter")
        await self.settle()

    @property
    def text(self) -> str:
        """Everything on the screen, line by line."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(part.text for part in strip).rstrip() for strip in strips)

    @property
    def words(self) -> str:
        """Everything on the screen, white space and frames taken out."""
        return " ".join(self.text.translate(str.maketrans("│─╭╮╰╯", "      ")).split())

    @property
    def opened(self) -> OpenCase:
        """The case of the open visit."""
        assert self.app.opened is not None
        return self.app.opened


Start = Callable[..., AbstractAsyncContextManager[Stage]]


@pytest.fixture
def stage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Start:
    """Runs the app on an empty folder of visits."""
    monkeypatch.chdir(tmp_path)

    @asynccontextmanager
    async def begin(
        case: Path | None = None, size: tuple[int, int] = (80, 24), rules: Path | None = None,
        *, opening: bool = False,
    ) -> AsyncIterator[Stage]:
        app = VibecheckApp(tmp_path / "visits", rules, case)
        app.animation_level = "none"  # nothing is told by movement, so no test waits for it
        async with app.run_test(size=size) as pilot:
            made = Stage(app, pilot)
            await made.come_to_rest()
            if not opening:
                await made.past_opening()
            yield made

    return begin


@pytest.fixture
def real_terminal(tmp_path: Path) -> Iterator[Callable[..., RealTerminal]]:
    """Opens real terminals with the wizard in them, and closes them all at the end."""
    from real_terminal import RealTerminal

    opened: list[RealTerminal] = []

    def make(size: tuple[int, int] = (80, 24), **env: str) -> RealTerminal:
        opened.append(RealTerminal(tmp_path, size, **env))
        return opened[-1]

    yield make
    for each in opened:
        each.close()


@pytest.fixture
def kept(tmp_path: Path) -> Callable[..., Path]:
    """Writes a visit with some answers to disk."""

    def make(
        *answers: str, place: PlaceName = "bay", title: str = "Blue estate",
        facts: dict[str, str] | None = None, rules: Path | None = None,
    ) -> Path:
        path = tmp_path / "visit.yaml"
        known = {"drive": "front", "tire_size": "205/55R16"} if facts is None else facts
        opened = OpenCase.new(path, place=place, title=title, facts=known, rules=rules)
        if answers:
            opened.answer(answers)
        return path

    return make


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Callable[[bool], None]:
    """Lets every write to a file fail as on a full disk, or makes room again."""
    real = os.fsync

    def refuse(handle: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    def switch(full: bool) -> None:
        monkeypatch.setattr(os, "fsync", refuse if full else real)

    return switch
