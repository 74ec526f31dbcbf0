"""The tools at hand: only checks that can be done with them are offered in the driveway."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Button, OptionList, Static

from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
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
        Binding("space", "tick", "Tick"),
        Binding("ctrl+s,k", "keep", "Keep", key_display="k"),
        Binding("escape,q", "dismiss", "Leave as before", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened
        known = opened.library.tools.values()
        self._tools = sorted(known, key=lambda tool: not tool.home)
        self.ticked = set(opened.case.tools) or {tool.id for tool in known if tool.home}

    def compose(self) -> ComposeResult:
        """Home tools first."""
        yield Static("Which of these tools are at hand?", classes="screen-title")
        yield ChoiceList(self._rows(), name_id="tools")
        yield Static(id="tools-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Keep these (k)"), id="keep", variant="primary", compact=True)
            yield Button(plain("Leave as before (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one("#tools").focus()

    def _rows(self) -> list[Choice]:
        """The tools with their ticks; whether one is ticked shows by its shape."""
        return [
            Choice(tool.id, f"{'[x]' if tool.id in self.ticked else '[ ]'} {tool.name}",
                   remark=tool.note)
            for tool in self._tools
        ]

    @on(OptionList.OptionSelected, "#tools")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_tick()

    def action_tick(self) -> None:
        """Tick or untick the tool in hand."""
        tools = self.query_one("#tools", ChoiceList)
        if tools.chosen is not None:
            self.ticked ^= {tools.chosen.value}
            tools.show(self._rows(), keep_place=True)

    @on(Button.Pressed, "#keep")
    def action_keep(self) -> None:
        """Keep what is ticked."""
        chosen = [tool.id for tool in self._tools if tool.id in self.ticked]
        word = attempt(lambda: self.opened.set_tools(chosen))
        if word:
            self.query_one("#tools-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(None)

    @on(Button.Pressed, "#leave")
    def _leave(self) -> None:
        self.dismiss(None)
