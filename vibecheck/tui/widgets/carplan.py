"""The car as seen from above, front at the top, with what was measured at its four corners."""

from __future__ import annotations

import textwrap

from textual.content import Content

from vibecheck.metrology.decision import Zone
from vibecheck.report.corners import CORNERS
from vibecheck.report.names import state_name
from vibecheck.session.diagnosis import Answer, Diagnosis
from vibecheck.tui.phrases import ZONES
from vibecheck.tui.plain import stacked, visible

_SMALL = 13  # columns inside a small box
_LEFT_RIGHT = (("LF", "RF"), ("LR", "RR"))


def small_plan(found: Diagnosis) -> Content:
    """How many readings at each corner pass, fail and are too close to call, as a small drawing."""
    boxes = {corner: _count(found, corner) for corner in CORNERS}
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
    found: Diagnosis, texts: dict[str, str], width: int, leading: dict[str, str]
) -> Content:
    """Every reading at its corner.

    Parameters
    ----------
    found : the diagnosis.
    texts : for each entry id of a reading, its value in the units chosen.
    width : columns to use.
    leading : for each corner, what the ranking says about it, or nothing.
    """
    inner = max(16, (width - 6) // 2 - 2)
    lines = [_center("front of the car", 2 * inner + 8)]
    for left, right in _LEFT_RIGHT:
        boxes = [_box(found, corner, texts, inner, leading) for corner in (left, right)]
        height = max(map(len, boxes))
        for row in range(height):
            cells = [box[row] if row < len(box) else "" for box in boxes]
            link = "════" if row == 0 else "    "
            lines.append(f"│{cells[0]:<{inner}}│{link}│{cells[1]:<{inner}}│")
        lines.append(f"╰{'─' * inner}╯    ╰{'─' * inner}╯")
    lines.append(_center("rear of the car", 2 * inner + 8))
    return stacked([Content(each) for each in lines])


def at_corner(found: Diagnosis, corner: str | None) -> tuple[Answer, ...]:
    """The readings taken at a corner."""
    return tuple(reading for reading in found.readings if reading.corner == corner)


def _count(found: Diagnosis, corner: str) -> str:
    zones = [reading.zone for reading in at_corner(found, corner)]
    if not zones:
        return "-"
    # The gravest first: what has no room is cut at the end.
    short = {Zone.BEYOND: " fail", Zone.UNDECIDED: "?", Zone.WITHIN: " pass", None: " noted"}
    counted = (f"{zones.count(zone)}{word}" for zone, word in short.items() if zone in zones)
    return " ".join(counted)[:_SMALL]


def _box(
    found: Diagnosis, corner: str, texts: dict[str, str], width: int, leading: dict[str, str]
) -> list[str]:
    lines = [CORNERS[corner].upper()]
    readings = at_corner(found, corner)
    for reading in readings:
        name = found.library.findings[reading.finding].name
        shown = texts.get(reading.entry.id, reading.value)
        lines += _wrapped(f"{ZONES[reading.zone]}  {name}: {shown}", width, "    ")
    seen = [
        answer for answer in found.answers if answer.corner == corner and answer.judged is None
    ]
    for answer in seen:
        rule = found.library.findings[answer.finding]
        lines += _wrapped(f"- {rule.name}: {state_name(rule, answer.value)}", width, "    ")
    if not readings and not seen:
        lines.append("nothing measured or seen yet")
    if leading.get(corner):
        lines += _wrapped(leading[corner], width, "    ")
    return [each[:width] for each in lines]


def _wrapped(text: str, width: int, rest: str) -> list[str]:
    return textwrap.wrap(visible(" ".join(text.split()), 300), width, subsequent_indent=rest)


def _center(text: str, width: int) -> str:
    return text.center(width).rstrip()
