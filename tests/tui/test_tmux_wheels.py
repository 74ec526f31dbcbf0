"""Wheels side by side in a real terminal: typed, judged, broken off, opened again, left."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest
from real_terminal import PATIENCE_S, PROGRAM, REAL_TERMINAL, RealTerminal

from vibecheck.casebook.case import Case
from vibecheck.errors import CaseError
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import Fate

pytestmark = REAL_TERMINAL
TURN = "6 7 8 8 7 6 5 -55 1 31 -3 -5 -7 -7 -8 -8 -7 -7 -5 -3 -1 0 3 5 6".split()


def begun(it: RealTerminal) -> None:
    """From the start into a new set: new wheels, by carrier, a dial of hundredths."""
    it.wait("Begin a new visit", "Measure wheels without a car")
    it.keys("w")
    it.wait("What wheels are these?")
    it.keys("1")
    it.wait("What do bare numbers count in?")
    it.keys("2")
    it.wait("New wheels", "not yet measured", "two indicators")


def type_rows(it: RealTerminal, *rows: str) -> None:
    for row in rows:
        it.type(row)
        it.keys("Enter")


def on_disk(it: RealTerminal, entries: int) -> tuple[Path, Case]:
    """The set as it is on disk, once it has that many entries."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        path = it.case
        try:
            if path is not None and len((case := OpenSet.open(path).case).entries) >= entries:
                return path, case
        except CaseError:
            pass
        time.sleep(0.1)
    pytest.fail(f"{entries} entries were never saved")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_four_wheels_from_the_start_to_the_sheets(real_terminal, size):
    it = real_terminal(size)
    begun(it)
    type_rows(it, "14 18", "11 12", "1", "12 22", "119 31")
    it.wait("1.19 mm BEYOND")
    it.keys("t")
    it.wait("round the wheel", "Zero at the valve")
    type_rows(it, *TURN)
    it.wait("CLAIM:", "sharp bend of 1.16 mm")
    type_rows(it, "3", "49 21", "20 18", "1", "16 21", "20 18", "2")
    it.wait("All is read and looked at", "claim: beyond, bent", "too close to tell")
    it.keys("p")
    it.wait("All wheels (c: 1 claim)", "WHEELS, MEASURED WITH THE TIRES OFF")
    it.keys("k")
    it.wait("kept as")
    it.keys("c")
    it.wait("Claim for wheel 2", "READINGS OF A WHEEL")
    it.keys("k")
    it.wait("kept as")
    it.keys("Escape")
    it.wait("Wheel 4")
    it.keys("Escape")
    it.wait("Begin a new visit", "New wheels")
    it.keys("q")
    it.wait("ENDED 0")
    path, _ = on_disk(it, 30)
    names = {each.name for each in path.parent.iterdir() if each.name.startswith(path.stem)}

    assert [Fate.KEEP, Fate.CLAIM, Fate.OPEN, Fate.KEEP] == [
        row.fate for row in OpenSet.open(path).table.rows]
    assert {f"{path.stem}{end}" for end in (
        ".yaml", "-sheet.txt", "-sheet.html", "-claim-2.txt", "-claim-2.html")} <= names
    assert it.flag("cursor_flag") and not it.flag("alternate_on")


def test_a_killed_program_loses_no_row_and_no_place_of_a_turn(real_terminal):
    it = real_terminal()
    begun(it)
    type_rows(it, "14 18", "119 12")
    path, _ = on_disk(it, 4)
    it.keys("t")
    it.wait("round the wheel")
    type_rows(it, *TURN[:7])
    it.wait("7 of 24 read")
    kept = path.parent / "unfinished.json"
    until = time.monotonic() + PATIENCE_S
    while not (kept.exists() and "0.05 mm" in kept.read_text(encoding="utf-8")):
        assert time.monotonic() < until
        time.sleep(0.1)
    shell = int(it._tmux("display-message", "-p", "#{pane_pid}"))
    children = Path(f"/proc/{shell}/task/{shell}/children").read_text(encoding="utf-8").split()
    os.kill(int(children[0]), signal.SIGKILL)
    it.wait("ENDED 137")
    it.run(str(PROGRAM), "wizard", "--cases", str(it.visits), str(path))

    it.wait("0.14", "1.19 !", "Wheel 1")
    it.keys("t")
    it.wait("7 of 24 read", "0.08 mm")
