"""Figures as SVG for a page: grey, readable on paper, every text escaped, no script.

The round figure stands as a person sees the wheel from outside: the valve on top, angles
clockwise, clock places at the rim. Values are drawn off a circle that stands for zero, outward
for positive; how many times they are magnified is said in the drawing.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Sequence
from html import escape

from vibecheck.report.figures import CornerNote, Figure, FigureKind

SIDE = 320  # user units of a square figure
WIDE, HIGH = 520, 240
_MIDDLE = SIDE / 2
_ZERO = 92.0  # radius of the circle that stands for zero
_REACH = 44.0  # how far the largest value is drawn from it
_LETTERS_AT = 137.0  # radius of the letters of marks
_STYLE = "font-family:sans-serif;font-size:11px;fill:#222"
_INK, _GREY = "#222", "#777"
_EDGE = 0.8  # share of the axis from which a label leans inward
_STEP_LETTERS = 42  # of a line beside a step
WIDE_CAR = 440
_WHEEL_HIGH, _WHEELBASE = 34.0, 92.0
_CAR_LETTERS = 27  # of a line beside the car


def svg(figure: Figure) -> str:
    """One figure as an `<svg>` element that stands for itself."""
    draw = _DRAWN[figure.kind]
    wide, high, body = draw(figure)
    title = f"<title>{escape(figure.title)}</title>"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {wide} {high}" '
        f'width="{wide}" height="{high}" style="{_STYLE}">{title}{"".join(body)}</svg>'
    )


def _round(figure: Figure) -> tuple[int, int, list[str]]:
    reach = max([abs(value) for value in figure.y] + [abs(figure.limit or 0.0)], default=0.0)
    scale = _REACH / reach if reach > 0.0 else 0.0
    body = [_circle(_ZERO, _GREY, ""), _text(8, 14, "seen from outside", "start")]
    if figure.limit is not None:
        body += [_circle(_ZERO + scale * figure.limit / 2.0, _GREY, "5 3"),
                 _circle(_ZERO - scale * figure.limit / 2.0, _GREY, "5 3")]
    body += [_clock(hour) for hour in range(1, 13)]
    body += [f'<circle cx="{_MIDDLE}" cy="{_MIDDLE - 30}" r="4" fill="none" stroke="{_INK}"/>',
             _text(_MIDDLE, _MIDDLE - 14, "valve", "middle")]
    points = [_place(angle, _ZERO + scale * value)
              for angle, value in zip(figure.x, figure.y, strict=True)]  # fmt: skip
    if points:
        path = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in points) + " Z"
        body.append(f'<path d="{path}" fill="none" stroke="{_INK}" stroke-width="1.6"/>')
        body += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.4" fill="{_INK}"/>' for x, y in points]
    foot = SIDE + 12.0
    for mark in figure.marks:
        letter = mark.label[:1].upper()
        body += [_pointer(mark.at, letter), _text(8, foot, f"{letter}  {mark.label}", "start")]
        foot += 14.0
    body.append(_text(8, SIDE - 16, figure.y_label, "start"))
    return SIDE, int(foot - 6.0), body


def _clock(hour: int) -> str:
    x, y = _place(30.0 * hour, _ZERO + _REACH + 14.0)
    return _text(x, y + 4, str(hour), "middle")


def _pointer(angle: float, label: str) -> str:
    (x1, y1), (x2, y2) = _place(angle, 40.0), _place(angle, _LETTERS_AT - 7.0)
    line = (f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{_GREY}" '
            f'stroke-width="0.8"/>')
    x, y = _place(angle, _LETTERS_AT)
    return line + _text(x, y + 4.0, label, "middle")


def _place(angle: float, radius: float) -> tuple[float, float]:
    """Where an angle clockwise from the top lies on the sheet."""
    turned = math.radians(angle)
    return _MIDDLE + radius * math.sin(turned), _MIDDLE - radius * math.cos(turned)


def _circle(radius: float, color: str, dashes: str) -> str:
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (f'<circle cx="{_MIDDLE}" cy="{_MIDDLE}" r="{radius:.1f}" fill="none" '
            f'stroke="{color}"{dash}/>')


def _spectrum(figure: Figure) -> tuple[int, int, list[str]]:
    left, bottom, wide, high = 50.0, HIGH - 40.0, WIDE - 70.0, HIGH - 98.0
    low, top = (min(figure.x), max(figure.x)) if figure.x else (0.0, 1.0)
    most = max(figure.y, default=0.0) or 1.0
    span = (top - low) or 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        return left + wide * (x - low) / span, bottom - high * y / most

    body = [f'<path d="M{left} {bottom - high - 8} V{bottom} H{left + wide}" fill="none" '
            f'stroke="{_GREY}"/>']
    if figure.x:
        points = (at(x, y) for x, y in zip(figure.x, figure.y, strict=True))
        path = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        body.append(f'<path d="{path}" fill="none" stroke="{_INK}" stroke-width="1.2"/>')
    for number, mark in enumerate(figure.marks):
        x, _ = at(mark.at, 0.0)
        row = bottom - high - 10 - 12 * (number % 3)
        body.append(f'<line x1="{x:.1f}" y1="{row + 2:.1f}" x2="{x:.1f}" y2="{bottom}" '
                    f'stroke="{_GREY}" stroke-dasharray="2 3"/>')
        share = (x - left) / wide  # a label at an edge stays inside
        anchor = "end" if share > _EDGE else "start" if share < 1.0 - _EDGE else "middle"
        body.append(_text(x, row, mark.label, anchor))
    body += [_text(left, bottom + 14, f"{low:.3g}", "middle"),
             _text(left + wide, bottom + 14, f"{top:.3g}", "middle"),
             _text(left + wide / 2, bottom + 30, figure.x_label, "middle"),
             _text(left - 4, bottom - high, f"{most:.2g}", "end"),
             _text(8, 14, figure.y_label, "start")]
    return WIDE, HIGH, body


def _bars(figure: Figure) -> tuple[int, int, list[str]]:
    most = max((abs(value) for value in figure.y), default=0.0) or 1.0
    body, row = [], 18.0
    for label, value in zip(figure.labels, figure.y, strict=True):
        long = 240.0 * abs(value) / most
        body += [_text(190, row, label, "end"),
                 f'<rect x="198" y="{row - 9:.1f}" width="{long:.1f}" height="11" '
                 f'fill="{_GREY if value >= 0 else "none"}" stroke="{_INK}"/>',
                 _text(204 + long, row, f"{value:.3g}", "start")]
        row += 20.0
    body.append(_text(198, row, figure.y_label, "start"))
    return WIDE, int(row + 8), body


def _steps(figure: Figure) -> tuple[int, int, list[str]]:
    """A row for each step: a bar from before to after, full where it rose, empty where it fell."""
    left, room, row = 262.0, 190.0, 34.0
    deep = row + sum(_row_high(label) for label in figure.labels)
    body = [_text(left + room / 2.0, 14, figure.y_label, "middle")]
    for share in (0.0, 0.5, 1.0):
        x = left + room * share
        body += [f'<line x1="{x:.1f}" y1="20" x2="{x:.1f}" y2="{deep:.1f}" stroke="{_GREY}" '
                 f'stroke-dasharray="2 3"/>', _text(x, 28, f"{100 * share:.0f} %", "middle")]
    for label, before, after in zip(figure.labels, figure.x, figure.y, strict=True):
        lines = textwrap.wrap(label, _STEP_LETTERS) or [""]
        body += [_text(left - 8.0, row + 12.0 + 12.0 * at, line, "end")
                 for at, line in enumerate(lines)]
        low, high = sorted((before, after))
        fill = _GREY if after >= before else "none"
        body += [f'<rect x="{left + room * low:.1f}" y="{row + 3:.1f}" '
                 f'width="{max(1.0, room * (high - low)):.1f}" height="11" fill="{fill}" '
                 f'stroke="{_INK}"/>',
                 _text(left + room + 8.0, row + 12.0, f"{100 * after:.0f} %", "start")]
        row += _row_high(label)
    return WIDE, int(row + 8.0), body


def _row_high(label: str) -> float:
    return 8.0 + 12.0 * max(1, len(textwrap.wrap(label, _STEP_LETTERS)))


def _car(figure: Figure) -> tuple[int, int, list[str]]:
    words = {corner.at: _wrapped(corner) for corner in figure.corners}
    front, rear = (
        max([_WHEEL_HIGH, *(13.0 * (len(lines) + 1) for at, lines in words.items() if at in axle)])
        for axle in ("LF RF", "LR RR")
    )
    axle, middle = front + 12.0, WIDE_CAR / 2  # from the front wheels to the rear ones
    axle = max(axle, _WHEELBASE)
    body = [f'<rect x="{middle - 34}" y="22" width="68" height="{axle + _WHEEL_HIGH + 12:.0f}" '
            f'rx="20" fill="none" stroke="{_GREY}"/>',
            f'<path d="M{middle - 24} 60 q24 -14 48 0" fill="none" stroke="{_GREY}"/>',
            _text(middle, 14, "front", "middle")]
    for corner in figure.corners:
        y = 30.0 if corner.at in ("LF", "RF") else 30.0 + axle
        body += _wheel(corner, words[corner.at], y)
    return WIDE_CAR, int(30.0 + axle + rear + 6.0), body


def _wrapped(corner: CornerNote) -> list[str]:
    """The words at a corner, in lines that fit beside the car."""
    return [line for words in corner.words for line in textwrap.wrap(words, _CAR_LETTERS)]


def _wheel(corner: CornerNote, words: Sequence[str], y: float) -> list[str]:
    left = corner.at.startswith("L")
    x = WIDE_CAR / 2 + (-52.0 if left else 36.0)
    fill = _INK if corner.tone == "found" else "none"
    dash = "" if corner.tone else ' stroke-dasharray="3 3"'
    edge, anchor = (x - 5.0, "end") if left else (x + 21.0, "start")
    return [f'<rect x="{x:.0f}" y="{y:.0f}" width="16" height="{_WHEEL_HIGH:.0f}" rx="5" '
            f'fill="{fill}" stroke="{_INK}"{dash}/>',
            *(_text(edge, y + 10.0 + 13.0 * row, line, anchor)
              for row, line in enumerate([corner.at, *words]))]


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'


_DRAWN: dict[FigureKind, Callable[[Figure], tuple[int, int, Sequence[str]]]] = {
    FigureKind.ROUND: _round,
    FigureKind.SPECTRUM: _spectrum,
    FigureKind.BARS: _bars,
    FigureKind.STEPS: _steps,
    FigureKind.CAR: _car,
}
