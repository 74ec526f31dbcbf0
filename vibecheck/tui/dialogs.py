"""Small windows over a screen: a text to read, a choice to make, words to type."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, OptionList, Static, TextArea

from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.entry import NoteArea


class TextDialog(ModalScreen[None]):
    """A text to read; any of the usual keys closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q,f1", "dismiss", "Close"),
        Binding("up", "scroll(-1)", "Up", show=False),
        Binding("down", "scroll(1)", "Down", show=False),
        Binding("pageup", "scroll(-10)", "Page up", show=False),
        Binding("pagedown,space", "scroll(10)", "Page down", show=False),
    ]

    def __init__(self, title: str, text: Content) -> None:
        super().__init__()
        self._title, self._text = title, text

    def compose(self) -> ComposeResult:
        """Title, text, close."""
        with Vertical(classes="window"):
            yield Static(line(self._title, "bold"), classes="window-title")
            with VerticalScroll(id="reading", can_focus=False):
                yield Static(self._text, id="dialog-text")
            yield Button(plain("Close (Esc)"), id="close", compact=True)

    def action_scroll(self, lines: int) -> None:
        """Scroll the text."""
        self.query_one("#reading", VerticalScroll).scroll_relative(y=lines, animate=False)

    @on(Button.Pressed, "#close")
    def _close(self) -> None:
        self.dismiss(None)


class ChoiceDialog(ModalScreen[str | None]):
    """A question with a few answers; gives the chosen value, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Leave it"),
        *(Binding(str(n), f"pick({n})", "Choose", show=False) for n in range(1, 10)),
    ]

    def __init__(self, title: str, text: Content, choices: Sequence[Choice]) -> None:
        super().__init__()
        self._title, self._text, self._choices = title, text, choices

    def compose(self) -> ComposeResult:
        """Title, text, choices."""
        with Vertical(classes="window"):
            yield Static(line(self._title, "bold"), classes="window-title")
            yield Static(self._text, classes="window-text")
            yield ChoiceList(self._choices, name_id="dialog-choices")
            yield Static("Esc leaves it as it is", classes="quiet")

    def action_pick(self, number: int) -> None:
        """Take the choice with this key."""
        if number <= len(self._choices) and self._choices[number - 1].enabled:
            self.dismiss(self._choices[number - 1].value)

    @on(OptionList.OptionSelected, "#dialog-choices")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._choices[event.option_index].value)


class NoteDialog(ModalScreen[tuple[bool, str]]):
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


def doubt_choices(typed: str, others: Sequence[str]) -> list[Choice]:
    """A value as typed, and the same digits in other units."""
    values = [typed, *others]
    return [
        Choice(value, value, str(number), remark="as typed" if number == 1 else "")
        for number, value in enumerate(values, start=1)
    ]


def doubt_text(typed: str, limit: str) -> Content:
    """Why the unit is asked for."""
    return joined(
        line(typed, "bold"), " would be far from the limit of ", line(limit),
        ". Which unit was meant?",
    )
