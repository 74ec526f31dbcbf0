"""Line by line with a person or a pipe: no color, no cursor movement, an end of input is a stop."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Iterable
from typing import TextIO

PROMPT = "> "
_ASCII = str.maketrans({
    "±": "+/-", "°": " deg", "µ": "u", "μ": "u", "×": "x", "·": "-", "…": "...",
    "‘": "'", "’": "'", "“": '"', "”": '"', "–": "-", "—": "-", "−": "-", "≤": "<=", "≥": ">=",
    "→": "->",
})


class Talk:
    """Says lines and asks for lines.

    Parameters
    ----------
    source, out : where answers come from and where everything is said.
    width : characters in a line.
    ascii_only : say everything in plain ASCII, as is done where `out` can hold no more.
    """

    def __init__(self, source: TextIO, out: TextIO, width: int, ascii_only: bool = False) -> None:
        self._source, self._out, self.width = source, out, width
        self._ascii = ascii_only or not _holds_all(out)
        self.person = source.isatty()

    def say(self, lines: Iterable[str]) -> None:
        """Say whole lines, already safe."""
        for line in lines:
            text = plain_ascii(line) if self._ascii else line
            self._out.write(f"{text.rstrip()}\n")

    def ask(self, prompt: str = PROMPT) -> str | None:
        """One answer without its line end, or None if there is no more input."""
        self._out.write(prompt)
        self._out.flush()
        line = self._source.readline()
        if not line:
            self._out.write("\n")
            return None
        typed = line.rstrip("\r\n")
        if not self.person:
            self._out.write(_echo(typed))
        return typed


def standard_talk(width: int, ascii_only: bool) -> Talk:
    """Over standard input and output; bytes that are no text become a replacement mark."""
    reconfigure = getattr(sys.stdin, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
    return Talk(sys.stdin, sys.stdout, width, ascii_only)


def plain_ascii(text: str) -> str:
    """A text in ASCII: accents dropped, usual signs written out, the rest as escapes."""
    parts = unicodedata.normalize("NFKD", text.translate(_ASCII))
    bare = "".join(ch for ch in parts if not unicodedata.combining(ch))
    return bare.encode("ascii", "backslashreplace").decode("ascii")


def _holds_all(out: TextIO) -> bool:
    return (getattr(out, "encoding", None) or "utf-8").lower().replace("-", "") == "utf8"


def _echo(typed: str) -> str:
    """What came over a pipe, so that what is printed reads like a talk."""
    from vibecheck.report.lines import safe

    return f"{plain_ascii(safe(typed))[:200]}\n"
