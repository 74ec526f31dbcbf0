"""The sheet of a visit, to read here and to keep as a file; its words come from the report room."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from vibecheck.errors import InputError
from vibecheck.report.sheets import sheet_text
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.keyline import KeyLine


class SheetScreen(BaseScreen[None]):
    """A sheet; the customer's sheet is one key away."""

    ABOUT_TITLE = "the sheet"
    ABOUT = "The sheet of this visit as plain text. Keep it as a file beside the case and print it."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "dismiss", "Back", key_display="Esc"),
        Binding("k", "keep", "Keep as a file"),
        Binding("c", "other", "For the customer / for here"),
    ]

    def __init__(self, desk: OpenCase) -> None:
        super().__init__()
        self.desk = desk
        self._reader: str = desk.case.place

    @property
    def _text(self) -> str:
        """The sheet as it is kept as a file: plain text."""
        return sheet_text(self.desk.diagnosis, self._reader, wording=self.vibecheck.wording)

    def compose(self) -> ComposeResult:
        """The text and a line for what was done with it."""
        yield Static(id="sheet-title")
        with VerticalScroll(id="sheet-scroll"):
            yield Static(id="sheet")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the sheet."""
        self._show()
        self.query_one("#sheet-scroll").focus()

    def _show(self) -> None:
        self.query_one("#sheet-title", Static).update(joined("Sheet for: ", line(self._reader)))
        self.query_one("#sheet", Static).update(plain(self._text))

    def units_changed(self) -> None:
        """Tell values in the other unit."""
        self._show()

    def action_other(self) -> None:
        """Between the sheet for this place and the customer's."""
        place = self.desk.case.place
        self._reader = place if self._reader == "customer" else "customer"
        self._show()

    def action_keep(self) -> None:
        """Write the sheet beside the case."""
        path = self._file()
        word = attempt(lambda: _write(path, self._text))
        said = word or f"kept as {path}"
        self.query_one("#sheet-title", Static).update(line(said))

    def _file(self) -> Path:
        case = self.desk.path
        name = f"{case.stem if case else self.desk.case.id}-{self._reader}.txt"
        return (case.parent if case else Path.cwd()) / name


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        what = f"the sheet is NOT kept ({error.strerror})"
        raise InputError(what, str(path), "make room there, or take another folder") from error
