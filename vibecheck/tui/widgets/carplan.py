"""The car as seen from above, front at the top, with what was measured at its four corners."""

from __future__ import annotations

import textwrap

from textual.content import Content

from vibecheck.report.lines import CORNERS
from vibecheck.session.views import JudgedReading, SessionView
from vibecheck.tui.phrases import DECISIONS
from vibecheck.tui.plain import stacked, visible

_SMALL = 13  # columns inside a small box
_LEFT_RIGHT = (("LF", "RF"), ("LR", "RR"))


def small_plan(view: SessionView) -> Content:
    """How many readings at each corner are in, out and undecided, as a small drawing."""
    boxes = {corner: _count(view, corner) for corner in CORNERS}
    lines = ["Measured, seen from above", _center("front", 2 * _SMALL + 6)]
    for left, right in _LEFT_RIGHT:
        lines += [
            f"╭{'─' * _SMALL}╮  ╭{'─' * _SMALL}╮",
            f"│{CORNERS[left]:<{_SMALL}}│──│{CORNERS[right]:<{_SMALL}}│",
            f"│{boxes[left]:<{_SMALL}}│  │{boxes[right]:<{_SMALL}}│",
            f"╰{'─' * _SMALL}╯  ╰{'─' * _SMALL}╯",
        ]
    return Content("\n".join(lines))


def whole_plan(
    view: SessionView, texts: dict[str, str], width: int, leading: dict[str, str]
) -> Content:
    """Every reading at its corner.

    Parameters
    ----------
    view : the session.
    texts : for each entry id of a reading, its value in the units chosen.
    width : columns to use.
    leading : for each corner, what the ranking says about it, or nothing.
    """
    inner = max(16, (width - 6) // 2 - 2)
    lines = [_center("front of the car", 2 * inner + 8)]
    for left, right in _LEFT_RIGHT:
        boxes = [_box(view, corner, texts, inner, leading) for corner in (left, right)]
        height = max(map(len, boxes))
        for row in range(height):
            cells = [box[row] if row < len(box) else "" for box in boxes]
            link = "════" if row == 0 else "    "
            lines.append(f"│{cells[0]:<{inner}}│{link}│{cells[1]:<{inner}}│")
        lines.append(f"╰{'─' * inner}╯    ╰{'─' * inner}╯")
    lines.append(_center("rear of the car", 2 * inner + 8))
    return stacked([Content(each) for each in lines])


def at_corner(view: SessionView, corner: str | None) -> tuple[JudgedReading, ...]:
    """The readings taken at a corner."""
    return tuple(reading for reading in view.readings if reading.corner == corner)


def _count(view: SessionView, corner: str) -> str:
    decisions = [reading.decision for reading in at_corner(view, corner)]
    if not decisions:
        return "-"
    known = (name for name in DECISIONS if name in decisions)
    short = {"within": " in", "beyond": " out", "undecided": "?", "no limit": " noted"}
    return " ".join(f"{decisions.count(name)}{short[name]}" for name in known)[:_SMALL]


def _box(
    view: SessionView, corner: str, texts: dict[str, str], width: int, leading: dict[str, str]
) -> list[str]:
    lines = [CORNERS[corner].upper()]
    readings = at_corner(view, corner)
    for reading in readings:
        name = reading.name.removesuffix(f", {CORNERS[corner]}")
        shown = texts.get(reading.entry, reading.typed)
        lines += _wrapped(f"{DECISIONS[reading.decision][1]}  {name}: {shown}", width, "    ")
    seen = [
        answer
        for answer in view.answers
        if answer.corner == corner and all(answer.entry != each.entry for each in readings)
    ]
    for answer in seen:
        name = answer.name.removesuffix(f", {CORNERS[corner]}")
        lines += _wrapped(f"- {name}: {answer.shown}", width, "    ")
    if not readings and not seen:
        lines.append("nothing measured or seen yet")
    if leading.get(corner):
        lines += _wrapped(leading[corner], width, "    ")
    return [each[:width] for each in lines]


def _wrapped(text: str, width: int, rest: str) -> list[str]:
    return textwrap.wrap(visible(" ".join(text.split()), 300), width, subsequent_indent=rest)


def _center(text: str, width: int) -> str:
    return text.center(width).rstrip()
