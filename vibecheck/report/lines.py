"""Text for a terminal: untrusted text made harmless, wrapped lines, percentages and bars.

Names, answers, notes and rule texts are untrusted: a control character in them must not reach
the terminal. Every printer builds its lines with these functions.
"""

from __future__ import annotations

import textwrap
import unicodedata
from datetime import datetime
from functools import lru_cache

NARROWEST, WIDEST = 40, 100
_ALMOST = 0.995
_IN_MINUTES = 100.0  # longer times are said in hours [min]


def safe(text: object) -> str:
    """One line of any text: white space as single spaces, control characters spelled out."""
    flat = str(text)
    if flat.isprintable():  # nearly all are; a space is the only white space among what is
        return flat
    return "".join(" " if ch.isspace() else _visible(ch) for ch in flat)


def _visible(ch: str) -> str:
    if ch.isprintable():
        return ch
    return " " if unicodedata.category(ch) == "Zs" else repr(ch)[1:-1]


def wrapped(text: object, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """A text as lines no longer than `width`; `first` leads the first line, `rest` the others."""
    rest = " " * len(first) if rest is None else rest
    return list(_wrapped(safe(text), width, first, rest))


@lru_cache(maxsize=512)  # a sheet is laid out several times until it fits its pages
def _wrapped(text: str, width: int, first: str, rest: str) -> tuple[str, ...]:
    lines = textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    return tuple(lines) or (first.rstrip(),)


def heading(text: str, width: int) -> list[str]:
    """A heading with a rule under it, and an empty line above."""
    title = safe(text)[:width]
    return ["", title, "-" * len(title)]


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def percent(probability: float) -> str:
    """A probability in four characters; certainty is never claimed."""
    if probability > _ALMOST:
        return ">99%"
    if probability < 1.0 - _ALMOST:
        return " <1%"
    return f"{100.0 * probability:3.0f}%"


def bar(probability: float, width: int = 20) -> str:
    """A probability as a bar that needs no color."""
    full = max(0, min(width, round(probability * width)))
    return "[" + "#" * full + "." * (width - full) + "]"


def minutes(value: float) -> str:
    """A time in [min] as people say it."""
    if value < 1.0:
        return "under 1 min" if value > 0.0 else "0 min"
    if value < _IN_MINUTES:
        return f"{value:.0f} min"
    hours, left = divmod(round(value / 5.0) * 5, 60)
    return f"{hours} h {left:02d} min" if left else f"{hours} h"


def signed(label: str | None, corner: str | None) -> str:
    """An id as it is typed: FINDING@CORNER, or the id alone."""
    return f"{label}@{corner}" if corner else f"{label}"


def time_range(both: tuple[float, float]) -> str:
    """A range of times in [min], in words."""
    low, high = both
    if high <= 0.0:
        return "none needed"
    if minutes(low) == minutes(high):
        return f"about {minutes(high)}"
    if low >= 1.0 and high < _IN_MINUTES:
        return f"{low:.0f} to {high:.0f} min"
    return f"{minutes(low)} to {minutes(high)}"


def local_time(at: str) -> str:
    """A time of an entry on this machine's clock; "" where there is none."""
    return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M}" if at else ""


def local_date(at: str) -> str:
    """The day of an entry on this machine's clock; "" where there is none."""
    return local_time(at)[:10]
