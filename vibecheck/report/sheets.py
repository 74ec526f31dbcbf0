"""All sheets by their reader: counter, bay, driveway, customer."""

from __future__ import annotations

from collections.abc import Callable

from vibecheck.casebook.case import Case
from vibecheck.errors import InputError
from vibecheck.report.bay_sheet import bay_sheet
from vibecheck.report.blocks import Block
from vibecheck.report.counter_sheet import counter_sheet
from vibecheck.report.customer_sheet import customer_sheet
from vibecheck.report.driveway_sheet import driveway_sheet
from vibecheck.report.sheet_parts import Sheet
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis

READERS: dict[str, Callable[[Sheet], tuple[Block, ...]]] = {
    "counter": counter_sheet,
    "bay": bay_sheet,
    "driveway": driveway_sheet,
    "customer": customer_sheet,
}
USUAL_WIDTH = 80
NARROWEST_SHEET, WIDEST_SHEET = 40, 200
_METRIC = Wording()


def sheet_page(
    found: Diagnosis, reader: str, wording: Wording = _METRIC, former: Case | None = None
) -> tuple[Block, ...]:
    """The sheet for a reader; `former` is the visit that this one comes back from, if known.

    Raises
    ------
    InputError : no such reader.
    """
    if reader not in READERS:
        raise InputError(
            f"there is no sheet for '{reader[:60]}'", "", f"write one of {', '.join(READERS)}"
        )
    return READERS[reader](Sheet(found, wording, former))


def check_width(width: int) -> None:
    """Refuse a width [characters] that no sheet fits.

    Raises
    ------
    InputError : too narrow or too wide.
    """
    if not NARROWEST_SHEET <= width <= WIDEST_SHEET:
        raise InputError(
            f"a sheet cannot be {width} characters wide", "",
            f"take a width from {NARROWEST_SHEET} to {WIDEST_SHEET}",
        )


def sheet_lines(
    found: Diagnosis, reader: str, width: int = USUAL_WIDTH, wording: Wording = _METRIC,
    former: Case | None = None,
) -> list[str]:
    """A sheet as lines no wider than `width` [characters].

    Raises
    ------
    InputError : no such reader, or a width that no sheet fits.
    """
    check_width(width)
    return trimmed(text_lines(sheet_page(found, reader, wording, former), width))


def trimmed(lines: list[str]) -> list[str]:
    """Lines without empty ones at both ends and without spaces at their ends."""
    return "\n".join(line.rstrip() for line in lines).strip("\n").split("\n")


def sheet_text(
    found: Diagnosis, reader: str, width: int = USUAL_WIDTH, wording: Wording = _METRIC,
    former: Case | None = None,
) -> str:
    """A sheet as plain text; see `sheet_lines`."""
    return "\n".join(sheet_lines(found, reader, width, wording, former)) + "\n"
