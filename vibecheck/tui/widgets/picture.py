"""What a picture shows, and the same as rows of letters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

MOST_ROWS = 72
_SPECTRUM_ROWS = 40
_BAR_ROOM = 22  # cells of a row that are not bar


@dataclass(frozen=True)
class Trace:
    """Values over x: joined by a line, or each shown by a marker."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    marker: str = ""


@dataclass(frozen=True)
class Mark:
    """A letter at a place: a vertical line through the picture, or a point if `y` is given."""

    letter: str
    x: float
    text: str
    y: float | None = None


@dataclass(frozen=True)
class Picture:
    """What is drawn; the rows of words are made of the first trace.

    With `labels` the first trace has one bar for each of them, and is always written.
    """

    title: str
    x_label: str
    y_label: str
    traces: tuple[Trace, ...]
    marks: tuple[Mark, ...] = ()
    x_range: tuple[float, float] | None = None
    x_ticks: tuple[float, ...] | None = None
    labels: tuple[str, ...] = ()


def height_range(picture: Picture) -> tuple[float, float]:
    """The range of y, with a little room above and below."""
    values = [value for trace in picture.traces for value in trace.y] or [0.0]
    low, high = min(values), max(values)
    room = 0.12 * (high - low) or 1.0
    return low - room, high + room


def word_rows(picture: Picture, width: int) -> list[str]:
    """The first trace as rows of letters, low on the left."""
    if picture.labels:
        return _bar_rows(picture, width)
    if not picture.traces or not picture.traces[0].x:
        return []
    points = sorted(zip(picture.traces[0].x, picture.traces[0].y, strict=True))
    if len(points) > MOST_ROWS:
        points = _highest_of_each(points, _SPECTRUM_ROWS)
    low, high = min(y for _, y in points), max(y for _, y in points)
    room = max(8, min(width - _BAR_ROOM, 60))
    step = (high - low) / (room - 1) or 1.0
    letters = _letters_at(picture.marks, [x for x, _ in points])
    rows = [f"{'at':>8} {'value':>8}  {'low':<{room - 4}}high"]
    for number, (x, y) in enumerate(points):
        at = round((y - low) / step)
        bar = "." * at + "o" + "." * (room - 1 - at)
        rows.append(f"{x:8.4g} {y:8.3g}  {bar} {letters.get(number, '')}".rstrip())
    return rows


def _bar_rows(picture: Picture, width: int) -> list[str]:
    """One bar for each label, from zero on."""
    values = picture.traces[0].y
    most = max((abs(value) for value in values), default=0.0) or 1.0
    names = min(max(len(label) for label in picture.labels), max(8, width - 18))
    room = max(4, min(width - names - 12, 50))
    return [
        f"{label[:names]:<{names}} {'█' * round(abs(value) / most * room):<{room}} {value:8.4g}"
        for label, value in zip(picture.labels, values, strict=True)
    ]


def _highest_of_each(
    points: Sequence[tuple[float, float]], count: int
) -> list[tuple[float, float]]:
    """The highest point of each of `count` pieces."""
    edges = [len(points) * place // count for place in range(count + 1)]
    return [
        max(points[start:end], key=lambda point: point[1])
        for start, end in zip(edges, edges[1:], strict=False)
    ]


def _letters_at(marks: Sequence[Mark], places: Sequence[float]) -> dict[int, str]:
    """The letters beside each row: every mark at the row nearest to it."""
    found: dict[int, str] = {}
    for mark in marks:
        row = min(range(len(places)), key=lambda number: abs(places[number] - mark.x))
        found[row] = found.get(row, "") + mark.letter
    return found
