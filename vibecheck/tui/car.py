"""The car from above: what was measured and seen at each corner, and what is in or out."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.report.lines import CORNERS
from vibecheck.session.desk import Desk
from vibecheck.session.typed import reading_text
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.phrases import DECISIONS, percent
from vibecheck.tui.plain import joined, line, stacked
from vibecheck.tui.widgets.carplan import at_corner, whole_plan
from vibecheck.tui.widgets.keyline import KeyLine


class CarScreen(BaseScreen[None]):
    """Every reading at its corner, and below those of the whole vehicle."""

    ABOUT_TITLE = "the car from above"
    ABOUT = (
        "Front at the top, the driver's left on the left. At each corner stands what was measured "
        "there and whether it is in (proven within the limit), out (proven beyond) or undecided "
        "(the limit lies inside the uncertainty), then what was seen, then the likeliest cause "
        "at that corner."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,k", "dismiss", "Back", key_display="Esc"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def compose(self) -> ComposeResult:
        """The drawing, to scroll."""
        with VerticalScroll(id="car-scroll"):
            yield Static(id="car")
            yield Static(id="vehicle")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show it."""
        self.query_one("#car-scroll").focus()
        self._show()

    def on_resize(self) -> None:
        """Use the width there is."""
        self._show()

    def units_changed(self) -> None:
        """Show readings in the other unit."""
        self._show()

    def _show(self) -> None:
        view, units = self.desk.view(), self.vibecheck.units
        texts = {
            each.entry: reading_text(self.desk.library, each, units) for each in view.readings
        }
        leading = {
            corner: next(
                (
                    f"> {each.name}: {percent(each.probability)} {each.word}"
                    for each in view.ranking
                    if each.corner == corner
                ),
                "",
            )
            for corner in CORNERS
        }
        width = max(60, self.size.width - 6)
        self.query_one("#car", Static).update(whole_plan(view, texts, width, leading))
        rows = [
            joined(DECISIONS[each.decision][1], "  ", line(each.name), ": ",
                   line(texts[each.entry]))
            for each in at_corner(view, None)
        ]
        title = [Content.styled("Of the whole vehicle", "underline")] if rows else []
        self.query_one("#vehicle", Static).update(stacked([*title, *rows]))
