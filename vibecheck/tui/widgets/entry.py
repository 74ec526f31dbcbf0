"""A field for one reading, in which a letter at the start is a command and not a reading."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

_STARTS = frozenset("0123456789.,+-−–")  # how a reading can begin


class ReadingInput(Input):
    """Takes a number and its unit; letters typed into the empty field go to the screen."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, select_on_focus=False, max_length=200)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """True for keys that become text here."""
        if not self.value and character is not None and character not in _STARTS:
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        if event.is_printable and not self.check_consume_key(event.key, event.character):
            event.prevent_default()
