"""Facts of the vehicle and its own figures for the limits, at any time of a visit."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Button, Input, Static, TabbedContent, TabPane

from vibecheck.knowledge.model import Tolerance
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.customerfields import CustomerFields
from vibecheck.tui.widgets.entry import PlainInput
from vibecheck.tui.widgets.factfields import FactFields
from vibecheck.tui.widgets.keyline import KeyLine


class FactsScreen(BaseScreen[None]):
    """Two forms; what is refused stays in its field with the reason below."""

    ABOUT_TITLE = "facts and limits"
    ABOUT = (
        "Facts remove causes that this car cannot have and set the orders; leave empty what is "
        "not known. A limit typed here, with its unit, counts instead of the generic figure: "
        "take it from the vehicle maker's manual."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "keep", "Keep"),
        Binding("escape", "dismiss", "Leave as before", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened

    def compose(self) -> ComposeResult:
        """Facts and limits."""
        with TabbedContent(initial="tab-facts"):
            with TabPane("Facts of the car", id="tab-facts"), VerticalScroll(can_focus=False):
                yield FactFields(self.opened.library, self.opened.case.facts, unfold=True)
                yield CustomerFields(self.opened.case.customer, unfold=True)
            with TabPane("Limits", id="tab-limits"), VerticalScroll(can_focus=False):
                for tolerance in self.opened.library.tolerances.values():
                    yield self._limit(tolerance)
        yield Static(id="facts-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Keep (Ctrl+S)"), id="keep", variant="primary", compact=True)
            yield Button(plain("Leave as before (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The first field takes the keys."""
        self.query_one("#fact-tire_size, FactFields Input", Input).focus()

    def _limit(self, tolerance: Tolerance) -> Widget:
        own = self.opened.case.limits.get(tolerance.id, "")
        return Vertical(
            Static(line(tolerance.name, "$text-muted")),
            PlainInput(own, placeholder=f"generic: {tolerance.value}",
                       name_id=f"limit-{tolerance.id}"),
            classes="fact",
        )

    @on(Button.Pressed, "#keep")
    def action_keep(self) -> None:
        """Keep both forms."""
        facts = self.query_one(FactFields).values()
        limits = {
            name: self.query_one(f"#limit-{name}", Input).value
            for name in self.opened.library.tolerances
        }
        customer = self.query_one(CustomerFields).values()
        word = attempt(lambda: self.opened.set_facts(facts, limits=limits, customer=customer))
        if word:
            self.query_one("#facts-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(None)

    @on(Button.Pressed, "#leave")
    def _leave(self) -> None:
        self.dismiss(None)
