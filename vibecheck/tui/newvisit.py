"""A new visit: where, what it is called, and the few facts that help most."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Button, Input, Static

from vibecheck.casebook.case import PlaceName
from vibecheck.knowledge.library import Library
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.folders import fresh_path, make_folder
from vibecheck.tui.phrases import PLACES
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.customerfields import CustomerFields
from vibecheck.tui.widgets.entry import PlainInput
from vibecheck.tui.widgets.factfields import FactFields
from vibecheck.tui.widgets.keyline import KeyLine

LONGEST_TITLE = 200


class NewVisitScreen(BaseScreen[OpenCase | None]):
    """Gives the case of the new visit, or None."""

    ABOUT_TITLE = "a new visit"
    ABOUT = (
        "Nothing has to be filled in. The title helps to find the visit again; the tire size "
        "turns speeds into frequencies; the drive and the propulsion remove causes that this car "
        "cannot have. All of it can be added later."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "begin", "Begin"),
        Binding("escape", "dismiss", "Leave", key_display="Esc"),
    ]

    def __init__(
        self, library: Library, place: PlaceName, folder: Path, rules: Path | None
    ) -> None:
        super().__init__()
        self._library, self._place, self._folder, self._rules = library, place, folder, rules

    def compose(self) -> ComposeResult:
        """The form."""
        yield Static(joined("New visit at the ", line(PLACES[self._place], "bold")),
                     classes="screen-title")
        with VerticalScroll(can_focus=False, id="form"):
            with Vertical(classes="fact"):
                yield Static("Car, customer or number, to find the visit again", classes="quiet")
                yield PlainInput(placeholder="may be left empty", name_id="visit-title",
                                 most=LONGEST_TITLE)
            yield FactFields(self._library, {})
            yield CustomerFields(None)
        yield Static(id="form-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Begin (Enter or Ctrl+S)"), id="begin", variant="primary",
                         compact=True)
            yield Button(plain("Leave (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The title takes the keys."""
        self.query_one("#visit-title").focus()

    @on(Input.Submitted)
    @on(Button.Pressed, "#begin")
    def action_begin(self) -> None:
        """Begin, or say what cannot be."""
        made: list[OpenCase] = []
        word = attempt(lambda: made.append(self._begin()))
        if word:
            self.query_one("#form-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(made[0])

    def _begin(self) -> OpenCase:
        title = " ".join(self.query_one("#visit-title", Input).value.split())
        make_folder(self._folder)
        return OpenCase.new(
            fresh_path(self._folder, title), place=self._place, title=title,
            facts=self.query_one(FactFields).filled(), rules=self._rules,
            customer=self.query_one(CustomerFields).values(),
        )

    @on(Button.Pressed, "#leave")
    def _leave(self) -> None:
        self.dismiss(None)
