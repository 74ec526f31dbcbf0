"""The drawing of a figure with the plot library; imported only where there is room for one."""

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

from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.letters import lettered

_DASHES = 80  # enough for the highest screen
_TURN, _TURN_TICKS = (0.0, 360.0), (0.0, 90.0, 180.0, 270.0, 360.0)
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

    def paint(self, figure: Figure, colors: Mapping[str, str]) -> None:
        """Draw a figure in the colors of the look."""
        if not self._whole:
            return
        ink, accent = colors["foreground"], f"bold {colors['accent']}"
        round_turn = figure.kind is FigureKind.ROUND
        self.clear()
        self.set_xticks(_TURN_TICKS if round_turn else None)
        self.set_xlimits(*(_TURN if round_turn else (None, None)))
        low, high = height_range(figure)
        self.set_ylimits(low, high)
        self._dashes(figure, low, high, colors["secondary"])
        self.plot(figure.x, figure.y, line_style=ink, hires_mode=HiResMode.BRAILLE)
        if round_turn:
            self.scatter(figure.x, figure.y, marker="o", marker_style=ink)
        for letter, mark in lettered(figure):
            at = high - _LETTER_BELOW_TOP * (high - low) if mark.y is None else mark.y
            self.scatter([mark.at], [at], marker=letter, marker_style=accent)

    def _dashes(self, figure: Figure, low: float, high: float, color: str) -> None:
        """A dashed line at every mark that goes all the way up."""
        step = (high - low) / _DASHES
        places = [low + step * number for number in range(_DASHES)]
        for mark in figure.marks:
            if mark.y is None:
                self.scatter([mark.at] * _DASHES, places, marker="┊", marker_style=color)


def height_range(figure: Figure) -> tuple[float, float]:
    """The range of y, with a little room above and below."""
    values = figure.y or (0.0,)
    low, high = min(values), max(values)
    room = 0.12 * (high - low) or 1.0
    return low - room, high + room
