"""The counter's intake sheet: what the customer says, may it be driven, what the bay does first."""

from __future__ import annotations

from vibecheck.report.blocks import Blank, Block, Item, Paragraph, section
from vibecheck.report.lines import minutes, time_range
from vibecheck.report.names import access_name, check_name
from vibecheck.report.parts import (
    caution_blocks,
    cautions_together,
    driving_blocks,
    fact_blocks,
    standing_blocks,
)
from vibecheck.report.sentences import conclusion_text
from vibecheck.report.sheet_parts import (
    bay_work,
    complaint_blocks,
    foot,
    found_blocks,
    seen,
    sheet_head,
    signatures,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import NextCheck
from vibecheck.session.diagnosis import Diagnosis

FIRST_CHECKS = 3
LEADING = 3


def counter_sheet(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    known = found.readings or seen(found)
    standing = standing_blocks(found, LEADING) if found.answers else (
        Paragraph("nothing can be said yet"),)
    return (
        *sheet_head(found, "Intake sheet"),
        *driving_blocks(found, wording),
        *fact_blocks(found),
        Blank("Odometer"),
        Blank("License plate"),
        *complaint_blocks(found, "Complaint, in the customer's words and answers", wording),
        *(found_blocks(found, "Already measured or looked at", wording) if known else ()),
        *section("Possible causes, before anything is opened", standing),
        *_bay(found, wording),
        *caution_blocks(found, cautions_together(found, found.in_the_bay), wording),
        *signatures("Customer", "Service writer"),
        *foot(found),
    )


def _bay(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    bay = found.in_the_bay
    checks = bay_work(found)[:FIRST_CHECKS]
    rows: tuple[Block, ...] = tuple(
        Item(_first_check(bay, check), f"{number}. [ ]") for number, check in enumerate(checks, 1)
    )
    head = Paragraph("First checks, in this order:" if checks else conclusion_text(bay, wording))
    time = time_range(bay.minutes_expected)
    return section("For the bay", (
        Paragraph(f"Time to find the cause: {time}; an estimate, no repair is in it"), head, *rows,
    ))


def _first_check(found: Diagnosis, check: NextCheck) -> str:
    """A check with what it takes."""
    mark = ", safety comes first" if check.option.urgent else ""
    access = access_name(found.library, check.rule.access)
    name = check_name(found.library, check.spot)
    return f"{name} ({access}, {minutes(check.option.cost)}{mark})"
