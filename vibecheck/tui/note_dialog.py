"""The window in which a note is typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Button, Static, TextArea

from vibecheck.tui.plain import plain, stood_in
from vibecheck.tui.window import Window


class NoteArea(TextArea):
    """Lines of any text."""

    def get_line(self, line_index: int) -> Text:
        """A line as it is shown."""
        return Text(stood_in(self.document.get_line(line_index)), end="", no_wrap=True)


class NoteDialog(Window[tuple[bool, str]]):
    """The customer's own words; gives whether to keep them, and the text so far.

    Every change is told to `kept`, so that a note half typed outlives its window.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave it"),
        Binding("ctrl+s", "keep", "Keep the note"),
    ]

    def __init__(self, draft: str, kept: Callable[[str], None]) -> None:
        super().__init__()
        self._draft, self._kept = draft, kept

    def compose(self) -> ComposeResult:
        """A field and two buttons."""
        with Vertical(classes="window"):
            yield Static("A note, in the customer's own words", classes="window-title")
            yield NoteArea(self._draft, id="note", tab_behavior="focus")
            with Horizontal(classes="window-buttons"):
                yield Button(plain("Keep (Ctrl+S)"), id="keep", variant="primary", compact=True)
                yield Button(plain("Later (Esc)"), id="leave", compact=True)

    @on(TextArea.Changed)
    def _changed(self, event: TextArea.Changed) -> None:
        self._kept(event.text_area.text)

    def action_keep(self) -> None:
        """Give the text to whoever asked."""
        self.dismiss((True, self.query_one("#note", NoteArea).text))

    def action_leave(self) -> None:
        """Leave; the text waits until the note is opened again."""
        self.dismiss((False, self.query_one("#note", NoteArea).text))

    @on(Button.Pressed, "#keep")
    def _keep(self) -> None:
        self.action_keep()

    @on(Button.Pressed, "#leave")
    def _leave(self) -> None:
        self.action_leave()
