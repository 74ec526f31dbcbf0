"""All sheets by their reader: counter, bay, driveway, customer."""

from __future__ import annotations

from collections.abc import Callable

from vibecheck.errors import InputError
from vibecheck.report.checklist import checklist_lines
from vibecheck.report.customer import customer_lines
from vibecheck.report.intake import intake_lines
from vibecheck.report.paper import Paper
from vibecheck.report.shop import shop_lines
from vibecheck.session.desk import Desk

READERS: dict[str, Callable[[Paper], list[str]]] = {
    "counter": intake_lines,
    "bay": checklist_lines,
    "driveway": shop_lines,
    "customer": customer_lines,
}
USUAL_WIDTH = 80
NARROWEST_SHEET, WIDEST_SHEET = 40, 200


def sheet_lines(desk: Desk, reader: str, width: int = USUAL_WIDTH) -> list[str]:
    """A sheet as lines no wider than `width` [characters].

    Raises
    ------
    InputError : no such reader, or a width that no sheet fits.
    """
    if reader not in READERS:
        raise InputError(
            f"there is no sheet for '{reader[:60]}'", "", f"write one of {', '.join(READERS)}"
        )
    if not NARROWEST_SHEET <= width <= WIDEST_SHEET:
        raise InputError(
            f"a sheet cannot be {width} characters wide", "",
            f"take a width from {NARROWEST_SHEET} to {WIDEST_SHEET}",
        )
    return [line.rstrip() for line in READERS[reader](Paper(desk, width))]


def sheet_text(desk: Desk, reader: str, width: int = USUAL_WIDTH) -> str:
    """A sheet as plain text; see `sheet_lines`."""
    return "\n".join(sheet_lines(desk, reader, width)) + "\n"
