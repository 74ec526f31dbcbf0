"""One cause explained: what it is, what speaks for and against it, how it is proved."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from vibecheck.report.rank_page import why_page
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.block_text import block_text
from vibecheck.tui.widgets.keyline import KeyLine


class CauseScreen(BaseScreen[None]):
    """One cause, and the way to the next in the ranking."""

    ABOUT_TITLE = "a cause explained"
    ABOUT = (
        "What this cause is, the evidence for it and against it with the weight of each finding "
        "(in bits: one bit doubles the odds), how it is confirmed and what cures it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,x", "dismiss", "Back", key_display="Esc"),
        Binding("right,n", "other(1)", "Next cause", key_display="→"),
        Binding("left,p", "other(-1)", "Cause before", key_display="←"),
    ]

    def __init__(self, opened: OpenCase, cause: str, corner: str | None) -> None:
        super().__init__()
        self.opened, self.cause, self.corner = opened, cause, corner

    def compose(self) -> ComposeResult:
        """One text to scroll."""
        with VerticalScroll(id="explained"):
            yield Static(id="why")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the cause."""
        self._show()
        self.query_one("#explained").focus()

    def _show(self) -> None:
        page = why_page(self.opened.diagnosis, self.cause, self.corner, self.vibecheck.wording)
        self.query_one("#why", Static).update(block_text(page))
        self.query_one("#explained").scroll_home(animate=False)

    def units_changed(self) -> None:
        """Tell readings in the other unit."""
        self._show()

    def action_other(self, step: int) -> None:
        """The next cause of the ranking, or the one before."""
        spots = [(each.cause, each.corner) for each in self.opened.diagnosis.ranking]
        if not spots:
            return
        here = (self.cause, self.corner)
        at = spots.index(here) if here in spots else -step
        self.cause, self.corner = spots[(at + step) % len(spots)]
        self._show()
