"""A program in a real terminal: tmux with a server of its own for each test."""

from __future__ import annotations

import shlex
import shutil
import subprocess
import sys
import time
import uuid
from collections.abc import Callable
from pathlib import Path

import pytest

PROGRAM = Path(sys.executable).parent / "vibecheck"
PATIENCE_S = 60.0
REAL_TERMINAL = [  # marks for every test that drives one
    pytest.mark.tmux,
    pytest.mark.skipif(shutil.which("tmux") is None or not PROGRAM.exists(),
                       reason="no tmux, or not installed"),
]


class RealTerminal:
    """The wizard in one tmux window; its visits are kept in `folder`/visits."""

    def __init__(self, folder: Path, size: tuple[int, int] = (80, 24), **env: str) -> None:
        self._server = ["tmux", "-L", f"vibecheck-{uuid.uuid4().hex[:12]}", "-f", "/dev/null"]
        self.folder, self.width = folder, size[0]
        said = [f"{name}={value}" for name, value in env.items()]
        # The size is that of the terminal, not one that the test runner was given.
        sizeless = ["env", "-u", "COLUMNS", "-u", "LINES", *said]
        command = shlex.join([*sizeless, str(PROGRAM), "--cases", str(self.visits)])
        self._tmux("new-session", "-d", "-x", str(size[0]), "-y", str(size[1]), "-c", str(folder),
                   f"{command}; echo ENDED $?; sleep 60")
        self._tmux("set-option", "-g", "remain-on-exit", "on")

    @property
    def visits(self) -> Path:
        """The folder of visits."""
        return self.folder / "visits"

    @property
    def case(self) -> Path | None:
        """The file of the first visit, once there is one."""
        return next(iter(sorted(self.visits.glob("*.yaml"))), None)

    def _tmux(self, *words: str) -> str:
        done = subprocess.run([*self._server, *words], capture_output=True, text=True, timeout=30,
                              check=True)
        return done.stdout

    def run(self, *command: str) -> None:
        """Run another program instead."""
        self._tmux("respawn-pane", "-k", f"{shlex.join(command)}; sleep 60")

    def flag(self, name: str) -> bool:
        """What tmux knows of the window ("cursor_flag", "alternate_on")."""
        return "1" == self._tmux("display-message", "-p", f"#{{{name}}}").strip()

    def keys(self, *names: str) -> None:
        """Press keys, by their tmux names."""
        for name in names:
            self._tmux("send-keys", name)

    def type(self, text: str) -> None:
        """Type a text letter by letter."""
        self._tmux("send-keys", "-l", "--", text)

    def resize(self, width: int, height: int) -> None:
        """Give the terminal another size."""
        self.width = max(self.width, width)
        self._tmux("resize-window", "-x", str(width), "-y", str(height))

    def screen(self, *, escapes: bool = False) -> str:
        """What stands on the screen; lines that the terminal had to wrap come back joined."""
        if escapes:
            return self._tmux("capture-pane", "-p", "-e")
        lines = [line.rstrip() for line in self._tmux("capture-pane", "-p", "-J").split("\n")]
        assert [] == [line for line in lines if len(line) > self.width]
        return "\n".join(lines)

    def wait(self, *words: str) -> str:
        """The screen as soon as it holds all these words, wherever it breaks its lines."""
        return self.wait_until(
            lambda screen: all(word in " ".join(screen.split()) for word in words)
        )

    def wait_until(self, met: Callable[[str], bool]) -> str:
        """The screen as soon as it meets a condition."""
        until = time.monotonic() + PATIENCE_S
        while not met(screen := self.screen()):
            if time.monotonic() > until:
                pytest.fail(f"this stayed on the screen:\n{screen}")
            time.sleep(0.05)
        return screen

    def to_the_opening(self, title: str, number: int, place: str, asks: str) -> None:
        """From the start to the first question of a new visit at one of the three places."""
        self.wait("vibecheck", "Where are you?", "Begin a new visit", "n New visit")
        self.keys(str(number))
        self.wait(f"(x) {number} {place}")
        self.keys("n")
        self.wait(f"New visit at the {place}", "tire size")
        self.type(title)
        self.keys("C-s")
        self.wait(asks)

    def begin(self, title: str) -> None:
        """From the start into a new visit at the counter; the title is kept as typed at once."""
        self.to_the_opening(title, 1, "Counter", "What does the customer say?")
        self.keys("Escape")
        self.wait("Question 1 of at most 12", "counter")

    def close(self) -> None:
        """Close the terminal, as a closed window does."""
        subprocess.run([*self._server, "kill-server"], capture_output=True, timeout=30, check=False)
