"""How the visit ended: what it was, what was done, and what confirmed it."""

from __future__ import annotations

from typing import ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Button, Input, Select, Static

from vibecheck.report.names import cause_name
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.entry import PlainInput
from vibecheck.tui.widgets.keyline import KeyLine

LONGEST_TYPED = 2000  # characters of the field; a case holds more


class FinishScreen(BaseScreen[bool]):
    """A form of three fields; dismissed with True if it was kept."""

    ABOUT_TITLE = "how it ended"
    ABOUT = (
        "What the cause turned out to be, what was done about it, and what confirmed that it "
        "holds: a measurement, or a drive on the road. Each may be left open. It can be written "
        "anew at any time."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "keep", "Keep"),
        Binding("escape", "leave", "Leave as before", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened

    def compose(self) -> ComposeResult:
        """The likeliest cause and the remedy to try first stand at the head of their lists."""
        outcome = self.opened.case.outcome
        yield Static("How did it end?", classes="screen-title")
        with VerticalScroll(can_focus=False, id="form"):
            was = f"{outcome.cause}@{outcome.corner or ''}" if outcome else ""
            yield _field("What it was", _select("ended-cause", self._causes(), was))
            done = outcome.remedy if outcome else ""
            yield _field("What was done", _select("ended-remedy", self._remedies(), done))
            yield _field(
                "What confirmed it",
                PlainInput(outcome.confirmed if outcome else "", name_id="ended-confirmed",
                           placeholder="for example: 0.12 mm after the new wheel; calm at 110 km/h",
                           most=LONGEST_TYPED),
            )
        yield Static(id="form-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Keep (Ctrl+S)"), id="keep", variant="primary", compact=True)
            yield Button(plain("Leave as before (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def _causes(self) -> list[tuple[str, str]]:
        """Name and value of every cause that this car can have, the likeliest first."""
        found = self.opened.diagnosis
        spots = sorted(found.network.index, key=lambda spot: -found.belief.chances[
            found.network.index[spot]])
        return [
            (cause_name(found.library, spot),
             f"{spot.id}@{spot.corner.value if spot.corner else ''}")
            for spot in spots
        ]

    def _remedies(self) -> list[tuple[str, str]]:
        """Name and id of every remedy, those of the ranking first."""
        known = self.opened.library.remedies
        first = [each.spot.id for each in self.opened.diagnosis.remedies]
        return [(known[name].name, name) for name in dict.fromkeys([*first, *known])]

    def on_mount(self) -> None:
        """The first field takes the keys."""
        self.query_one("#ended-cause").focus()

    def _chosen(self, name: str) -> str:
        value = cast("Select[str]", self.query_one(f"#{name}")).value
        return value if isinstance(value, str) else ""

    @on(Input.Submitted)
    @on(Button.Pressed, "#keep")
    def action_keep(self) -> None:
        """Keep it, or say what cannot be."""
        cause, _, corner = self._chosen("ended-cause").partition("@")
        remedy = self._chosen("ended-remedy")
        confirmed = self.query_one("#ended-confirmed", Input).value
        word = attempt(lambda: self.opened.finish(
            cause=cause, corner=corner, remedy=remedy, confirmed=confirmed))
        if word:
            self.query_one("#form-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(True)

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave what was written before."""
        self.dismiss(False)


def _field(caption: str, field: Select[str] | Input) -> Vertical:
    return Vertical(Static(plain(caption, "$text-muted")), field, classes="fact ended")


def _select(name: str, options: list[tuple[str, str]], chosen: str) -> Select[str]:
    # Select shows a Content as it is; its annotation knows only str.
    shown = [(cast("str", line(label)), value) for label, value in options]
    known = chosen in [value for _, value in options]
    return Select(shown, prompt="left open", id=name, compact=True,
                  value=chosen if known else Select.NULL)
