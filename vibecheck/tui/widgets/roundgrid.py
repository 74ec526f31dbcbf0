"""The sheet of readings round the wheel as a table with one place in hand, and its field."""

from __future__ import annotations

from collections.abc import Mapping

from rich.text import Text
from textual import events
from textual.coordinate import Coordinate
from textual.message import Message
from textual.widgets import DataTable

from vibecheck.calculators.reading_sheet import RoundSheet, several
from vibecheck.calculators.written_units import is_bare
from vibecheck.metrology.units.values import Quantity
from vibecheck.tui.plain import visible
from vibecheck.tui.widgets.entry import ReadingInput

_MOST_SHOWN = 12  # characters of a text in its cell


class RoundGrid(DataTable[Text]):
    """Number, angle, text and mark of every place; a click takes a place in hand."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, cursor_type="row", zebra_stripes=False)
        self.can_focus = False
        self._count = 0

    def on_mount(self) -> None:
        """The columns."""
        for title, width in (("No.", 3), ("at", 9), ("reading", 16)):
            self.add_column(title, width=width)

    def show(self, sheet: RoundSheet, unit: str, marks: Mapping[int, str]) -> None:
        """Show the sheet; `marks` are letters beside places."""
        if self._count != sheet.count:
            self._count = sheet.count
            self.clear()
            for place in range(sheet.count):
                self.add_row(Text(), Text(), Text(), key=str(place))
        for place, text in enumerate(sheet.texts):
            for column, shown in enumerate((
                Text(f"{place + 1:>3}"), Text(f"{sheet.angle(place):5.1f} deg"),
                _cell(text, unit, marks.get(place, "")),
            )):
                if self.get_cell_at(Coordinate(place, column)) != shown:
                    self.update_cell_at(Coordinate(place, column), shown)
        self.move_cursor(row=sheet.at)


class GaugeInput(ReadingInput):
    """Takes one reading after the other; a pasted column is handed on whole."""

    class Pasted(Message):
        """Several readings were pasted."""

        def __init__(self, texts: tuple[str, ...]) -> None:
            super().__init__()
            self.texts = texts

    class Entered(Message):
        """Enter was pressed; the field is empty again, ready for the next reading."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class Emptied(Message):
        """Delete was pressed in the empty field."""

    async def _on_key(self, event: events.Key) -> None:
        """Enter counts at once: as a binding it would come after what a gauge types next."""
        if event.key == "enter":
            event.stop()
            event.prevent_default()
            await self.action_submit()

    async def action_submit(self) -> None:
        """Hand the text on and empty the field, ready for the next reading."""
        text, self.value = self.value.strip(), ""
        self.post_message(self.Entered(text))

    def action_delete_right(self) -> None:
        """Delete a letter; in the empty field it is meant for the sheet."""
        if self.value:
            super().action_delete_right()
        else:
            self.post_message(self.Emptied())

    def _on_paste(self, event: events.Paste) -> None:
        """One reading goes into the field, several go down the sheet."""
        event.prevent_default()
        event.stop()
        texts = several(event.text)
        if len(texts) > 1:
            self.post_message(self.Pasted(texts))
        elif texts:
            self.replace(texts[0], *self.selection)


def _cell(text: str, unit: str, mark: str) -> Text:
    shown = visible(text, _MOST_SHOWN)
    if text and is_bare(text, Quantity.LENGTH):
        shown = f"{shown} {unit}"
    return Text(f"{mark:<2}{shown}", style="bold" if mark else "")
