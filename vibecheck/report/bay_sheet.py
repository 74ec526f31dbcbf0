"""The bay's check list: checks in order with room to write, limits in force, what is known."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.reading_sheet import advised_count
from vibecheck.knowledge.model import Check, Remedy
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
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording
from vibecheck.session.advice import Asked, NextCheck
from vibecheck.session.cautions import step_cautions
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.judge import is_surface
from vibecheck.session.raised import RaisedBy

CHECKS = 4
CHECKS_LEFT = 2  # once the remedy is decided
LEADING = 3
QUESTIONS = 5
ROUND = "runout"  # the calculator that takes readings round the wheel
FIELDS_ACROSS = 8  # places to write beside each other in the table of a turn
LETTERS = "ABCDEFGH"


def bay_sheet(sheet: Sheet) -> tuple[Block, ...]:
    """The whole sheet."""
    found, wording = sheet.found, sheet.wording
    return (
        *sheet_head(sheet, "Check list for the bay"),
        *driving_blocks(found, wording),
        *former_blocks(sheet),
        *fact_blocks(found),
        *complaint_blocks(found, "Complaint", wording),
        *found_blocks(found, "Measured and seen so far", wording, drawn=False, decides=False),
        *done_blocks(found, wording),
        *outcome_blocks(found),
        *_work(found, wording),
        *signatures("Technician"),
        *foot(found),
    )


def _work(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What is to be done: verify what was repaired, or find the cause and repair it."""
    if made_good(found):
        return section("Work", (Paragraph(MADE_GOOD),))
    if repaired(found):
        return to_verify_blocks(found, wording)
    bay = found.in_the_bay
    checks = _in_room(bay_work(found), CHECKS_LEFT if bay.conclusion.decided else CHECKS)
    remedy = bay.remedies[0] if bay.conclusion.decided and bay.remedies else None
    rules: list[Check | Remedy] = [each.rule for each in checks]
    if remedy is not None:
        rules.append(bay.library.remedies[remedy.spot.id])
    made: list[Block] = [
        *section("Possible causes", standing_blocks(bay, LEADING)),
        *_cautions(found, rules),
    ]
    if not bay.next_checks:
        made.append(Paragraph("No check is left that would tell more."))
    turned = False  # one table of a turn is enough; more can be printed
    for number, check in enumerate(checks, 1):
        table = not turned and check.rule.calculator == ROUND
        made += _check(bay, number, check, wording, table=table)
        turned = turned or table
    made += _questions(bay, wording)
    if remedy is not None:
        rule = bay.library.remedies[remedy.spot.id]
        made += section(f"Remedy: {remedy_name(bay.library, remedy.spot)}", (
            Paragraph(f"{capital(remedy_cost(bay.library, remedy))}."),
            *_steps(rule.steps),
            Item(rule.verify, "Verify:"),
            Item(rule.comeback, "If it comes back:"),
        ))
    return tuple(made)


def _in_room(checks: Iterable[NextCheck], most: int) -> list[NextCheck]:
    """As many checks as two pages hold; a table of a turn takes the room of another check."""
    shown: list[NextCheck] = []
    for check in checks:
        room = most - any(each.rule.calculator == ROUND for each in (*shown, check))
        if shown and len(shown) >= room:
            break
        shown.append(check)
    return shown


def _cautions(found: Diagnosis, rules: Iterable[Check | Remedy]) -> tuple[Block, ...]:
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


def _questions(bay: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What is only asked, in short."""
    asked = [
        each for check in bay.next_checks
        if check.rule.kind is CheckKind.QUESTION and not check.option.urgent
        for each in check.asked
    ]
    return section("To ask as well, if it is not known", (
        block for each in asked[:QUESTIONS] for block in _field(bay, each, wording)))


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
