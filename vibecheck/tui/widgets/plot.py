"""One picture of a bench: points, lines and marks, drawn, or written as rows of letters.

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

from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.widgets.picture import Picture, word_rows

if TYPE_CHECKING:
    from vibecheck.tui.widgets.drawing import Drawing

LEAST_WIDTH, LEAST_HEIGHT = 34, 9  # cells in which a drawing can still be read


class Plot(Vertical):
    """Shows one picture, or nothing."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, classes="plot")
        self.picture: Picture | None = None
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

    def show(self, picture: Picture | None) -> None:
        """Show another picture."""
        if picture != self.picture:
            self.picture = picture
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
            and self.picture is not None
            and not self.picture.labels
            and self.size.width >= LEAST_WIDTH
            and self.size.height >= LEAST_HEIGHT
            and can_draw()
        )

    def _draw(self) -> None:
        picture = self.picture
        self.display = picture is not None and not (picture.labels and self.as_words)
        if picture is None or not self.is_mounted:
            return
        drawn = self.drawable
        self.set_class(bool(picture.labels), "-bars")
        self.query_one(".plot-title", Static).update(joined(
            line(picture.title, "bold"), "" if picture.labels else " - ",
            "" if picture.labels else line(f"{picture.y_label} over {picture.x_label}"),
        ))
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
        from vibecheck.tui.widgets.drawing import Drawing

        if not self.is_attached or not self.is_running:
            return
        if self._drawn is None:
            self._drawn = Drawing()
            await self.query_one(".plot-drawing").mount(self._drawn)
        if self.picture is not None:
            self._drawn.paint(self.picture, self.app.theme_variables)


def can_draw() -> bool:
    """True if the drawing library can be used here."""
    try:
        import textual_plot  # noqa: F401
    except ImportError:
        return False
    return True
