"""The two ways out of a command: data on stdout, talk on stderr."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from typing import Any, TextIO

from msgspec import Struct

from vibecheck.report.lines import NARROWEST, WIDEST, safe, wrapped

USUAL_WIDTH = 80


class Terminal(Struct, frozen=True):
    """Where a command writes, and how wide."""

    out: TextIO
    err: TextIO
    width: int = USUAL_WIDTH

    def lines(self, lines: Iterable[str]) -> None:
        """Data for people: whole lines, already safe."""
        for line in lines:
            self.out.write(f"{line.rstrip()}\n")

    def json(self, data: Any) -> None:
        """Data for programs; only ASCII leaves, so nothing in it can steer a terminal."""
        self.out.write(self.json_text(data))

    @staticmethod
    def json_text(data: Any) -> str:
        """Data for programs as a text; a number that is none is a fault."""
        import json  # people's pages have none

        return json.dumps(data, indent=2, allow_nan=False) + "\n"

    def raw(self, text: str) -> None:
        """Data in a format of its own (a graph, a file)."""
        self.out.write(text if text.endswith("\n") else f"{text}\n")

    def talk(self, text: str) -> None:
        """A word to the person beside the data; where it cannot be said, the data still counts."""
        with suppress(OSError):
            for line in text.split("\n"):
                self.err.write("\n".join(wrapped(line, self.width)) + "\n")

    def complain(self, text: str) -> None:
        """What went wrong, each fault on one unbroken line."""
        with suppress(OSError):
            for line in text.split("\n"):
                self.err.write(f"{safe(line)}\n")


def width_of(out: TextIO) -> int:
    """The width to write for: the terminal's, or the usual one where it is none."""
    if not out.isatty():
        return USUAL_WIDTH
    import shutil  # not where a program reads

    columns = shutil.get_terminal_size((USUAL_WIDTH, 24)).columns
    return max(NARROWEST, min(WIDEST, columns))
