"""Time to the first screen, side by side with an empty app of the same toolkit.

Run: .venv/bin/python tests/bench/bench_first_screen.py [TURNS]
Each turn starts both programs afresh; the medians and their ratio are printed. The first screen
counts as shown when the first drawing has been handed to the terminal driver.
"""

from __future__ import annotations

import statistics
import subprocess
import sys

TURNS = 7
_FIRST = """
import asyncio, sys, time
begun = time.perf_counter()
{make}
from textual.app import App
shown = []
drawn = App._display
def note(self, screen, what):
    drawn(self, screen, what)
    if what is not None and not shown:
        shown.append(time.perf_counter() - begun)
App._display = note
async def main():
    async with app.run_test() as pilot:
        while not shown:
            await pilot.pause(0.01)
asyncio.run(main())
print(shown[0])
"""
EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("one line")
app = Empty()
"""
WIZARD = """
from vibecheck.tui.app import VibecheckApp
app = VibecheckApp()
"""


def first_screen_s(make: str) -> float:
    """Seconds from the start of the program's imports to its first screen."""
    ran = subprocess.run(
        [sys.executable, "-c", _FIRST.format(make=make)], capture_output=True, text=True, check=True
    )
    return float(ran.stdout)


def main() -> None:
    """Measure both in turns and print the medians."""
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else TURNS
    empty, wizard = [], []
    for _ in range(turns):
        empty.append(first_screen_s(EMPTY))
        wizard.append(first_screen_s(WIZARD))
    plain, ours = statistics.median(empty), statistics.median(wizard)
    print(f"empty app  {1000 * plain:6.0f} ms")
    print(f"the wizard {1000 * ours:6.0f} ms  ({ours / plain:.2f} times)")


if __name__ == "__main__":
    main()
