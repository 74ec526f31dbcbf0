"""One picture of a bench: points, lines and marks, drawn, or written as rows of letters.

The drawing needs room and a library; where either is missing, or the person wants words, the
rows tell the same. Every mark is a letter that is explained under the picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.tui.plain import joined, line, plain, stacked

LEAST_WIDTH, LEAST_HEIGHT = 34, 9  # cells in which a drawing can still be read
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


class Plot(Vertical):
    """Shows one picture, or nothing."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, classes="plot")
        self.picture: Picture | None = None
        self.as_words = False
        self._drawn: object | None = None

    def compose(self) -> ComposeResult:
        """Title, drawing, rows of words, and the letters explained."""
        yield Static(classes="plot-title")
        yield Vertical(classes="plot-drawing")
        with VerticalScroll(classes="plot-words", can_focus=False):
            yield Static(classes="plot-rows")
        yield Static(classes="plot-letters")

    def on_mount(self) -> None:
        """Nothing is shown yet; another look needs the drawing's colors anew."""
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())
        self._draw()

    def show(self, picture: Picture | None) -> None:
        """Show another picture."""
        if picture != self.picture:
            self.picture = picture
            self._draw()

    def toggle_words(self) -> None:
        """Between the drawing and the rows of words."""
        self.as_words = not self.as_words
        self._draw()

    def on_resize(self, _: events.Resize) -> None:
        """Take the form that fits."""
        self._draw()

    @property
    def drawable(self) -> bool:
        """True where there is room for a drawing and a library that makes it."""
        return (
            not self.as_words
            and self.picture is not None
            and not self.picture.labels
            and self.size.width >= LEAST_WIDTH
            and self.size.height >= LEAST_HEIGHT
            and can_draw()
        )

    def _draw(self) -> None:
        picture = self.picture
        self.display = picture is not None
        if picture is None or not self.is_mounted:
            return
        drawn = self.drawable
        self.query_one(".plot-title", Static).update(line(picture.title, "bold"))
        self.query_one(".plot-drawing").display = drawn
        self.query_one(".plot-words").display = not drawn
        letters = [joined(Content.styled(each.letter, "bold"), " ", line(each.text))
                   for each in picture.marks]
        self.query_one(".plot-letters", Static).update(Content("   ").join(letters))
        if drawn:
            self.call_later(self._paint)
        else:
            rows = [plain(row) for row in word_rows(picture, max(self.size.width, LEAST_WIDTH))]
            self.query_one(".plot-rows", Static).update(stacked(rows))

    async def _paint(self) -> None:
        from textual_hires_canvas import HiResMode
        from textual_plot import PlotWidget

        picture = self.picture
        if picture is None:
            return
        if not isinstance(self._drawn, PlotWidget):
            self._drawn = PlotWidget(allow_pan_and_zoom=False)
            self._drawn.can_focus = False
            await self.query_one(".plot-drawing").mount(self._drawn)
        canvas = self._drawn
        colors = self.app.theme_variables
        ink, bright = colors["foreground"], f"bold {colors['accent']}"
        canvas.margin_top, canvas.margin_left = 1, 8
        canvas.clear()
        canvas.set_xlabel(picture.x_label)
        canvas.set_ylabel(picture.y_label)
        canvas.set_xticks(picture.x_ticks)
        canvas.set_xlimits(*(picture.x_range or (None, None)))
        low, high = _height(picture)
        canvas.set_ylimits(low, high)
        for mark in picture.marks:
            if mark.y is None:
                canvas.add_v_line(mark.x, line_style=colors["secondary"])
        for trace in picture.traces:
            if trace.marker:
                canvas.scatter(trace.x, trace.y, marker=trace.marker, marker_style=ink)
            else:
                canvas.plot(trace.x, trace.y, line_style=ink, hires_mode=HiResMode.BRAILLE)
        for mark in picture.marks:
            at = high - 0.04 * (high - low) if mark.y is None else mark.y
            canvas.scatter([mark.x], [at], marker=mark.letter, marker_style=bright)


def can_draw() -> bool:
    """True if the drawing library can be used here."""
    try:
        import textual_plot  # noqa: F401
    except ImportError:
        return False
    return True


def _height(picture: Picture) -> tuple[float, float]:
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
    rows = [f"{picture.x_label:>8} {picture.y_label:>8}  {'low':<{room - 4}}high"]
    for number, (x, y) in enumerate(points):
        at = round((y - low) / step)
        bar = "." * at + "o" + "." * (room - 1 - at)
        rows.append(f"{x:8.4g} {y:8.3g}  {bar} {letters.get(number, '')}".rstrip())
    return rows


def _bar_rows(picture: Picture, width: int) -> list[str]:
    """One bar for each label, from zero on."""
    values = picture.traces[0].y
    most = max((abs(value) for value in values), default=0.0) or 1.0
    names = min(max(len(label) for label in picture.labels), max(8, width // 2))
    room = max(6, min(width - names - 12, 50))
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
