"""A turn drawn in braille dots for a terminal: the same circle as on paper, of characters.

Each character holds 2 by 4 dots. Seen from outside, the valve on top, angles clockwise.
"""

from __future__ import annotations

import math

from vibecheck.report.figures import Figure

_BASE = 0x2800
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_ZERO_SHARE, _REACH_SHARE = 0.62, 0.3
_STEPS = 360


def round_lines(figure: Figure, rows: int = 11) -> list[str]:
    """A round figure as lines of characters, twice as wide as high, clock places around it.

    Parameters
    ----------
    figure : of kind "round"; without values only the circle is drawn. With a limit it is the two
        circles between which the line may lie, else the one that stands for zero.
    rows : lines of the drawing, 5 or more.
    """
    rows = max(5, rows)
    wide, high = 4 * rows, 4 * rows  # dots; a character is half as wide as it is high
    dots: set[tuple[int, int]] = set()
    reach = max([abs(value) for value in figure.y] + [abs(figure.limit or 0.0)], default=0.0)
    rings = [0.0] if figure.limit is None or not reach else [
        sign * _REACH_SHARE * figure.limit / 2.0 / reach for sign in (-1.0, 1.0)]
    for step in range(_STEPS):
        if step % 9 == 0:
            dots |= {_dot(float(step), _ZERO_SHARE + ring, wide, high) for ring in rings}
        if figure.y:
            share = _between(figure, float(step)) / reach if reach > 0.0 else 0.0
            dots.add(_dot(float(step), _ZERO_SHARE + _REACH_SHARE * share, wide, high))
    lines = [_line(dots, row, wide) for row in range(rows)]
    pad = " " * (rows - 1)
    middle = rows // 2
    framed = [f"  {line}  " for line in lines]
    framed[middle] = f"9 {lines[middle]} 3"
    return [f"  {pad}12", *framed, f"  {pad} 6"]


def _between(figure: Figure, angle: float) -> float:
    """The value at an angle, on the straight line between the readings beside it."""
    pairs = sorted(zip((at % 360.0 for at in figure.x), figure.y, strict=True))
    before = max((pair for pair in pairs if pair[0] <= angle), default=pairs[-1])
    after = min((pair for pair in pairs if pair[0] > angle), default=pairs[0])
    span = (after[0] - before[0]) % 360.0
    share = ((angle - before[0]) % 360.0) / span if span else 0.0
    return before[1] + share * (after[1] - before[1])


def _dot(angle: float, share: float, wide: int, high: int) -> tuple[int, int]:
    turned = math.radians(angle)
    column = (wide - 1) / 2.0 * (1.0 + share * math.sin(turned))
    row = (high - 1) / 2.0 * (1.0 - share * math.cos(turned))
    return min(high - 1, max(0, round(row))), min(wide - 1, max(0, round(column)))


def _line(dots: set[tuple[int, int]], row: int, wide: int) -> str:
    cells = []
    for column in range(wide // 2):
        code = _BASE
        for down in range(4):
            for across in range(2):
                if (4 * row + down, 2 * column + across) in dots:
                    code |= _DOTS[down][across]
        cells.append(chr(code))
    return "".join(cells)
