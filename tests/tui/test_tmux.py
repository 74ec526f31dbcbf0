"""The installed program in a real terminal (tmux), from the start to leaving it."""

from __future__ import annotations

import shlex
import shutil
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from vibecheck.session.desk import Desk
from vibecheck.session.interview import Interview

TMUX = shutil.which("tmux")
PROGRAM = Path(sys.executable).parent / "vibecheck"
PATIENCE_S = 15.0
SIZES = [(80, 24), (120, 40)]
pytestmark = [
    pytest.mark.tmux,
    pytest.mark.skipif(TMUX is None or not PROGRAM.exists(), reason="no tmux, or not installed"),
]


class RealTerminal:
    """One program in one tmux window of a server of its own."""

    def __init__(self, width: int, height: int, command: str, folder: Path) -> None:
        self._server = ["tmux", "-L", f"vibecheck-{uuid.uuid4().hex[:12]}", "-f", "/dev/null"]
        self.width = width
        self._tmux("new-session", "-d", "-x", str(width), "-y", str(height), "-c", str(folder),
                   f"{command}; sleep 60")
        self._tmux("set-option", "-g", "remain-on-exit", "on")

    def _tmux(self, *words: str) -> str:
        done = subprocess.run([*self._server, *words], capture_output=True, text=True, timeout=30,
                              check=True)
        return done.stdout

    def run(self, command: str) -> None:
        """Run another program instead."""
        self._tmux("respawn-pane", "-k", command)

    def flag(self, name: str) -> bool:
        """What tmux knows of the window ("cursor_flag", "alternate_on")."""
        return "1" == self._tmux("display-message", "-p", f"#{{{name}}}").strip()

    def keys(self, *names: str) -> None:
        """Press keys, by their tmux names."""
        for name in names:
            self._tmux("send-keys", name)

    def screen(self) -> str:
        """What stands on the screen; lines that the terminal had to wrap come back joined."""
        text = self._tmux("capture-pane", "-p", "-J")
        lines = [line.rstrip() for line in text.split("\n")]
        assert [] == [line for line in lines if len(line) > self.width]
        return "\n".join(lines)

    def wait(self, met: Callable[[str], bool]) -> str:
        """The screen as soon as it meets a condition."""
        until = time.monotonic() + PATIENCE_S
        while not met(screen := self.screen()):
            if time.monotonic() > until:
                pytest.fail(f"this stayed on the screen:\n{screen}")
            time.sleep(0.1)
        return screen

    def close(self) -> None:
        """End the server and what runs in it."""
        subprocess.run([*self._server, "kill-server"], capture_output=True, timeout=30, check=False)


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def terminal(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[RealTerminal]:
    """The wizard in a terminal, with its visits in a folder of this test."""
    command = shlex.join([str(PROGRAM), "--cases", str(tmp_path / "cases")])
    opened = RealTerminal(*request.param, command, tmp_path)
    try:
        yield opened
    finally:
        opened.close()


def holds(*words: str) -> Callable[[str], bool]:
    """True for a screen with all these words, wherever it breaks its lines."""
    return lambda screen: all(word in screen for word in words)


def the_case(folder: Path) -> Path | None:
    return next(iter(sorted((folder / "cases").glob("*.yaml"))), None)


def saved(folder: Path, entries: int) -> Desk:
    """The case as it is on disk, once it has that many entries."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        path = the_case(folder)
        if path is not None and len((desk := Desk.open(path)).case.entries) >= entries:
            return desk
        time.sleep(0.1)
    pytest.fail(f"{entries} entries were never saved")


def begin(terminal: RealTerminal, folder: Path) -> Desk:
    """A new visit at the counter."""
    terminal.wait(holds("vibecheck", "Where are you?", "Begin a new visit", "n New visit"))
    terminal.keys("1")
    terminal.wait(holds("(x) 1 Counter"))
    terminal.keys("n")
    terminal.wait(holds("New visit at the Counter", "tire size"))
    terminal.keys("hatch")
    terminal.wait(holds("hatch"))
    terminal.keys("C-s")
    terminal.wait(holds("Question 1 of at most 12", "counter"))
    return saved(folder, 0)


def test_a_counter_visit_from_the_start_to_leaving(terminal, tmp_path):
    mirror = Interview(begin(terminal, tmp_path))
    entries = 0
    while (question := mirror.current()).check.safety:
        terminal.keys("s")
        entries += 1
        mirror = Interview(saved(tmp_path, entries))
    before = mirror.desk.view().ranking[0]
    for _ in range(3):
        question = mirror.current()
        terminal.wait(holds(f"Question {question.number} of at most 12"))
        terminal.keys("2")
        entries += 1
        mirror = Interview(saved(tmp_path, entries))
    after = mirror.desk.view().ranking[0]

    assert after.probability > before.probability
    percent = f"{100.0 * after.probability:.0f} % {after.word}"
    terminal.wait(holds(f"1. {after.name.split(',')[0][:20]}", percent, "Cautions"))
    terminal.keys("q")
    terminal.wait(holds("Begin a new visit", "hatch"))
    terminal.keys("q")
    terminal.wait(lambda screen: "vibecheck" not in screen)
    assert entries == len(saved(tmp_path, entries).case.entries)


def test_the_plain_interview_in_the_same_terminal(terminal, tmp_path):
    """Leaving the wizard gives the terminal back as it was: a plain program writes on it."""
    begin(terminal, tmp_path)
    terminal.keys("C-q")
    terminal.wait(lambda screen: "Question" not in screen)
    plain = shlex.join([str(PROGRAM), "ask", f"cases/{the_case(tmp_path).name}"])
    terminal.run(f"{plain}; sleep 60")
    terminal.wait(holds("Question 1 of at most 12", "\n>"))
    terminal.keys("s", "Enter")
    terminal.wait(holds("Question 2 of at most 12"))
    terminal.keys("C-d")
    terminal.wait(holds("Everything is saved in"))
    assert 1 == len(saved(tmp_path, 1).case.entries)


def test_leaving_restores_the_cursor(terminal):
    terminal.wait(holds("Begin a new visit"))
    terminal.keys("q")
    terminal.wait(lambda screen: "vibecheck" not in screen)

    assert terminal.flag("cursor_flag")
    assert not terminal.flag("alternate_on")
