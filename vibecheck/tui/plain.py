"""The one door for text into a widget: nothing in it is markup, nothing in it steers a terminal.

Rule texts, customers' words, file names and messages all go through `plain`.
"""

from __future__ import annotations

import unicodedata

from textual.content import Content

MOST_IN_A_LINE = 300


def plain(text: object, style: str = "", most: int | None = None) -> Content:
    """Any text as it is, line breaks kept; `most` cuts it with an ellipsis."""
    return Content.styled(visible(text, most), style)


def line(text: object, style: str = "", most: int = MOST_IN_A_LINE) -> Content:
    """Any text on one line."""
    return plain(" ".join(str(text).split()), style, most)


def visible(text: object, most: int | None = None) -> str:
    """The text with control characters and direction marks spelled out."""
    whole = str(text)
    if most is not None and len(whole) > most:
        whole = whole[: most - 1] + "…"
    return "".join(_visible(ch) for ch in whole.replace("\r\n", "\n"))


def sentence(text: str) -> str:
    """The text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def stood_in(text: str) -> str:
    """The text with a stand-in for each control character, so that places in it stay the same."""
    return "".join(ch if ch.isprintable() else "\ufffd" for ch in text)


def _visible(ch: str) -> str:
    if ch.isprintable() or ch == "\n":
        return ch
    if ch == "\t" or unicodedata.category(ch) == "Zs":
        return " "
    return repr(ch)[1:-1]


def joined(*parts: Content | str) -> Content:
    """Texts one after the other; a str counts as ours and is taken as it is."""
    return Content.assemble(*parts)


def stacked(parts: list[Content]) -> Content:
    """Texts under each other."""
    return Content("\n").join(parts)
