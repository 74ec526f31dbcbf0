"""Wheels as a table, one row each, and a turn being read as one, one row for each place."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import events
from textual.coordinate import Coordinate
from textual.message import Message
from textual.widgets import DataTable

from vibecheck.calculators.reading_sheet import RoundSheet
from vibecheck.metrology.places import clock_place
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.report.wheel_words import SHORT_SURFACES, SURFACES, cell_text, look_cell, so_far
from vibecheck.report.wording import Wording
from vibecheck.session.wheel_table import TABLE_ORDER, WheelTable
from vibecheck.tui.plain import visible

LOOK = "look"
_NAME, _CELL, _WIDE_CELL, _LOOK = 11, 9, 16, 9
_WIDE = 104  # columns of the screen from which there is room for places
_IN_HAND = "____"


class WheelGrid(DataTable[Text]):
    """Name, four surfaces, look and verdict of every wheel; a click takes a cell in hand."""

    class Chosen(Message):
        """A cell was clicked: the wheel's place in the table, and the column."""

        def __init__(self, wheel: int, column: int) -> None:
            super().__init__()
            self.wheel, self.column = wheel, column

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, cursor_type="none", zebra_stripes=False, cell_padding=0)
        self.can_focus = False
        self._verdict = 20
        self._places = False

    async def _on_click(self, event: events.Click) -> None:
        """The first click counts."""
        meta = event.style.meta
        if meta.get("row", -1) >= 0 and not meta.get("out_of_bounds", False):
            event.stop()
            event.prevent_default()
            self.post_message(self.Chosen(meta["row"], meta["column"]))

    def build(self, keys: Sequence[str], width: int) -> None:
        """The columns for a width of the screen, and an empty row for each wheel."""
        self.clear(columns=True)
        tight = width < _WIDE
        self._places = not tight
        cell = _CELL if tight else _WIDE_CELL
        names = SHORT_SURFACES if tight else SURFACES
        self._verdict = max(16, width - _NAME - 4 * cell - _LOOK - 2)
        self.add_column("", width=_NAME)
        for surface in TABLE_ORDER:
            self.add_column(names[surface], width=cell)
        self.add_column("look", width=_LOOK)
        self.add_column("so far", width=self._verdict)
        for key in keys:
            self.add_row(*[Text() for _ in range(7)], key=key)

    def show(
        self, table: WheelTable, wording: Wording, at: str, in_hand: Sequence[Surface | str],
    ) -> None:
        """Show the table; `in_hand` are the cells that are read next, of the wheel `at`."""
        for number, row in enumerate(table.rows):
            here = row.key == at
            cells: list[Text] = [Text(f"{'>' if here else ' '} {visible(row.name, _NAME - 3)}",
                                      style="bold" if here else "")]
            for surface in TABLE_ORDER:
                text = cell_text(row, surface, wording, place=self._places)
                cells.append(_cell(text, held=here and surface in in_hand))
            cells.append(_cell(look_cell(row), held=here and LOOK in in_hand))
            cells.append(Text(visible(so_far(row), self._verdict - 1)))
            for column, shown in enumerate(cells):
                if self.get_cell_at(Coordinate(number, column)) != shown:
                    self.update_cell_at(Coordinate(number, column), shown)


class TurnGrid(DataTable[Text]):
    """A turn being read: the place, and a column for each surface read in it."""

    def __init__(self, *, name_id: str) -> None:
        super().__init__(id=name_id, cursor_type="row", zebra_stripes=False, cell_padding=0)
        self.can_focus = False
        self._built: tuple[Surface, ...] = ()

    def show(self, surfaces: Sequence[Surface], sheets: Sequence[RoundSheet], place: int,
             column: int) -> None:
        """Show the sheets side by side; the closing reading is the last row."""
        count = sheets[0].count
        if self._built != tuple(surfaces) or self.row_count != count + 1:
            self._built = tuple(surfaces)
            self.clear(columns=True)
            self.add_column("at", width=18)
            for surface in surfaces:
                self.add_column(SURFACES[surface], width=13)
            for number in range(count + 1):
                self.add_row(*[Text() for _ in range(1 + len(surfaces))], key=str(number))
        for number in range(count + 1):
            closing = number == count
            angle = 0.0 if closing else sheets[0].angle(number)
            clock = clock_place(angle)
            where = "first place again" if closing else (
                f"{angle:5.1f} deg {clock.hour:>2}{':30' * clock.half}")
            cells = [Text(where)]
            for each, sheet in enumerate(sheets):
                text = sheet.closing if closing else sheet.texts[number]
                cells.append(_cell(visible(text, 12), held=(number, each) == (place, column)))
            for at, shown in enumerate(cells):
                if self.get_cell_at(Coordinate(number, at)) != shown:
                    self.update_cell_at(Coordinate(number, at), shown)
        self.move_cursor(row=place, scroll=False)
        self.call_after_refresh(self._keep_in_sight)

    def _keep_in_sight(self) -> None:
        """What was read stands above the place in hand, and the next place below it."""
        rows = self.scrollable_content_region.height - self.header_height
        self.scroll_to(y=max(0, self.cursor_row - rows + 2), animate=False)


def _cell(text: str, *, held: bool) -> Text:
    if held and text in (".", ""):
        return Text(_IN_HAND, style="bold reverse")
    return Text(text, style="bold reverse" if held else "")
