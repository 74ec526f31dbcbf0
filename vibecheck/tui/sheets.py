"""The sheets of a visit, to read here and to keep as a file; their words come from report."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from vibecheck.casebook.case import CornerName
from vibecheck.errors import InputError
from vibecheck.report.blocks import Block
from vibecheck.report.claim_sheet import claim_sheet
from vibecheck.report.claims import claim_of, wheels_read
from vibecheck.report.corners import CORNERS
from vibecheck.report.html import html_page
from vibecheck.report.sheets import USUAL_WIDTH, sheet_page, trimmed
from vibecheck.report.text import text_lines
from vibecheck.session.former import former_of
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.keyline import KeyLine

CUSTOMER = "customer"
MIME = {"txt": "text/plain", "html": "text/html"}


class SheetScreen(BaseScreen[None]):
    """A sheet; the customer's, and the claim sheet of each wheel that was read, are a key away."""

    ABOUT_TITLE = "the sheet"
    ABOUT = (
        "The sheet of this visit. Keep it as plain text, or as a page to print: one file that any "
        "browser opens and prints on A4 or Letter. It goes beside the case; in a browser it is "
        "downloaded. After the customer's sheet comes the claim sheet of each wheel whose bead "
        "surfaces were read."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "dismiss", "Back", key_display="Esc"),
        Binding("k", "keep('txt')", "Keep as a file"),
        Binding("h", "keep('html')", "Keep as a page to print"),
        Binding("c", "other", "Next sheet: customer, claim, here"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened
        self._at = 0
        self._former = former_of(opened.path, opened.case)
        claims: list[CornerName] = wheels_read(opened.diagnosis)
        self._sheets: list[tuple[str, CornerName | None]] = [
            (opened.case.place, None), (CUSTOMER, None), *(("claim", corner) for corner in claims),
        ]

    @property
    def _blocks(self) -> tuple[Block, ...]:
        reader, corner = self._sheets[self._at]
        wording = self.vibecheck.wording
        if corner is not None:
            return claim_sheet(claim_of(self.opened, corner, wording), wording)
        return sheet_page(self.opened.diagnosis, reader, wording, self._former)

    def _text(self, ending: str) -> str:
        """The sheet as it is kept as a file."""
        if ending == "html":
            return html_page(self._blocks, f"{self.opened.case.title} - {self._reader_name}")
        return "\n".join(trimmed(text_lines(self._blocks, USUAL_WIDTH))) + "\n"

    @property
    def _reader_name(self) -> str:
        """The sheet's name: its reader, and for a claim the corner."""
        reader, corner = self._sheets[self._at]
        return f"{reader}-{corner}" if corner else reader

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
        reader, corner = self._sheets[self._at]
        said = f"{reader}, {CORNERS[corner]} wheel" if corner else reader
        self.query_one("#sheet-title", Static).update(joined("Sheet for: ", line(said)))
        self.query_one("#sheet", Static).update(plain(self._text("txt")))

    def units_changed(self) -> None:
        """Tell values in the other unit."""
        self._show()

    def action_other(self) -> None:
        """The next sheet: for this place, the customer's, a claim for each wheel that was read."""
        self._at = (self._at + 1) % len(self._sheets)
        self._show()

    def action_keep(self, ending: str) -> None:
        """Write the sheet beside the case; in a browser hand it over as a download."""
        if self.app.is_web:
            self._hand_over(ending)
            return
        path = self._file(ending)
        word = attempt(lambda: _write(path, self._text(ending)))
        said = word or f"kept as {path}"
        self.query_one("#sheet-title", Static).update(line(said))

    def _hand_over(self, ending: str) -> None:
        name = re.sub(r"[^A-Za-z0-9_.-]+", "-", self._file(ending).name)
        self.app.deliver_binary(BytesIO(self._text(ending).encode("utf-8")), save_filename=name,
                                mime_type=MIME[ending])
        self.query_one("#sheet-title", Static).update(line(f"downloaded as {name}"))

    def _file(self, ending: str) -> Path:
        case = self.opened.path
        name = f"{case.stem if case else self.opened.case.id}-{self._reader_name}.{ending}"
        return (case.parent if case else Path.cwd()) / name


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        what = f"the sheet is NOT kept ({error.strerror})"
        raise InputError(what, str(path), "make room there, or take another folder") from error
