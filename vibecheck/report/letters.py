"""Figures made of letters: readings round the turn, bars, a spectrum with its marks."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.report import braille
from vibecheck.report.figures import CornerNote, Figure, FigureKind, FigureMark
from vibecheck.report.lines import WIDEST, safe, wrapped

ROUND_WIDTH = 41
ROUND_LEAD = 20  # characters of a row beside it
MOST_ROWS = 72
SMALL, LARGE = 0.1, 10.0  # bounds of sizes of which hundredths say enough
BAR_WIDTH = 30
LONGEST_LABEL = 40
SPECTRUM_HEIGHT = 9
STEP_WIDTH = 50
CORNER_MARKS = {"found": "#", "fine": "o", "": " "}
CORNER_TONES = {"found": "found", "fine": "in order", "": "not looked at"}
CIRCLE_ROWS = 13
SMALLEST_CORNER = 24  # characters
_AXLE, _BODY = "  |=====|  ", "  |     |  "
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def figure_lines(figure: Figure, width: int) -> list[str]:
    """A figure as lines, with an empty line above; nothing where there is nothing to draw."""
    if figure.kind is FigureKind.ROUND:
        return circle_lines(figure, width) if figure.short else round_lines(figure, width)
    if figure.kind is FigureKind.BARS:
        return bar_lines(figure, width)
    if figure.kind is FigureKind.STEPS:
        return step_lines(figure, width)
    if figure.kind is FigureKind.CAR:
        return car_lines(figure, width)
    return spectrum_lines(figure, width)


def lettered(figure: Figure) -> list[tuple[str, FigureMark]]:
    """Every mark with the letter that stands for it: its own round a turn, else A, B, C."""
    if figure.kind is FigureKind.ROUND:
        return [(mark.label[:1].upper(), mark) for mark in figure.marks]
    return list(zip(LETTERS.upper(), figure.marks, strict=False))


def round_lines(figure: Figure, width: int = WIDEST) -> list[str]:
    """One row for each angle, low on the left, the lowest marked L and the highest H."""
    if not 2 <= len(figure.y) <= MOST_ROWS:
        return []
    room = max(8, min(ROUND_WIDTH, width - ROUND_LEAD))
    low, high = min(figure.y), max(figure.y)
    span = (high - low) or 1.0
    digits = _digits(max(abs(low), abs(high))) + 1
    lines = ["", f"{figure.x_label:>6} {figure.y_label:>8}   {'low':<{room - 4}}high"]
    for angle, reading in zip(figure.x, figure.y, strict=True):
        place = round((reading - low) / span * (room - 1))
        mark = "L" if reading == low else "H" if reading == high else "o"
        row = "." * place + mark + "." * (room - 1 - place)
        lines.append(f"{angle:6.0f} {reading:+8.{digits}f}  |{row}|")
    return lines


def step_lines(figure: Figure, width: int = WIDEST) -> list[str]:
    """A row for each step: before, after, and the way between on a line from 0 to 100 %."""
    room = max(10, min(STEP_WIDTH, width - 24))
    lines = ["", f"{safe(figure.y_label)}; > rose, < fell"]
    for label, before, after in zip(figure.labels, figure.x, figure.y, strict=True):
        low, high = sorted(round(share * (room - 1)) for share in (before, after))
        way = ">" if after >= before else "<"
        bar = "." * low + way * (high - low + 1) + "." * (room - 1 - high)
        lines += wrapped(label, width)
        lines.append(f"    {100 * before:3.0f} -> {100 * after:3.0f} %  |{bar}|")
    return lines


def car_lines(figure: Figure, width: int = WIDEST) -> list[str]:
    """The car from above: front wheels over rear wheels, left beside right, each in words."""
    at = {corner.at: corner for corner in figure.corners}
    half = (min(width, WIDEST) - len(_AXLE)) // 2
    if half < SMALLEST_CORNER or not at:
        return [""] + [line for corner in figure.corners for line in _corner_lines(corner, width)]
    lines = ["", f"{'':<{half}}{'front':^{len(_AXLE)}}"]
    for left, right in (("LF", "RF"), ("LR", "RR")):
        sides = [_corner_lines(at[name], half) if name in at else [] for name in (left, right)]
        deep = max(map(len, sides))
        columns = [side + [""] * (deep - len(side)) for side in sides]
        lines += [
            f"{one:<{half}}{_AXLE if row == 0 else _BODY}{two}".rstrip()
            for row, (one, two) in enumerate(zip(*columns, strict=True))
        ]
    return lines


def _corner_lines(corner: CornerNote, width: int) -> list[str]:
    words = corner.words or (CORNER_TONES[corner.tone],)
    head = f"[{CORNER_MARKS[corner.tone]}] {corner.at} "
    rest = " " * len(head)
    lines = wrapped(words[0], width, head, rest)
    return [*lines, *(line for word in words[1:] for line in wrapped(word, width, rest))]


def circle_lines(figure: Figure, width: int = WIDEST) -> list[str]:
    """The turn as a circle of braille dots, and beside it in words what its marks stand for."""
    drawn = braille.round_lines(figure, CIRCLE_ROWS)
    marks = [safe(mark.label) for mark in figure.marks]
    if figure.limit is not None:
        marks.append(f"dotted: the limit, {figure.limit:.3g} {figure.y_label} from in to out")
    marks.insert(0, "valve at 12")
    broad = max(map(len, drawn)) + 3
    if width - broad < SMALLEST_CORNER:
        return ["", *drawn, *(line for text in marks for line in wrapped(text, width))]
    beside = [line for text in marks for line in wrapped(text, width - broad)]
    beside = [""] * max(0, (len(drawn) - len(beside)) // 2) + beside
    beside += [""] * (len(drawn) - len(beside))
    rows = drawn + [""] * (len(beside) - len(drawn))
    return ["", *(f"{one:<{broad}}{two}".rstrip()
                  for one, two in zip(rows, beside, strict=True))]


def _digits(size: float) -> int:
    """Decimals worth showing of sizes up to this."""
    return 3 if size < SMALL else 2 if size < LARGE else 0


def bar_lines(figure: Figure, width: int = WIDEST) -> list[str]:
    """One bar for each label."""
    most = max(figure.y, default=0.0)
    if most <= 0.0:
        return []
    pad = min(LONGEST_LABEL, max(8, width - 22), max(len(label) for label in figure.labels))
    room = max(4, min(BAR_WIDTH, width - pad - 11))
    digits = _digits(most)
    lines = ["", f"{'':<{pad}}  {safe(figure.y_label)}"]
    for label, size in zip(figure.labels, figure.y, strict=True):
        bar = "#" * max(1, round(size / most * room))
        lines.append(f"{safe(label)[:pad]:<{pad}}  {size:8.{digits}f} {bar}")
    return lines


def spectrum_lines(figure: Figure, width: int) -> list[str]:
    """Columns as high as the strongest bin in each, marks below the axis and named under it."""
    columns = max(20, min(width, 100) - 12)
    if len(figure.x) < 2 or max(figure.y) <= 0.0:
        return []
    low, high = figure.x[0], figure.x[-1]
    heights = _heights(figure, low, high, columns)
    most = max(heights)
    lines = ["", f"{safe(figure.y_label)}, by {safe(figure.x_label)}"]
    for row in range(SPECTRUM_HEIGHT, 0, -1):
        level = f"{most:8.3f}" if row == SPECTRUM_HEIGHT else " " * 8
        cells = "".join("#" if each / most * SPECTRUM_HEIGHT >= row - 0.5 else " "
                        for each in heights)
        lines.append(f"{level} |{cells}")
    lines.append(" " * 9 + "+" + "-" * columns)
    lines += _mark_lines(figure.marks, low, high, columns)
    lines.append(f"{'':>10}{low:<{columns - 8}.2f}{high:8.2f}")
    return lines


def _heights(figure: Figure, low: float, high: float, columns: int) -> list[float]:
    """The largest value that falls into each column; a column between two bins takes the nearer."""
    heights = []
    for column in range(columns):
        left = low + (high - low) * column / columns
        right = low + (high - low) * (column + 1) / columns
        inside = [size for place, size in zip(figure.x, figure.y, strict=True)
                  if left <= place < right]
        middle = (left + right) / 2.0
        nearest = min(range(len(figure.x)), key=lambda index: abs(figure.x[index] - middle))
        heights.append(max(inside) if inside else figure.y[nearest])
    return heights


def _mark_lines(marks: Sequence[FigureMark], low: float, high: float, columns: int) -> list[str]:
    """A row of letters under the axis, and what each stands for."""
    row = [" "] * columns
    named = []
    for letter, (at, labels) in zip(LETTERS, _gathered(marks), strict=False):
        if low <= at <= high:
            row[min(columns - 1, int((at - low) / (high - low) * columns))] = letter
            named.append(f"{'':>10}{letter} {at:.2f}: {safe(labels)}")
    return ["".join([" " * 10, *row]), *named] if named else []


def _gathered(marks: Sequence[FigureMark]) -> list[tuple[float, str]]:
    """Marks at one place together."""
    places: dict[float, list[str]] = {}
    for mark in sorted(marks, key=lambda each: each.at):
        places.setdefault(round(mark.at, 4), []).append(mark.label)
    return [(at, " or ".join(labels)) for at, labels in places.items()]
