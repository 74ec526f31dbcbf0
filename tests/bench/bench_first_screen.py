"""Time to the first screen, side by side with an empty app of the same toolkit.

Run: .venv/bin/python tests/bench/bench_first_screen.py [TURNS]

Each turn starts both programs afresh as whole processes in a terminal of their own, 120 by 40. What
is counted is the processor time of all threads of the process, from its start until the words that
end its first drawing have come out of the terminal. Medians and the median of the pairs' ratios are
printed. Linux only: the processor time is read from the system's files of the process.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from pathlib import Path

TURNS = 9
COLUMNS, LINES = 120, 40
WAIT_S = 30.0  # until a program that shows nothing is given up [s]
_ESCAPE = re.compile(rb"\x1b\[[0-9;?<>=$]*[ -/]*[@-~]|\x1b[()][A-B0]|\x1b[=>]")
_EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("one line")
Empty().run()
"""
_OURS = "from vibecheck.cli.main import run; run()"  # what the installed program does
Program = tuple[Sequence[str], bytes]  # words after `python`, and a pattern that its screen ends in
EMPTY: Program = (("-c", _EMPTY), rb"one line")
WIZARD: Program = (("-c", _OURS), rb"\^p *More")


def opened(case: Path) -> Program:
    """The wizard on a case, until its ranking is seen."""
    return ("-c", _OURS, "wizard", str(case)), rb"[0-9]+ ?%"


def screen_s(program: Program) -> float:
    """Processor time from a program's start until its screen stands in a terminal [s].

    Raises
    ------
    TimeoutError : its screen did not come.
    """
    words, last = program
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
    with tempfile.TemporaryDirectory() as home:
        process = subprocess.Popen(
            [sys.executable, *words], stdin=theirs, stdout=theirs, stderr=theirs, close_fds=True,
            env=os.environ | {"TERM": "xterm-256color", "XDG_DATA_HOME": home},
            start_new_session=True)
        os.close(theirs)
        try:
            _read_until(ours, last)
            return _spent_s(process.pid)
        finally:
            process.send_signal(signal.SIGKILL)
            process.wait()
            os.close(ours)


def _read_until(terminal: int, last: bytes) -> None:
    shown, end = b"", time.monotonic() + WAIT_S
    while not re.search(last, _ESCAPE.sub(b"", shown)):
        ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
        if not ready:
            raise TimeoutError(f"no {last!r} on the screen: {shown[-300:]!r}")
        shown += os.read(terminal, 65536)


def _spent_s(process: int) -> float:
    """Processor time of all threads of a process so far [s]."""
    threads = Path(f"/proc/{process}/task").glob("*/schedstat")
    return sum(int(each.read_text().split()[0]) for each in threads) * 1e-9


def main() -> None:
    """Measure both in turns and print the medians."""
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else TURNS
    screen_s(EMPTY), screen_s(WIZARD)  # what is compiled and cached is so from here on
    pairs = [(screen_s(EMPTY), screen_s(WIZARD)) for _ in range(turns)]
    plain, ours = (statistics.median(each) for each in zip(*pairs, strict=True))
    ratio = statistics.median(ours / plain for plain, ours in pairs)
    print(f"empty app  {1000 * plain:6.0f} ms")
    print(f"the wizard {1000 * ours:6.0f} ms  ({ratio:.2f} times)")


if __name__ == "__main__":
    main()
