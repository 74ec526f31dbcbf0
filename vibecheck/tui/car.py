"""The car from above: what was measured and seen at each corner, and what is in or out."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.report.corners import CORNERS
from vibecheck.report.names import cause_name, chance_word, finding_name
from vibecheck.report.sentences import reading_text
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.phrases import ZONES, percent
from vibecheck.tui.plain import joined, line, stacked
from vibecheck.tui.widgets.carplan import at_corner, whole_plan
from vibecheck.tui.widgets.keyline import KeyLine


class CarScreen(BaseScreen[None]):
    """Every reading at its corner, and below those of the whole vehicle."""

    ABOUT_TITLE = "the car from above"
    ABOUT = (
        "Front at the top, the driver's left on the left. At each corner stands what was measured "
        "there and whether it passes (proven within the limit), fails (proven beyond) or is too "
        "close to call (the limit lies inside the uncertainty), then what was seen, then the most "
        "likely cause at that corner."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,k", "dismiss", "Back", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened

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
        found, wording = self.opened.diagnosis, self.vibecheck.wording
        texts = {
            each.entry.id: reading_text(each.judged, wording)
            for each in found.readings if each.judged
        }
        leading = {
            corner: next(
                (
                    f"> {cause_name(found.library, each.spot)}: {percent(each.probability)} "
                    f"{chance_word(each.probability)}"
                    for each in found.ranking
                    if each.corner == corner
                ),
                "",
            )
            for corner in CORNERS
        }
        width = max(60, self.size.width - 6)
        self.query_one("#car", Static).update(whole_plan(found, texts, width, leading))
        rows = [
            joined(ZONES[each.zone], "  ", line(finding_name(found.library, each.spot)), ": ",
                   line(texts[each.entry.id]))
            for each in at_corner(found, None)
        ]
        title = [Content.styled("Of the whole vehicle", "underline")] if rows else []
        self.query_one("#vehicle", Static).update(stacked([*title, *rows]))
