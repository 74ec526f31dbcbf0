"""The bay's check list: the next checks with room to write, limits in force, what is known."""

from __future__ import annotations

from vibecheck.calculators.reading_sheet import advised_count
from vibecheck.knowledge.words import CheckKind
from vibecheck.report.blocks import Blank, Block, Heading, Item, Pair, Paragraph, Tone, section
from vibecheck.report.names import NOT_SURE, check_name, finding_name
from vibecheck.report.parts import (
    caution_blocks,
    cautions_together,
    corner_list,
    driving_blocks,
    fact_blocks,
    procedure_blocks,
    remedy_item,
    standing_blocks,
)
from vibecheck.report.sentences import (
    bare_unit,
    check_cost,
    check_decides,
    check_reason,
    limit_text,
    value_in_words,
)
from vibecheck.report.sheet_parts import (
    bay_work,
    complaint_blocks,
    foot,
    found_blocks,
    sheet_head,
    signatures,
)
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording
from vibecheck.session.advice import Asked, NextCheck
from vibecheck.session.diagnosis import Diagnosis

CHECKS = 5
LEADING = 5
REMEDIES = 2
QUESTIONS = 6
ROUND = "runout"  # the calculator that takes readings round the wheel
BOXES_A_LINE = 4


def bay_sheet(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    bay = found.in_the_bay
    remedies = bay.remedies[:REMEDIES] if bay.conclusion.decided else ()
    return (
        *sheet_head(found, "Check list for the bay"),
        *driving_blocks(found, wording),
        *fact_blocks(found),
        *complaint_blocks(found, "Complaint", wording),
        *found_blocks(found, "Measured and seen so far", wording),
        *section("Possible causes", standing_blocks(bay, LEADING)),
        *caution_blocks(found, cautions_together(bay, found), wording),
        *_checks(found, wording),
        *section("Remedies", (
            remedy_item(bay, "*", each, steps=True, box="[ ] ") for each in remedies)),
        *signatures("Technician"),
        *foot(found),
    )


def _checks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What the hands do, safety first; then what is only asked, in short."""
    bay = found.in_the_bay
    if not bay.next_checks:
        return (Paragraph("No check is left that would tell more."),)
    made: list[Block] = []
    for number, check in enumerate(bay_work(found)[:CHECKS], 1):
        made += _check(bay, number, check, wording)
    asked = [
        each for each in bay.next_checks
        if each.rule.kind is CheckKind.QUESTION and not each.option.urgent
    ]
    questions = [each for check in asked[:QUESTIONS] for each in check.asked]
    return (*made, *section("To ask as well, if it is not known", (
        block for each in questions for block in _room(bay, each, wording, round_wheel=False))))


def _check(
    found: Diagnosis, number: int, check: NextCheck, wording: Wording
) -> tuple[Block, ...]:
    """One check: what it takes, how it is done, where its answers are written."""
    library = found.library
    mark = " - SAFETY COMES FIRST" if check.option.urgent else ""
    made: list[Block] = [
        Heading(f"Check {number}: {check_name(library, check.spot)}{mark}"),
        Paragraph(f"{check_cost(library, check)}. Why: {check_reason(library, check)}"),
    ]
    if check.undecided:
        made.append(Pair("To decide:", check_decides(library, check, wording)))
    if check.also_at:
        made.append(Pair("Other corners:", f"{corner_list(check)}: worth nearly the same there"))
    made += procedure_blocks(found, check, "[ ] ")
    round_wheel = check.rule.calculator == ROUND
    for each in check.asked:
        made += _room(found, each, wording, round_wheel=round_wheel)
    return tuple(made)


def _turn_boxes() -> tuple[Block, ...]:
    """Boxes for one turn: as many readings as see a bend, the closing one, and a slow turn."""
    count = advised_count()
    angles = [360.0 * place / count for place in range(count)]
    places = [f"{angle:>3.0f} deg ______" for angle in angles]
    lines = ["   ".join(places[start:start + BOXES_A_LINE])
             for start in range(0, count, BOXES_A_LINE)]
    return (
        Item(f"readings round the wheel, {FROM_OUTSIDE}; the last one at the first place again:",
             " "),
        *(Item(each, " ") for each in lines),
        Item("360 deg ______   one slow turn, eye on the pointer: high ______  low ______", " "),
        Item("wheel turned past the gauge: [ ] gauge moved along the marks  [ ] clockwise  "
             "[ ] counterclockwise", " "),
    )


def _room(
    found: Diagnosis, asked: Asked, wording: Wording, *, round_wheel: bool
) -> tuple[Block, ...]:
    """Where one answer is written: a value with its limit, or boxes to tick."""
    name, rule = finding_name(found.library, asked.spot), asked.rule
    if asked.quantity is None:
        ticks = "   ".join(f"[ ] {label}" for label in (*rule.states.values(), NOT_SURE))
        made: list[Block] = [Item(f"{name}: {asked.question}", ">", under=(Paragraph(ticks),))]
    else:
        limit = limit_text(found, asked.finding, wording)
        made = [
            Blank(f"> {name}", bare_unit(asked, wording)),
            Item(f"limit: {limit}" if limit else "no limit, to be noted", " ", Tone.QUIET),
        ]
        if round_wheel and asked.quantity == "length":
            made += _turn_boxes()
    if asked.entry is not None:
        value = value_in_words(rule, asked.entry.value, wording)
        made.append(Item(f"so far: {value}", " "))
    return tuple(made)
