"""One figure: points, lines and marks, drawn, or written as rows of letters.

The drawing needs room and a library; where either is missing, or the person wants words, the
rows tell the same. Every mark is a letter that is explained under the picture.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.letters import figure_lines, lettered
from vibecheck.tui.plain import joined, line, plain, stacked

if TYPE_CHECKING:
    from vibecheck.tui.widgets.drawing import Drawing

LEAST_WIDTH, LEAST_HEIGHT = 34, 9  # cells in which a drawing can still be read


class Plot(Vertical):
    """Shows one figure, or nothing."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, classes="plot")
        self.figure: Figure | None = None
        self.as_words = False
        self._drawn: Drawing | None = None

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

    def show(self, figure: Figure | None) -> None:
        """Show another figure."""
        if figure != self.figure:
            self.figure = figure
            self._draw()

    def toggle_words(self) -> None:
        """Between the drawing and the rows of words; bars are shown or not."""
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
            and self.figure is not None
            and not self.figure.labels
            and self.size.width >= LEAST_WIDTH
            and self.size.height >= LEAST_HEIGHT
            and can_draw()
        )

    def _draw(self) -> None:
        figure = self.figure
        self.display = figure is not None and not (figure.labels and self.as_words)
        if figure is None or not self.is_mounted:
            return
        drawn = self.drawable
        bars = figure.kind is FigureKind.BARS
        self.set_class(bars, "-bars")
        self.query_one(".plot-title", Static).update(joined(
            line(figure.title, "bold"), " ",
            line(f"[{figure.y_label}]" if bars else f"- {figure.y_label} over {figure.x_label}"),
        ))
        self.query_one(".plot-drawing").display = drawn
        self.query_one(".plot-words").display = not drawn
        letters = [joined(Content.styled(letter, "bold"), " ", line(mark.label))
                   for letter, mark in lettered(figure)]
        self.query_one(".plot-letters", Static).update(Content("   ").join(letters))
        if drawn:
            self.call_later(self._paint)
        else:
            width = max(self.size.width, LEAST_WIDTH)
            rows = [plain(row) for row in figure_lines(figure, width)[1:]]
            self.query_one(".plot-rows", Static).update(stacked(rows))

    async def _paint(self) -> None:
        from vibecheck.tui.widgets.drawing import Drawing

        if not self.is_attached or not self.is_running:
            return
        if self._drawn is None:
            self._drawn = Drawing()
            await self.query_one(".plot-drawing").mount(self._drawn)
        if self.figure is not None:
            self._drawn.paint(self.figure, self.app.theme_variables)


def can_draw() -> bool:
    """True if the drawing library can be used here."""
    try:
        import textual_plot  # noqa: F401
    except ImportError:
        return False
    return True
