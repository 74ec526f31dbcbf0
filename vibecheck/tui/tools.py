"""The tools at hand: only checks that can be done with them are offered in the driveway."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Button, SelectionList, Static
from textual.widgets.selection_list import Selection

from vibecheck.session.desk import Desk
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.keyline import KeyLine


class ToolsScreen(BaseScreen[None]):
    """A list to tick; kept on leaving."""

    ABOUT_TITLE = "the tools at hand"
    ABOUT = (
        "Tick what is at hand with Space, Enter or a click. In the driveway only checks that "
        "can be done safely with these tools are offered. Tools that owners often have are "
        "ticked to begin with."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s,k", "keep", "Keep", key_display="k"),
        Binding("escape,q", "dismiss", "Leave as before", key_display="Esc"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def compose(self) -> ComposeResult:
        """Home tools first."""
        yield Static("Which of these tools are at hand?", classes="screen-title")
        tools = sorted(self.desk.library.tools.values(), key=lambda tool: not tool.home)
        ticked = set(self.desk.case.tools) or {tool.id for tool in tools if tool.home}
        yield SelectionList[str](
            *(
                Selection(
                    joined(line(tool.name),
                           joined("  ", line(tool.note, "$text-muted")) if tool.note else ""),
                    tool.id, tool.id in ticked,
                )
                for tool in tools
            ),
            id="tools",
        )
        yield Static(id="tools-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Keep these (k)"), id="keep", variant="primary", compact=True)
            yield Button(plain("Leave as before (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one("#tools").focus()

    @on(Button.Pressed, "#keep")
    def action_keep(self) -> None:
        """Keep what is ticked."""
        chosen = self.query_one("#tools", SelectionList).selected
        word = attempt(lambda: self.desk.set_tools(chosen))
        if word:
            self.query_one("#tools-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(None)

    @on(Button.Pressed, "#leave")
    def _leave(self) -> None:
        self.dismiss(None)
