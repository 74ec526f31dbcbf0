"""The counter's intake sheet: what the customer says, may it be driven, what the bay does first."""

from __future__ import annotations

from vibecheck.knowledge.words import Level
from vibecheck.metrology.decision import Zone
from vibecheck.report.after_repair import STANDS
from vibecheck.report.blocks import Block, Item, Listing, Paragraph, Tone, run_on, section
from vibecheck.report.car_figure import is_wrong
from vibecheck.report.lines import capital, minutes, time_range
from vibecheck.report.names import access_name, check_name
from vibecheck.report.parts import driving_blocks, standing_blocks
from vibecheck.report.sentences import conclusion_text
from vibecheck.report.sheet_parts import (
    MADE_GOOD,
    Sheet,
    bay_work,
    complaint_blocks,
    customer_blanks,
    done_blocks,
    fact_blocks,
    foot,
    former_blocks,
    made_good,
    measured,
    outcome_blocks,
    repaired,
    seen,
    sheet_head,
    signatures,
    to_verify_blocks,
    told_texts,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import NextCheck
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.raised import RaisedBy

FIRST_CHECKS = 3
LEADING = 3
AUTHORIZED = "Agreed: diagnosis as above; no repair before a call."


def counter_sheet(sheet: Sheet) -> tuple[Block, ...]:
    """The whole sheet."""
    found, wording = sheet.found, sheet.wording
    standing = standing_blocks(found, LEADING) if found.answers else (
        Paragraph("nothing can be said yet"),)
    return (
        *sheet_head(sheet, "Intake sheet"),
        *customer_blanks(found),
        *driving_blocks(found, wording),
        *former_blocks(sheet),
        *fact_blocks(found),
        *complaint_blocks(found, "Complaint, in the customer's words and answers", wording),
        *_known(found, wording),
        *done_blocks(found, wording),
        *outcome_blocks(found),
        *(() if made_good(found) else section(
            "Possible causes, before anything is opened", standing)),
        *_bay(found, wording),
        *_cautions(found),
        *(() if made_good(found) else (Paragraph(AUTHORIZED),)),
        *signatures("Customer", "Service writer"),
        *foot(found),
    )


def _known(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What was measured or seen already: what is wrong or open in words, the rest counted."""
    answers = (*measured(found), *seen(found))
    told = [each for each in answers if each.zone is Zone.UNDECIDED or is_wrong(found, each)]
    left = len(answers) - len(told)
    rows: list[Block] = [Listing(tuple(
        f"{text}{f', {STANDS[each.zone]}' if each.judged else ''}"
        for text, each in zip(told_texts(found, told, wording), told, strict=True)))]
    if left:
        rows.append(Paragraph(f"{left} more, nothing wrong there; the bay's list has them."))
    return section("Already measured or looked at", rows) if answers else ()


def _cautions(found: Diagnosis) -> tuple[Block, ...]:
    """What an answer asks to mind; cautions of the work stand on the bay's list."""
    texts = tuple(
        each.rule.text for each in found.cautions
        if each.rule.level is Level.NOTE
        and any(raised.by is RaisedBy.ANSWER for raised in each.raised)
    )
    said = texts and not found.stopped  # under a stop nothing else is to be minded
    return section("Mind", (Paragraph(run_on(texts), Tone.QUIET),) if said else ())


def _bay(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    if made_good(found):
        return section("For the bay", (Paragraph(MADE_GOOD),))
    if repaired(found):
        return to_verify_blocks(found, wording)
    bay = found.in_the_bay
    checks = bay_work(found)[:FIRST_CHECKS]
    if bay.conclusion.decided:
        return section("For the bay", (Paragraph(capital(conclusion_text(bay, wording))),))
    rows: tuple[Block, ...] = tuple(
        Item(_first_check(bay, check), f"{number}. [ ]") for number, check in enumerate(checks, 1)
    )
    head = Paragraph("First checks, in this order:" if checks else capital(
        conclusion_text(bay, wording)))
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
