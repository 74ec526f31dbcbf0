"""What an interview says: a question, why it is asked, where the visit stands, how it ends."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.errors import InputError
from vibecheck.knowledge.words import Corner
from vibecheck.report.blocks import Block, Heading, Item, Pair, Paragraph, Tone, section
from vibecheck.report.lines import capital, minutes, percent, time_range
from vibecheck.report.names import cause_name, chance_word, check_name, ranked_name
from vibecheck.report.parts import (
    corner_list,
    driving_blocks,
    procedure_blocks,
    remedy_item,
    time_text,
)
from vibecheck.report.sentences import (
    ENDED,
    HEADLINES,
    IF_IT_GROWS,
    OPEN_REQUEST,
    bare_unit,
    check_cost,
    check_decides,
    check_reason,
    check_value,
    ending_text,
    limit_text,
    taken_text,
    value_in_words,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import ConclusionKind
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import Ending, EndingKind
from vibecheck.session.interview import Ended, Question

LEADING = 3
MOVED_LEAST, MOVED_MOST = 0.02, 4  # of a chance that is told; how many faults are
STANDS_OUT = 0.05
UP, DOWN = "↑", "↓"


TRIAL_ENDS = "a quick trial is the next step"


def step_text(question: Question) -> str:
    """Which question this is."""
    most = f" of at most {question.most}" if question.most else ""
    return f"Question {question.number}{most}"


def check_text(found: Diagnosis, question: Question) -> str:
    """The check in hand and what it takes."""
    check = question.check
    mark = "; safety comes first" if check.option.urgent else ""
    return f"{check_name(found.library, check.spot)} ({check_cost(found.library, check)}{mark})"


def question_blocks(
    found: Diagnosis, question: Question, wording: Wording
) -> tuple[Block, ...]:
    """The question at its corner, its answer so far, and what would decide a close reading."""
    asked = question.field
    made: list[Block] = [Paragraph(asked.question, Tone.STRONG)]
    if asked.corner:
        made.append(Paragraph(f"At: {asked.corner.spoken}"))
    if asked.rule.help:
        made.append(Paragraph(asked.rule.help, Tone.QUIET))
    if asked.entry is not None:
        so_far = value_in_words(asked.rule, asked.entry.value, wording)
        made.append(Paragraph(f"Answer so far: {so_far}"))
    if question.again:
        decides = check_decides(found.library, question.check, wording)
        made.append(Paragraph(f"Too close to call. {decides}"))
    return tuple(made)


def question_page(
    found: Diagnosis, question: Question, wording: Wording, *, procedure: bool
) -> tuple[Block, ...]:
    """A question with its numbered answers, or the unit and the limit of the value asked for."""
    earlier = f"Earlier answer ({step_text(question).lower()}); Enter leaves it as it is"
    head = earlier if question.earlier else step_text(question)
    asked = question.field
    states = asked.rule.states.values()
    made: list[Block] = [Heading(f"{head}: {check_text(found, question)}", 3)]
    if procedure:
        made += procedure_blocks(found, question.check, "Step ")
    made += question_blocks(found, question, wording)
    if asked.quantity is None:
        return (*made, *(Item(label, f"  {n}.") for n, label in enumerate(states, 1)))
    unit = bare_unit(asked, wording)
    made.append(Item(f"A value in {unit}" if unit else "A number", ""))
    made.append(Item(f"or in words: {'; '.join(states)}", ""))
    limit = limit_text(found, asked.finding, wording)
    return (*made, Item(f"limit: {limit}", "")) if limit else tuple(made)


def procedure_page(found: Diagnosis, question: Question) -> tuple[Block, ...]:
    """Steps, tools and cautions of the check in hand, and where else it could be done."""
    also = corner_list(question.check)
    more = Paragraph(f"Worth nearly the same at: {also} (o takes another corner)")
    return (*procedure_blocks(found, question.check), *((more,) if also else ()))


def taken_items(before: Diagnosis, found: Diagnosis) -> tuple[Item, ...]:
    """The readings that the last answer brought, each as it was read; a repeat with what it says.
    """
    known = {entry.id for entry in before.case.entries}
    return tuple(
        Item(f"{found.library.findings[entry.finding].name}: {entry.value}"
             f"{taken_text(found, entry)}")
        for entry in found.case.entries if entry.kind == "reading" and entry.id not in known
    )


def moved_items(before: Diagnosis, found: Diagnosis) -> tuple[Item, ...]:
    """How the last answer moved the faults, the largest move first; none that is too small."""
    was = {each.cause: each.probability for each in before.faults}
    now = {each.cause: each.probability for each in found.faults}
    moves = sorted(((now.get(cause, 0.0) - was.get(cause, 0.0), cause)
                    for cause in was.keys() | now.keys()),
                   key=lambda each: (-abs(each[0]), each[1]))
    return tuple(
        Item(f"{found.library.causes[cause].name} {percent(was.get(cause, 0.0)).strip()} to "
             f"{percent(now.get(cause, 0.0)).strip()}", UP if change > 0.0 else DOWN)
        for change, cause in moves[:MOVED_MOST] if abs(change) >= MOVED_LEAST
    )


def why_asked_page(
    found: Diagnosis, question: Question, wording: Wording
) -> tuple[Block, ...]:
    """Why a question is asked, and what it is worth."""
    check = question.check
    made: list[Block] = [
        Paragraph(f"{capital(check_reason(found.library, check))}."),
        Paragraph(f"{capital(check_value(check.option))}."),
        Paragraph(f"Takes {check_cost(found.library, check)}."),
    ]
    if check.option.near_tie:
        made.append(Paragraph("Other checks are worth nearly as much."))
    if check.undecided:
        made.append(Paragraph(check_decides(found.library, check, wording)))
    return tuple(made)


def leading_text(found: Diagnosis) -> str:
    """The leading causes, or that none stands out."""
    named = [
        f"{percent(cause.probability).strip()} {ranked_name(found.library, cause)} "
        f"({chance_word(cause.probability)})"
        for cause in found.faults[:LEADING]
        if cause.probability >= STANDS_OUT
    ]
    return f"Most likely: {'; '.join(named)}" if named else "No cause stands out yet."


def standing_page(found: Diagnosis) -> tuple[Block, ...]:
    """The leading causes, and the time."""
    return (Paragraph(leading_text(found)), Paragraph(time_text(found)))


def ending_page(
    found: Diagnosis, end: Ending, ended: Ended, wording: Wording
) -> tuple[Block, ...]:
    """How the interview ended, what to do, and what exactly to ask for."""
    return (
        Heading(HEADLINES[end.kind]),
        Paragraph(f"({ended_word(found, ended)})", Tone.QUIET),
        *outcome_blocks(found),
        Paragraph(ending_text(found, end, wording)),
        *ending_blocks(found, end),
        *driving_blocks(found, wording),
    )


def ending_blocks(found: Diagnosis, end: Ending) -> tuple[Block, ...]:
    """Time, requests and the remedy of an ending."""
    made: list[Block] = []
    if end.bay_minutes is not None:
        time = time_range(end.bay_minutes)
        made.append(Paragraph(f"Time in the bay to find the cause: {time}"))
    if end.requests is not None:
        wanted = end.requests or (OPEN_REQUEST,)
        made += section("Ask for exactly this", (Item(each, "[ ]") for each in wanted), 3)
    if end.remedy is not None:
        made.append(remedy_item(found, "*", end.remedy, steps=end.remedy.here))
    if end.kind is EndingKind.WATCH:
        made.append(Paragraph(IF_IT_GROWS))
    return tuple(made)


def outcome_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """What was written down of the end of the visit."""
    return section("How it ended", (Pair(label, text) for label, text in outcome_pairs(found)), 3)


def outcome_pairs(found: Diagnosis) -> Iterator[tuple[str, str]]:
    """What was written down, as label and text; nothing where the visit is not finished."""
    outcome = found.case.outcome
    if outcome is None:
        return
    if outcome.cause:
        yield "Cause", _ended_cause(found, outcome.cause, outcome.corner)
    if outcome.remedy:
        remedy = found.library.remedies.get(outcome.remedy)
        yield "Remedy", remedy.name if remedy else outcome.remedy
    if outcome.confirmed:
        yield "Confirmed by", outcome.confirmed


def _ended_cause(found: Diagnosis, cause: str, corner: str | None) -> str:
    try:
        spot = found.cause_spot(cause, corner)
    except InputError:  # rules of today know it no more, or the car cannot have it
        return f"{cause}, {Corner(corner).spoken}" if corner else cause
    return found.library.causes[cause].name if corner is None else cause_name(found.library, spot)


def minutes_text(found: Diagnosis) -> str:
    """Minutes so far and left, in short."""
    high = found.minutes_expected[1]
    left = time_range(found.minutes_expected) if high > 0.0 else "none"
    return f"{minutes(found.case_evidence.minutes)} so far, left: {left}"


def ended_word(found: Diagnosis, ended: Ended) -> str:
    """Why there is no further question; a trial is not "enough is known"."""
    trial = found.conclusion.kind is ConclusionKind.TRIAL
    return TRIAL_ENDS if trial and ended is Ended.DECIDED else ENDED[ended]
