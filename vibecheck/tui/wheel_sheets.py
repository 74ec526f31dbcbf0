"""The sheets of wheels: one for all of them, and a claim for each that is damaged."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from vibecheck.casebook.atomic_write import write_whole
from vibecheck.errors import InputError
from vibecheck.report.blocks import Block
from vibecheck.report.html import html_page
from vibecheck.report.text import text_lines
from vibecheck.report.wheel_claims import wheel_claim
from vibecheck.report.wheel_set_sheet import set_sheet
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_table import Fate
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import line, plain
from vibecheck.tui.styles import STYLES
from vibecheck.tui.widgets.keyline import KeyLine

WIDTH = 76
_CLAIMED = (Fate.CLAIM, Fate.SWAP)


class WheelSheetScreen(BaseScreen[None]):
    """A sheet; the next one is one key away."""

    CSS_PATH = [*STYLES, "wheels.tcss"]
    ABOUT_TITLE = "the sheets"
    ABOUT = (
        "The sheet of all the wheels, and a claim for each new one that goes back. Keep one as a "
        "file: plain text and a page that prints, beside the set."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "other", "Next sheet"),
        Binding("k", "keep", "Keep as files"),
        Binding("escape,q", "dismiss", "Back", key_display="Esc"),
    ]

    def __init__(self, bench: WheelBench) -> None:
        super().__init__()
        self.bench = bench
        claims = [row.key for row in bench.table.rows if row.fate in _CLAIMED]
        self.sheets = ("", *claims)
        self.at = 0

    @property
    def page(self) -> tuple[Block, ...]:
        """The sheet shown."""
        key = self.sheets[self.at]
        wording = self.vibecheck.wording
        return wheel_claim(self.bench, key, wording) if key else set_sheet(self.bench, wording)

    @property
    def title_now(self) -> str:
        """What the sheet shown is."""
        key = self.sheets[self.at]
        return f"Claim for wheel {self.bench.names[key]}" if key else "All wheels"

    def compose(self) -> ComposeResult:
        """The text and a line for what was done with it."""
        yield Static(id="sheet-title", classes="screen-title")
        with VerticalScroll(id="wheels-sheet-scroll"):
            yield Static(id="sheet")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the sheet."""
        self._show()
        self.query_one("#wheels-sheet-scroll").focus()

    def _show(self) -> None:
        more = len(self.sheets) - 1
        hint = f" (c: {more} claim{'s' * (more > 1)})" if more and not self.at else ""
        self.query_one("#sheet-title", Static).update(line(self.title_now + hint))
        self.query_one("#sheet", Static).update(plain(self._text()))
        self.query_one("#wheels-sheet-scroll", VerticalScroll).scroll_home(animate=False)

    def _text(self) -> str:
        return "\n".join(each.rstrip() for each in text_lines(self.page, WIDTH)).strip("\n") + "\n"

    def units_changed(self) -> None:
        """Tell values in the other unit."""
        self._show()

    def action_other(self) -> None:
        """The next sheet."""
        self.at = (self.at + 1) % len(self.sheets)
        self._show()

    def action_keep(self) -> None:
        """Write the sheet beside the set, as text and as a page."""
        stem = self._stem()
        word = attempt(lambda: _write(stem.with_name(f"{stem.name}.txt"), self._text())) or attempt(
            lambda: _write(stem.with_name(f"{stem.name}.html"),
                           html_page(self.page, f"{self.bench.case.title} - {self.title_now}")))
        said = word or f"kept as {stem}.txt and .html"
        self.query_one("#sheet-title", Static).update(line(said))

    def _stem(self) -> Path:
        path, key = self.bench.path, self.sheets[self.at]
        what = f"claim-{key}" if key else "sheet"
        name = f"{path.stem if path else self.bench.case.id}-{what}"
        return (path.parent if path else Path.cwd()) / name


def _write(path: Path, text: str) -> None:
    try:
        write_whole(path, text.encode("utf-8"))
    except OSError as error:
        raise InputError(f"the sheet is NOT kept ({error.strerror})", str(path),
                         "make room there, or take another folder") from error
