"""The bay's check list: checks in order with room to write, limits in force, what is known."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.reading_sheet import advised_count
from vibecheck.knowledge.model import Check
from vibecheck.knowledge.words import CheckKind, Level
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import (
    Blank,
    Block,
    Choice,
    Form,
    Heading,
    Item,
    Listing,
    Paragraph,
    Tone,
    run_on,
    section,
)
from vibecheck.report.lines import capital
from vibecheck.report.names import LEVELS, NOT_SURE, check_name, finding_name, remedy_name
from vibecheck.report.parts import corner_list, driving_blocks, standing_blocks
from vibecheck.report.sentences import (
    bare_unit,
    check_cost,
    check_decides,
    check_reason,
    limit_size,
    remedy_cost,
    value_in_words,
)
from vibecheck.report.sheet_parts import (
    MADE_GOOD,
    Sheet,
    bay_work,
    complaint_blocks,
    done_blocks,
    fact_blocks,
    foot,
    former_blocks,
    found_blocks,
    limits_of,
    made_good,
    outcome_blocks,
    repaired,
    sheet_head,
    signatures,
    to_verify_blocks,
)
from vibecheck.report.text import text_lines
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording
from vibecheck.session.advice import Asked, NextCheck
from vibecheck.session.cautions import step_cautions
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import decided_remedy
from vibecheck.session.judge import is_surface
from vibecheck.session.raised import RaisedBy

MOST_CHECKS = 5
HEADING_LINES = 3
MOST_LINES = 2 * 68  # as two pages of Letter or A4 hold
LEADING = 3
QUESTIONS = 5
ROUND = "runout"  # the calculator that takes readings round the wheel
FIELDS_ACROSS = 8  # places to write beside each other in the table of a turn
LETTERS = "ABCDEFGH"
USUAL_WIDTH = 80  # characters


def bay_sheet(sheet: Sheet) -> tuple[Block, ...]:
    """The whole sheet."""
    found, wording = sheet.found, sheet.wording
    known: tuple[Block, ...] = (
        *sheet_head(sheet, "Check list for the bay"),
        *driving_blocks(found, wording),
        *former_blocks(sheet),
        *fact_blocks(found),
        *complaint_blocks(found, "Complaint", wording),
        *found_blocks(found, "Measured and seen so far", wording, drawn=False, decides=False),
        *done_blocks(found, wording),
        *outcome_blocks(found),
    )
    end = (*signatures("Technician"), *foot(found))
    return (
        *known,
        *_work(found, wording, _lines((*known, *end))),
        *end,
    )


def _work(found: Diagnosis, wording: Wording, taken: int) -> tuple[Block, ...]:
    """What is to be done: verify what was repaired, or find the cause and repair it.

    taken : lines that the rest of the sheet takes; as many checks are shown as two pages hold.
    """
    if made_good(found):
        return section("Work", (Paragraph(MADE_GOOD),))
    if repaired(found):
        return to_verify_blocks(found, wording)
    bay = found.in_the_bay
    remedy = _remedy(bay)
    made: list[Block] = [
        *section("Possible causes", standing_blocks(bay, LEADING)),
        *_cautions(found, []), *remedy,
    ]
    if not bay.next_checks:
        made.append(Paragraph("No check is left that would tell more."))
    room = MOST_LINES - taken - _lines(made)
    checks: list[Block] = []
    rules: list[Check] = []
    turned = False  # one table of a turn is enough; more can be printed
    for number, check in enumerate(bay_work(found)[:MOST_CHECKS], 1):
        table = not turned and check.rule.calculator == ROUND
        blocks = _check(bay, number, check, wording, table=table)
        cautions = _lines(_cautions(found, [*rules, check.rule])) - _lines(_cautions(found, rules))
        room -= _lines(blocks) + cautions
        if room < 0 and rules:
            break
        checks += blocks
        rules.append(check.rule)
        turned = turned or table
    return (
        *section("Possible causes", standing_blocks(bay, LEADING)), *_cautions(found, rules),
        *(made[-1:] if not bay.next_checks else ()), *checks,
        *_questions(bay, wording, room), *remedy,
    )


def _lines(blocks: Iterable[Block]) -> int:
    """How many lines blocks take on paper."""
    return len(text_lines(blocks, USUAL_WIDTH))


def _remedy(bay: Diagnosis) -> tuple[Block, ...]:
    """What is to be done once it is decided."""
    remedy = decided_remedy(bay)
    if remedy is None:
        return ()
    rule = bay.library.remedies[remedy.spot.id]
    texts = tuple(each.text for each in step_cautions(bay.library, bay.place, rule)
                  if each.level is not Level.NOTE)
    return section(f"Remedy: {remedy_name(bay.library, remedy.spot)}", (
        Paragraph(f"{capital(remedy_cost(bay.library, remedy))}."),
        *((Paragraph(run_on(texts), Tone.QUIET),) if texts else ()),
        *_steps(rule.steps),
        Item(rule.verify, "Verify:"),
        Item(rule.comeback, "If it comes back:"),
    ))


def _cautions(found: Diagnosis, rules: Iterable[Check]) -> tuple[Block, ...]:
    """What to mind before this work, each once, what stops the car first."""
    bay = found.in_the_bay
    said = {
        each.rule.id: each.rule for each in (*bay.cautions, *found.cautions)
        if each.rule.level is not Level.NOTE
        or any(raised.by is RaisedBy.ANSWER for raised in each.raised)
    }
    for rule in rules:
        said |= {each.id: each for each in step_cautions(found.library, bay.place, rule)
                 if each.level is not Level.NOTE}
    order = list(Level)
    texts = tuple(
        f"{LEVELS[each.level]}: {each.text}" if each.level is Level.STOP else each.text
        for each in sorted(said.values(), key=lambda each: order.index(each.level))
    )
    return section("Before you work", (Listing(texts, Tone.QUIET),) if texts else ())


def _questions(bay: Diagnosis, wording: Wording, room: int) -> tuple[Block, ...]:
    """What is only asked, in short, as far as there is room [lines]."""
    asked = [
        each for check in bay.next_checks
        if check.rule.kind is CheckKind.QUESTION and not check.option.urgent
        for each in check.asked
    ]
    made: list[Block] = []
    for each in asked[:QUESTIONS]:
        field = _field(bay, each, wording)
        if _lines((*made, *field)) + HEADING_LINES > room:
            break
        made += field
    return section("To ask as well, if it is not known", made)


def _check(
    found: Diagnosis, number: int, check: NextCheck, wording: Wording, *, table: bool
) -> tuple[Block, ...]:
    """One check: what it takes, how it is done in short, where its answers are written.

    table : with a table for readings round the turn; else high minus low alone.
    """
    library = found.library
    mark = " - SAFETY COMES FIRST" if check.option.urgent else ""
    tools = ", ".join(library.tools[tool].name for tool in check.rule.tools)
    what = f"{check_cost(library, check)}{f'; {tools}' if tools else ''}"
    made: list[Block] = [
        Heading(f"Check {number}: {check_name(library, check.spot)}{mark}", 3),
        Paragraph(f"{what}. {capital(check_reason(library, check))}."),
    ]
    if check.undecided:
        made.append(Paragraph(f"To decide: {check_decides(library, check, wording)}"))
    if check.also_at:
        made.append(Paragraph(f"Worth nearly the same: {corner_list(check)}"))
    made += _steps(check.rule.steps)
    read = [each for each in check.asked
            if table and is_surface(library, each.finding)]
    if read:
        made += _turn(found, read, wording)
    for each in check.asked:
        if each not in read:
            made += _field(found, each, wording, at_check=each.corner is check.corner)
    return (*made, *limits_of(found, [
        each.finding for each in check.asked if each.quantity is not None]))


def _steps(steps: Iterable[str]) -> tuple[Block, ...]:
    """A procedure in short: its steps run on, each with its number."""
    text = " ".join(f"({number}) {step}" for number, step in enumerate(steps, 1))
    return (Paragraph(text),) if text else ()


def _field(
    found: Diagnosis, asked: Asked, wording: Wording, *, at_check: bool = False
) -> tuple[Block, ...]:
    """Where one answer is written: a value with its limit, or boxes to tick.

    at_check : under the heading of its check, which names the corner.
    """
    name, rule = finding_name(found.library, asked.spot), asked.rule
    if at_check:
        name = rule.name
    made: list[Block]
    if asked.quantity is None:
        made = [Choice(name, (*rule.states.values(), NOT_SURE))]
    else:
        limit = limit_size(found, asked.finding, wording)
        unit = bare_unit(asked, wording)
        made = [Blank(name, f"{unit}  {f'limit {limit}' if limit else 'no limit, to be noted'}")]
    return (*made, *_so_far(asked, wording))


def _so_far(asked: Asked, wording: Wording) -> tuple[Block, ...]:
    if asked.entry is None:
        return ()
    value = value_in_words(asked.rule, asked.entry.value, wording)
    return (Paragraph(f"so far: {value}", Tone.QUIET),)


def _turn(found: Diagnosis, asked: list[Asked], wording: Wording) -> tuple[Block, ...]:
    """One table for all surfaces read in a turn: as many places as see a bend, and the closing."""
    shown = asked[:FIELDS_ACROSS]
    letters = LETTERS[:len(shown)]
    names = tuple(
        f"{letter}: {each.rule.name}"
        f"{_limit(found, each, wording)}{_before(each, wording)}"
        for letter, each in zip(letters, shown, strict=True)
    )
    unit = wording.unit(Quantity.LENGTH)
    return (
        Paragraph(f"Readings [{unit}] round the wheel, {FROM_OUTSIDE}; the first place once more "
                  "at the end; then one slow turn, eye on the pointer, high and low."),
        Listing(names),
        _turn_form(letters),
        Choice("Wheel turned past the gauge",
               ("gauge moved along the marks", "clockwise", "counterclockwise")),
    )


def _limit(found: Diagnosis, asked: Asked, wording: Wording) -> str:
    size = limit_size(found, asked.finding, wording)
    return f", limit {size}" if size else ""


def _before(asked: Asked, wording: Wording) -> str:
    if asked.entry is None:
        return ""
    return f", so far {value_in_words(asked.rule, asked.entry.value, wording)}"


def _turn_form(letters: str) -> Form:
    """Places in several columns beside each other, a field for each surface."""
    count = advised_count()
    places = [f"{360.0 * place / count:.0f} deg" for place in range(count)]
    places += ["360 deg", "high", "low"]
    across = max(1, FIELDS_ACROSS // len(letters) if len(letters) > 1 else FIELDS_ACROSS // 2)
    deep = -(-len(places) // across)
    across = -(-len(places) // deep)
    rows = []
    for row in range(deep):
        cells: list[str | None] = []
        for column in range(across):
            at = row + column * deep
            known = at < len(places)
            cells += [places[at] if known else "", *(None if known else "" for _ in letters)]
        rows.append(tuple(cells))
    return Form(("at", *letters) * across, tuple(rows))
