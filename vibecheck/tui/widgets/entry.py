"""Fields to type into: what is typed is kept as it is, and nothing in it steers a terminal."""

from __future__ import annotations

from rich.highlighter import Highlighter
from rich.text import Text
from textual import events
from textual.widgets import Input

from vibecheck.tui.plain import stood_in, visible

_STARTS = frozenset("0123456789.,+-−–")  # how a reading can begin


class _StoodIn(Highlighter):
    """Shows a stand-in for each control character and direction mark."""

    def __call__(self, text: str | Text) -> Text:
        """The text as it is shown."""
        raw = text if isinstance(text, str) else text.plain
        return Text(stood_in(raw), no_wrap=True, overflow="ignore", end="")

    def highlight(self, text: Text) -> None:
        """Nothing is colored."""


class PlainInput(Input):
    """One line of any text."""

    def __init__(
        self, value: str = "", *, name_id: str, placeholder: str = "", most: int = 200
    ) -> None:
        super().__init__(
            value, placeholder=visible(placeholder), highlighter=_StoodIn(), id=name_id,
            max_length=most, compact=True,
        )


class ReadingInput(PlainInput):
    """Takes a number and its unit; letters typed into the empty field go to the screen."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(name_id=name_id)
        self.compact = False
        self.select_on_focus = False

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """True for keys that become text here."""
        if not self.value and character is not None and character not in _STARTS:
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        if event.is_printable and not self.check_consume_key(event.key, event.character):
            event.prevent_default()
