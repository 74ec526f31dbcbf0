"""A text cut into words that know where they stand, and which pause came before them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntEnum

_WORD = re.compile(r"[A-Za-z0-9_]+(?:['\u2019][A-Za-z]+)*")
_FULL = re.compile(r"[!?;\n]|\.(?!\d)|\s[-\u2013\u2014]\s|\.\.")
_PART = re.compile(r"[,:()]")
_OWNER = re.compile(r"['\u2019]s$")
_NO_APOSTROPHE = str.maketrans("", "", "'\u2019")


class Pause(IntEnum):
    """What parts a word from the one before."""

    NONE = 0
    PART = 1  # a comma or the like
    FULL = 2  # a full stop or the like


@dataclass(frozen=True, slots=True)
class Raw:
    """A word as it stands: lower case, without apostrophes; `start` and `end` in the text."""

    word: str
    start: int
    end: int
    pause: Pause


def raw_words(text: str) -> list[str]:
    """The words of a phrase, lower case and without apostrophes."""
    found = _WORD.findall(text.lower())
    return [_plain(word) for word in found] if "'" in text or "\u2019" in text else found


def raws(text: str) -> list[Raw]:
    """The words of a text with their places."""
    found: list[Raw] = []
    last = 0
    for match in _WORD.finditer(text):
        between = text[last : match.start()]
        pause = Pause.NONE
        if found and _FULL.search(between):
            pause = Pause.FULL
        elif found and _PART.search(between):
            pause = Pause.PART
        found.append(Raw(_plain(match[0]), match.start(), match.end(), pause))
        last = match.end()
    return found


def _plain(word: str) -> str:
    """A word in lower case without apostrophes: "mirror" for "mirror's", "doesnt"."""
    lowered = word.lower()
    return lowered if word.isalnum() else _OWNER.sub("", lowered).translate(_NO_APOSTROPHE)
