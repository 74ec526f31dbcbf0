"""A list of visits as a page."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.casebook.archive import Visit
from vibecheck.report.blocks import Block, Item, Paragraph, Table
from vibecheck.report.lines import local_time

NOTHING = "No visit matches."


def visits_page(visits: Sequence[Visit], all_of_them: int) -> tuple[Block, ...]:
    """Visits under each other, newest first; unreadable files with their complaint.

    Parameters
    ----------
    all_of_them : how many visits there are in all.
    """
    good = [visit for visit in visits if not visit.complaint]
    bad = [Item(visit.complaint, "!") for visit in visits if visit.complaint]
    if not visits:
        return (Paragraph(NOTHING),)
    table = Table(
        ("Last entry", "Visit", "Plate", "Customer", "Found", "Result"),
        tuple(_row(visit) for visit in good),
    )
    shown = Paragraph(f"{len(visits)} of {all_of_them} visits.")
    return (*((table,) if good else ()), *bad, shown)


def _row(visit: Visit) -> tuple[str, ...]:
    title = f"{visit.title} (put away)" if visit.archived else visit.title
    return (local_time(visit.newest), title, visit.plate, visit.customer,
            visit.fault.replace("_", " "), visit.outcome)  # fmt: skip
