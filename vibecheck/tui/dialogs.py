"""Small windows over a screen: a text to read, a choice to make."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Button, OptionList, Static

from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.window import Window


class TextDialog(Window[None]):
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


class ChoiceDialog(Window[str | None]):
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
