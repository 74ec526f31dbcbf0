"""What a page may say to its screen; anything else is refused, and no size is taken on trust.

A message is a JSON list: its kind, and what belongs to it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

LARGEST_MESSAGE = 65_536  # bytes; the longest note there may be, pasted at once, is shorter
COLUMNS = (20, 500)  # the narrowest and the widest screen that is drawn
ROWS = (5, 200)
USUAL_SIZE = (80, 24)


@dataclass(frozen=True)
class Typed:
    """Keys, or a pasted text."""

    text: bytes


@dataclass(frozen=True)
class Resized:
    """The page has another size: columns and rows, as they are drawn."""

    width: int
    height: int


@dataclass(frozen=True)
class Pinged:
    """The page asks whether somebody is there."""

    mark: str


@dataclass(frozen=True)
class Focused:
    """The page came to the front, or left it."""

    here: bool


Message = Typed | Resized | Pinged | Focused


def read_message(text: str) -> Message:
    """A message as the page writes it.

    Raises
    ------
    ValueError : it is none.
    """
    try:
        said: Any = json.loads(text)
    except RecursionError:
        raise ValueError("nested too deep") from None
    if not isinstance(said, list):
        raise ValueError("not a list")
    match said:
        case ["stdin", str(keys)]:
            return Typed(keys.encode("utf-8", "replace"))
        case ["resize", {"width": int(width), "height": int(height)}]:
            return Resized(*drawn(width, height))
        case ["ping", str(mark)]:
            return Pinged(mark[:40])
        case ["focus", *_]:
            return Focused(True)
        case ["blur", *_]:
            return Focused(False)
    raise ValueError("of no kind that is known")


def drawn(width: int, height: int) -> tuple[int, int]:
    """A size as it is drawn: within what a screen can be."""
    return (max(COLUMNS[0], min(COLUMNS[1], width)), max(ROWS[0], min(ROWS[1], height)))


def size_asked(width: str | None, height: str | None) -> tuple[int, int]:
    """The size in a page's address; the usual one where it says none."""
    try:
        return drawn(int((width or "")[:9]), int((height or "")[:9]))
    except ValueError:
        return USUAL_SIZE
