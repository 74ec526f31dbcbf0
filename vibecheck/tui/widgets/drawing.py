"""The drawing of a picture with the plot library; imported only where there is room for one."""

from __future__ import annotations

from collections.abc import Mapping

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.containers import Grid
from textual.reactive import reactive
from textual.strip import Strip
from textual_hires_canvas import Canvas, HiResMode
from textual_plot import PlotWidget
from textual_plot.plot_widget import Legend

from vibecheck.tui.widgets.picture import Picture, height_range

_DASHES = 80  # enough for the highest screen
_LETTER_BELOW_TOP = 0.04  # of the height


class _Canvas(Canvas):
    """Every piece of a line has a style: without colors the terminal's filter asks for one."""

    def render_line(self, y: int) -> Strip:
        """One line of the canvas."""
        strip = super().render_line(y)
        pieces = [Segment(text, style or Style.null(), control) for text, style, control in strip]
        return Strip(pieces, strip.cell_length)


class Drawing(PlotWidget):
    """Axes close to the edges, and no keys of its own."""

    margin_top = reactive(0)
    margin_bottom = reactive(1)
    margin_left = reactive(8)

    def __init__(self) -> None:
        super().__init__(allow_pan_and_zoom=False)
        self.can_focus = False

    def compose(self) -> ComposeResult:
        """The parts that the library expects, on canvases of ours."""
        with Grid():
            for name in ("margin-top", "margin-left", "plot", "margin-bottom"):
                yield _Canvas(1, 1, id=name)
        yield Legend(id="legend")

    @property
    def _whole(self) -> bool:
        """False while the screen is being left: the parts may be missing then."""
        return bool(self.query(Grid)) and bool(self.query(Legend))

    def _update_margin_sizes(self) -> None:
        if self._whole:
            super()._update_margin_sizes()

    def _update_legend(self) -> None:
        if self._whole:
            super()._update_legend()

    def paint(self, picture: Picture, colors: Mapping[str, str]) -> None:
        """Draw a picture in the colors of the look."""
        if not self._whole:
            return
        ink, letters = colors["foreground"], f"bold {colors['accent']}"
        self.clear()
        self.set_xticks(picture.x_ticks)
        self.set_xlimits(*(picture.x_range or (None, None)))
        low, high = height_range(picture)
        self.set_ylimits(low, high)
        step = (high - low) / _DASHES
        for mark in picture.marks:
            if mark.y is None:
                places = [low + step * number for number in range(_DASHES)]
                self.scatter([mark.x] * _DASHES, places, marker="┊",
                             marker_style=colors["secondary"])
        for trace in picture.traces:
            if trace.marker:
                self.scatter(trace.x, trace.y, marker=trace.marker, marker_style=ink)
            else:
                self.plot(trace.x, trace.y, line_style=ink, hires_mode=HiResMode.BRAILLE)
        for mark in picture.marks:
            at = high - _LETTER_BELOW_TOP * (high - low) if mark.y is None else mark.y
            self.scatter([mark.x], [at], marker=mark.letter, marker_style=letters)
