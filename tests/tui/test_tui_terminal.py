"""The program in a real terminal (tmux): both sizes, 16 colors, no color, a closed terminal."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from vibecheck.casebook import store

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed")
_PATIENCE_S = 60.0


class Terminal:
    """The wizard in a tmux of its own."""

    def __init__(self, folder: Path, size: tuple[int, int], env: dict[str, str]) -> None:
        self._socket = f"vibecheck-{uuid.uuid4().hex[:8]}"
        self.folder = folder
        shell = " ".join(f"{name}={value}" for name, value in env.items())
        program = f"env {shell} {sys.executable} -m vibecheck.tui --cases {folder}/visits"
        self._run("-f", "/dev/null", "new-session", "-d", "-x", str(size[0]), "-y", str(size[1]),
                  "-c", str(folder), f"{program}; echo ENDED $?; sleep 60")

    def _run(self, *arguments: str) -> str:
        ran = subprocess.run(["tmux", "-L", self._socket, *arguments],
                             capture_output=True, text=True, check=False, timeout=30)
        return ran.stdout

    def keys(self, *keys: str) -> None:
        """Send keys."""
        self._run("send-keys", *keys)

    def shown(self, *, escapes: bool = False) -> str:
        """What stands on the terminal."""
        return self._run("capture-pane", "-p", *(["-e"] if escapes else []))

    def wait(self, text: str) -> str:
        """Wait until a text stands on the terminal."""
        end = time.monotonic() + _PATIENCE_S
        while time.monotonic() < end:
            shown = self.shown()
            if text in " ".join(shown.split()):
                return shown
            time.sleep(0.05)
        raise AssertionError(f"'{text}' never stood on the terminal:\n{self.shown()}")

    def resize(self, width: int, height: int) -> None:
        """Give the terminal another size."""
        self._run("resize-window", "-x", str(width), "-y", str(height))

    def close(self) -> None:
        """Close the terminal, as a closed window does."""
        self._run("kill-server")


Open = Callable[..., Terminal]


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Open]:
    """Opens terminals, and closes them all at the end."""
    opened: list[Terminal] = []

    def make(size: tuple[int, int] = (80, 24), **env: str) -> Terminal:
        opened.append(Terminal(tmp_path, size, env))
        return opened[-1]

    yield make
    for each in opened:
        each.close()


def begin(it: Terminal, title: str) -> None:
    """From the start into a new visit at the counter."""
    it.wait("Where are you?")
    it.keys("1")
    it.wait("(x) 1 Counter")
    it.keys("n")
    it.wait("New visit at the")
    it.keys("-l", title)
    it.wait(title)
    it.keys("C-s")
    it.wait("Question 1 of at most 12")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_visit_by_keyboard(terminal: Open, size: tuple[int, int]) -> None:
    it = terminal(size)
    begin(it, "van [/bad] [red]x")
    lines = it.shown().splitlines()
    assert len(lines) <= size[1] and max(map(len, lines)) <= size[0]
    it.keys("1")
    it.wait("Question 2 of at most 12")
    it.keys("b")
    it.wait("Answer so far")
    it.keys("Escape")
    it.wait("Question 2 of at most 12")
    it.keys("r")
    it.wait("1 Causes")
    it.resize(100, 30)
    it.wait("4 Remedies")
    it.keys("Escape")
    it.wait("Question 2 of at most 12")
    it.keys("C-q")
    it.wait("ENDED 0")
    case = store.load(next((it.folder / "visits").glob("*.yaml"))).case
    assert case.title == "van [/bad] [red]x"
    assert len(case.entries) == 1


def test_sixteen_colors(terminal: Open) -> None:
    it = terminal(TERM="xterm-16color", COLORTERM="", TEXTUAL_COLOR_SYSTEM="standard")
    begin(it, "van")
    assert not re.search(r"\x1b\[[0-9;]*[34]8[;:]2", it.shown(escapes=True))
    assert "▲ DRIVE GENTLY" in it.shown()


def test_no_color(terminal: Open) -> None:
    """Without color every shade is a gray: red, green and blue are the same."""
    it = terminal(NO_COLOR="1", COLORTERM="truecolor")
    begin(it, "van")
    shades = re.findall(r"[34]8[;:]2[;:]+(\d+)[;:](\d+)[;:](\d+)", it.shown(escapes=True))
    assert all(len(set(each)) == 1 for each in shades)
    assert "▲ DRIVE GENTLY" in it.shown()


def test_closed_terminal_loses_nothing(terminal: Open) -> None:
    it = terminal()
    begin(it, "van")
    it.keys("1")
    it.wait("Question 2 of at most 12")
    it.close()
    path = next((it.folder / "visits").glob("*.yaml"))
    assert [entry.kind for entry in store.load(path).case.entries] == ["answer"]
