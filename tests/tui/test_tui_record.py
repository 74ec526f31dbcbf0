"""The record calculator: a file worked out beside the screen, stopped, and taken into a case."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.widgets import Input, Static

from vibecheck.calculators import record
from vibecheck.calculators.fields import Texts
from vibecheck.calculators.record import CALCULATOR, EXAMPLE_FILE, Working
from vibecheck.casebook import store
from vibecheck.cli.main import main
from vibecheck.metrology.note import note
from vibecheck.tui.calculators.file_screen import FileCalculatorScreen
from vibecheck.tui.widgets.plot import Plot

CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)
PATIENCE_S = 20.0


TIRE = "205/55R16"


@pytest.fixture(scope="module")
def shake() -> Path:
    """A record of a simulated drive with an imbalance; invented values."""
    return EXAMPLE_FILE


async def open_record(it: Any, **texts: str) -> FileCalculatorScreen:
    """The calculator, with some fields filled in."""
    it.app.open_calculator("record")
    await it.settle()
    screen = it.app.screen
    assert isinstance(screen, FileCalculatorScreen)
    for name, text in texts.items():
        screen.query_one(f"#field-{name}", Input).value = text
    await it.settle()
    return screen


def shown(screen: FileCalculatorScreen, name: str) -> str:
    """The text of one part of the screen."""
    return str(screen.query_one(f"#calculator-{name}", Static).render())


class Held:
    """A calculation that says where it is and waits until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.begun, self.go, self.left = (threading.Event() for _ in range(3))
        self.finished: list[str] = []
        monkeypatch.setattr(record, "CALCULATOR", replace(CALCULATOR, run=self._run))

    def _run(self, texts: Texts, tell: Any = None) -> Any:
        try:
            tell(note(Working.SPECTRUM, length_s=30.0))
            self.begun.set()
            assert self.go.wait(PATIENCE_S)
            tell(note(Working.SPECTRUM, length_s=60.0))
            self.finished.append(texts["file"])
            return CALCULATOR.run(texts, tell)
        finally:
            self.left.set()


async def test_enter_reads_the_file_and_shows_orders_with_their_marks(
    stage: Any, shake: Path
) -> None:
    async with stage(size=(120, 40)) as it:
        screen = await open_record(it, tire=TIRE, file=f"  '{shake}' ")
        assert "F10 reads the file" in it.words
        screen.form.field("file").focus()
        await it.press("enter")

        assert "wheel, 1st order" in shown(screen, "result")
        figure = screen.query_one("#calculator-plot", Plot).figure
        assert (1.0, "wheel, 1st order") == (figure.marks[0].at, figure.marks[0].label)
        assert "A wheel, 1st order" in it.words and "┊" in it.text
        assert screen.result.order_state == "wheel_first"


async def test_progress_is_told_and_escape_stops_it(
    stage: Any, shake: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(monkeypatch)
    async with stage() as it:
        screen = await open_record(it, file=str(shake), tire=TIRE)
        await it.pilot.press("f10")
        assert held.begun.wait(PATIENCE_S)
        await it.pilot.pause()
        assert "30 s of record read" in shown(screen, "result")
        assert "Esc stops it" in shown(screen, "result")

        await it.pilot.press("escape")
        held.go.set()
        assert held.left.wait(PATIENCE_S)
        await it.settle()

        assert screen is it.app.screen
        assert not held.finished
        assert screen.result is None
        assert "stopped; F10 begins anew" in shown(screen, "word")
        assert str(shake) == screen.form.field("file").value

        await it.press("f10")
        assert screen.result is not None


async def test_another_field_stops_the_work_and_leaving_ends_it(
    stage: Any, shake: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(monkeypatch)
    async with stage() as it:
        screen = await open_record(it, file=str(shake))
        await it.pilot.press("f10")
        assert held.begun.wait(PATIENCE_S)
        screen.form.field("tire").value = TIRE
        await it.pilot.pause()
        await it.pilot.pause()
        assert not screen.busy
        await it.pilot.press("escape")
        held.go.set()
        assert held.left.wait(PATIENCE_S)
        await it.settle()

        assert not isinstance(it.app.screen, FileCalculatorScreen)
        assert not held.finished


@pytest.mark.parametrize("file, what", [
    ("no/such/file.csv", "No such file"), ("[/bad] [red]x[/red]", "[/bad] [red]x[/red]"),
    ("x" * 10_000, "!"), (".", "!"), ("a\x00b", "!"),
])
async def test_a_file_that_cannot_be_used_gives_a_sentence(
    stage: Any, file: str, what: str
) -> None:
    async with stage() as it:
        screen = await open_record(it, file=file)
        await it.press("f10")

        assert what in shown(screen, "word")
        assert not screen.busy and screen.result is None
        assert file == screen.form.field("file").value


async def test_work_that_breaks_off_does_not_look_as_if_it_went_on(
    stage: Any, shake: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(texts: Texts, tell: Any = None) -> Any:
        raise MemoryError("no room for this file")

    monkeypatch.setattr(record, "CALCULATOR", replace(CALCULATOR, run=broken))
    async with stage() as it:
        screen = await open_record(it, file=str(shake))
        await it.pilot.press("f10")
        await it.until("could not be worked out")

        assert not screen.busy
        assert "could not be worked out" in shown(screen, "word")


async def test_the_example_is_a_file_of_its_own_and_marked_invented(stage: Any) -> None:
    async with stage() as it:
        screen = await open_record(it)
        await it.press("f5")
        await it.settle()

        assert shown(screen, "result").startswith("Example: invented values.")
        assert Path(screen.form.field("file").value).is_file()
        assert screen.result.order_state == "wheel_first"


async def test_into_the_case_as_the_command_line_gives_it(
    stage: Any, kept: Any, tmp_path: Path, shake: Path
) -> None:
    path = kept(*CALM)
    other = tmp_path / "other.yaml"
    other.write_bytes(path.read_bytes())
    async with stage(path) as it:
        screen = await open_record(it, file=str(shake))
        assert "205/55R16" == screen.form.field("tire").value
        await it.press("f10", "f6")
        assert not isinstance(it.app.screen, FileCalculatorScreen)

    assert 0 == main(["record", str(shake), "--tire", "205/55R16", "--into", str(other)])

    ours, theirs = (
        [(e.finding, e.corner, e.value, e.check, e.readings) for e in store.load(each).case.entries
         if e.finding and e.finding.startswith("record_")]
        for each in (path, other)
    )
    assert theirs == ours
    assert "record_order" in {finding for finding, *_ in ours}
