"""Parts that several sheets share: title, complaint, findings, repair, earlier visit, lines."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from vibecheck.casebook.case import HEARD, Case
from vibecheck.casebook.journal import retracted_ids
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import CheckKind, Corner, Scale
from vibecheck.metrology.decision import Zone
from vibecheck.report import blocks
from vibecheck.report.after_repair import SAID, before_and_after
from vibecheck.report.blocks import (
    Blank,
    Block,
    Form,
    Heading,
    Item,
    Listing,
    Pair,
    Paragraph,
    Table,
    Tone,
    section,
)
from vibecheck.report.lines import capital, local_date
from vibecheck.report.names import cause_name, done_name, fact_text, finding_name, remedy_name
from vibecheck.report.parts import turn_drawings
from vibecheck.report.sentences import (
    bare_unit_of,
    bend_place_text,
    limit_of,
    limit_origin,
    limit_size,
    limit_text,
    repair_text,
    shown_answer,
    unit_of,
    value_text,
    what_would_decide,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import NextCheck, once_each
from vibecheck.session.answers import UNSURE
from vibecheck.session.diagnosis import Answer, Diagnosis
from vibecheck.session.limits import Limit, LimitOrigin
from vibecheck.session.repair import Change

NOTHING_NOTED = "nothing has been noted yet"
NOTHING_MEASURED = "nothing has been measured or looked at yet"
INVENTED = "THIS CASE IS INVENTED. It is here to try the program with."
NOT_AN_INSPECTION = (
    "A help to think and measure, no inspection: the vehicle maker's manual, local law and the "
    "licensed person who does the work go before every line of this sheet."
)
MARKS = {Zone.WITHIN: "ok", Zone.BEYOND: "OUT", Zone.UNDECIDED: "?", None: ""}
LEGEND = (
    "ok: proven within the limit. OUT: proven beyond it. ?: too close to call, the limit lies "
    "inside the uncertainty (+/-)."
)
MADE_GOOD = "The repair is verified; nothing is left to check for this complaint."
FORMER_GONE = "This visit comes back from an earlier one, whose file is not beside this one."


class Sheet(Struct, frozen=True):
    """What a sheet is made from: the diagnosis, the reader's units, the visit it comes back from.
    """

    found: Diagnosis
    wording: Wording
    former: Case | None = None


def sheet_head(sheet: Sheet, title: str) -> tuple[Block, ...]:
    """The sheet's name, the car, and the day of the last entry."""
    case = sheet.found.case
    newest = case.in_order[-1:]
    return (
        Heading(title.upper(), 1),
        *((Paragraph(INVENTED, Tone.STRONG),) if case.invented else ()),
        Pair("Car", case.title),
        Pair("Date", local_date(newest[0].at) if newest else "no entry yet"),
    )


CUSTOMER_LABELS = {"name": "Customer", "phone": "Phone", "plate": "License plate",
                   "odometer": "Odometer", "vin": "VIN"}


def customer_blanks(found: Diagnosis) -> tuple[Blank, ...]:
    """Whose car it is: what is known, and lines for the rest."""
    known = found.case.customer
    return tuple(
        Blank(label, "", getattr(known, field) if known else "")
        for field, label in CUSTOMER_LABELS.items()
    )


def case_lines(found: Diagnosis) -> tuple[str, ...]:
    """Small print: which case and which rules a sheet is from."""
    settings = found.library.settings
    text = (f"Case {found.case.id}; ranked with {settings.name} {settings.version} "
            f"({found.library.digest[:12]}).")
    return (text if found.same_rules else f"{text} The case was begun with other rules.",)


def note_blocks(found: Diagnosis, *, heard_only: bool = False) -> tuple[Item, ...]:
    """The notes in force, oldest first: the customer's own words in quotes, others as notes."""
    gone = retracted_ids(found.case)
    made = []
    for entry in found.case.in_order:
        if entry.kind != "note" or entry.id in gone:
            continue
        heard = entry.value == HEARD or entry.by == "owner"
        if heard or not heard_only:
            made.append(Item(f'"{entry.text}"' if heard else f"Note: {entry.text}", ""))
    return tuple(made)


def said(found: Diagnosis) -> tuple[Answer, ...]:
    """Answers about the complaint and its history."""
    return tuple(each for each in found.answers if is_said(found, each))


def seen(found: Diagnosis) -> tuple[Answer, ...]:
    """Answers from looking and trying, without measured values."""
    return tuple(
        each for each in found.answers if not is_said(found, each) and each.judged is None
    )


def measured(found: Diagnosis) -> tuple[Answer, ...]:
    """Measured values, without those that were only said."""
    return tuple(each for each in found.readings if not is_said(found, each))


def is_said(found: Diagnosis, answer: Answer) -> bool:
    """Whether an answer is what somebody told."""
    return found.library.findings[answer.finding].kind in SAID


def told_texts(found: Diagnosis, answers: Iterable[Answer], wording: Wording) -> tuple[str, ...]:
    """Answers in words, values in the reader's units alone."""
    return tuple(
        f"{finding_name(found.library, each.spot)}: "
        f"{value_text(each.judged, wording) if each.judged else shown_answer(found, each, wording)}"
        for each in answers
    )


def complaint_blocks(
    found: Diagnosis, title: str, wording: Wording, *, heard_only: bool = False
) -> tuple[Block, ...]:
    """The complaint: the words as they were said, then the answers.

    heard_only : without notes that are not the customer's own words.
    """
    rows: tuple[Block, ...] = (
        *note_blocks(found, heard_only=heard_only),
        *_answers(found, said(found), wording),
    )
    return section(title, rows or (Paragraph(NOTHING_NOTED),))


def _answers(found: Diagnosis, answers: Iterable[Answer], wording: Wording) -> tuple[Block, ...]:
    """Answers in a list; those that are as they should be run on under it."""
    normal: list[Answer] = []
    others: list[Answer] = []
    for each in answers:
        (normal if _as_it_should_be(found, each) else others).append(each)
    return (
        *((Listing(told_texts(found, others, wording)),) if others else ()),
        *((Paragraph(f"{blocks.run_on(told_texts(found, normal, wording))}.", Tone.QUIET),)
          if normal else ()),
    )


def _as_it_should_be(found: Diagnosis, answer: Answer) -> bool:
    """Whether an answer is the normal state of a graded finding, or "not sure"."""
    rule = found.library.findings[answer.finding]
    graded = rule.scale is Scale.GRADED and answer.value == next(iter(rule.states))
    return answer.value == UNSURE or graded


def fact_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """What is known of the vehicle, in words."""
    facts = tuple(fact_text(found.library, name, value) for name, value in found.facts.items())
    return section("Vehicle", (Paragraph(
        f"{blocks.run_on(facts)}." if facts else "nothing is noted"),))


def found_blocks(
    found: Diagnosis, title: str, wording: Wording, *, drawn: bool = True, decides: bool = True
) -> tuple[Block, ...]:
    """What was measured, against its limit with the limit's source, and what was seen.

    drawn : with pictures of turns. decides : with what would decide what is open.
    """
    readings, looked = measured(found), seen(found)
    if not readings and not looked:
        return section(title, (Paragraph(NOTHING_MEASURED),))
    return section(title, (
        *((readings_table(readings, found, wording),
           *_explained(found, readings, wording, decides=decides),
           *limit_sources(found, readings)) if readings else ()),
        *_answers(found, looked, wording),
        *(turn_drawings(found, wording) if drawn else ()),
    ))


def readings_table(
    readings: Iterable[Answer], found: Diagnosis, wording: Wording
) -> Table:
    """What was measured, a row for each surface and a column for each corner."""
    by_finding: dict[str, dict[Corner | None, Answer]] = {}
    for each in readings:
        by_finding.setdefault(each.finding, {})[each.corner] = each
    corners = [corner for corner in (None, *Corner)
               if any(corner in row for row in by_finding.values())]
    heads = (corner.value if corner else "car" for corner in corners)
    rows = []
    for finding, row in by_finding.items():
        cells = (_cell(row[corner], wording) if corner in row else "" for corner in corners)
        name = found.library.findings[finding].name
        unit = unit_of(found.library, finding, wording)
        rows.append((f"{name} [{unit}]" if unit else name,
                     limit_size(found, finding, wording).removesuffix(unit).strip() or "-", *cells))
    return Table(("Measured", "Limit", *heads), tuple(rows))


def _cell(answer: Answer, wording: Wording) -> str:
    judged = answer.judged
    if judged is None:
        return ""
    value = value_text(judged, wording).removesuffix(wording.unit(judged.quantity)).strip()
    return f"{value} {MARKS[answer.zone]}".rstrip()


def _explained(
    found: Diagnosis, readings: Iterable[Answer], wording: Wording, *, decides: bool
) -> tuple[Block, ...]:
    """What the marks mean, where a surface is bent, and what decides what is open."""
    made: list[Block] = [Paragraph(LEGEND, Tone.QUIET)]
    for each in readings:
        judged = each.judged
        if judged is None:
            continue
        at = bend_place_text(judged, wording)
        open_one = decides and (judged.zone is Zone.UNDECIDED or judged.disagree)
        how = f"to decide: {what_would_decide(judged, wording)}" if open_one else ""
        said = "; ".join(filter(None, (at, how)))
        if said:
            made.append(Paragraph(f"{finding_name(found.library, each.spot)}: {said}"))
    return tuple(made)


def limit_sources(found: Diagnosis, answers: Iterable[Answer]) -> tuple[Block, ...]:
    """Where the limits of readings come from, each source once."""
    return _sources(found, (
        each.judged.limit for each in answers if each.judged and each.judged.limit))


def limits_of(found: Diagnosis, findings: Iterable[str]) -> tuple[Block, ...]:
    """Where the limits of findings come from, each source once."""
    limits = (limit_of(found, finding) for finding in findings)
    return _sources(found, (limit for limit in limits if limit is not None))


def _sources(found: Diagnosis, limits: Iterable[Limit]) -> tuple[Block, ...]:
    """Where limits come from, those of one kind and first source once."""
    origins: dict[tuple[LimitOrigin, str], str] = {}
    for limit in limits:
        key = (limit.origin, limit.sources[0] if limit.sources else "")
        origins.setdefault(key, limit_origin(found.library, limit))
    said = "; ".join(dict.fromkeys(origins.values()))
    return (Paragraph(f"Limits from: {said}", Tone.QUIET),) if said else ()


def bay_work(found: Diagnosis) -> tuple[NextCheck, ...]:
    """What hands do in the bay, the best first, each check once; safety questions with it."""
    bay = found.in_the_bay
    return once_each(bay, (
        option for option in bay.checks
        if option.urgent or option.rule.kind is not CheckKind.QUESTION
    ))


# What was done


def made_good(found: Diagnosis) -> bool:
    """Whether a remedy was done and is verified."""
    return found.repair is not None and found.repair.change is Change.FIXED


def repaired(found: Diagnosis) -> bool:
    """Whether a remedy was done that changed the work: what counts now is to verify it."""
    return found.repair is not None and found.repair.change not in (Change.UNCHANGED, Change.WORSE)


def done_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The remedies done, the same readings and drives before and after, and what that shows."""
    done = found.repair
    if done is None:
        return ()
    rows: list[Block] = []
    for entry in done.remedies:
        spent = f", {entry.minutes} min" if entry.minutes else ""
        name = capital(done_name(found.library, entry))
        rows.append(Item(f"{name}{spent}, {local_date(entry.at)}"))
    return section("Done, and what it changed", (
        *rows, *before_and_after(found, wording, drawn=False),
        Paragraph(repair_text(found, done), Tone.STRONG)))


def to_verify_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """Fields for what is to be read or driven again after a remedy."""
    wanted = found.repair.wanted if found.repair else ()
    rows = tuple(
        (finding_name(found.library, spot), None, bare_unit_of(found.library, spot.id, wording),
         limit_text(found, spot.id, wording) or "as it should be")
        for spot in wanted
    )
    if not rows:
        return ()
    return section("To verify the repair, read and drive the same again", (
        Form(("What", "Now", "Unit", "Limit"), rows),))


def outcome_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """How the visit ended, as it was written down."""
    ended, library = found.case.outcome, found.library
    if ended is None:
        return ()
    rows: list[Block] = []
    if ended.cause in library.causes:
        spot = Spot(ended.cause, Corner(ended.corner) if ended.corner else None)
        rows.append(Pair("It was", cause_name(library, spot)))
    if ended.remedy in library.remedies:
        rows.append(Pair("Done", capital(library.remedies[ended.remedy].name)))
    if ended.confirmed:
        rows.append(Pair("Confirmed by", ended.confirmed))
    return section("How it ended", rows)


def former_blocks(sheet: Sheet) -> tuple[Block, ...]:
    """The visit that this one comes back from: its day, what it was and what was done."""
    if not sheet.found.case.follows:
        return ()
    former, library = sheet.former, sheet.found.library
    if former is None:
        return section("Came back", (Paragraph(FORMER_GONE),))
    newest = former.in_order[-1:]
    rows: list[Block] = [Pair("Earlier visit", " ".join(filter(None, (
        local_date(newest[0].at) if newest else "", former.title))))]
    ended = former.outcome
    if ended is not None and ended.cause in library.causes:
        spot = Spot(ended.cause, Corner(ended.corner) if ended.corner else None)
        rows.append(Pair("Found then", cause_name(library, spot)))
    done = former_remedies(sheet)
    rows.append(Pair("Done then", "; ".join(done) if done else "nothing that is noted"))
    if ended is not None and ended.confirmed:
        rows.append(Pair("Confirmed by", ended.confirmed))
    return section("Came back", rows)


def former_remedies(sheet: Sheet) -> list[str]:
    """The remedies of the earlier visit, by name."""
    former, known = sheet.former, sheet.found.library.remedies
    if former is None:
        return []
    gone = retracted_ids(former)
    spots = [
        Spot(entry.remedy, Corner(entry.corner) if entry.corner else None)
        for entry in former.in_order
        if entry.kind == "remedy" and entry.id not in gone and entry.remedy in known
    ]
    ended = former.outcome.remedy if former.outcome else ""
    if ended in known and ended not in {spot.id for spot in spots}:
        spots.append(Spot(ended, None))
    return [capital(remedy_name(sheet.found.library, spot)) for spot in dict.fromkeys(spots)]


def signatures(*who: str) -> Iterable[Block]:
    """Lines to sign on."""
    return (Blank(f"{each}, date and signature") for each in who)


def foot(found: Diagnosis) -> tuple[Block, ...]:
    """What the sheet rests on and what it is not."""
    return (Paragraph(NOT_AN_INSPECTION, Tone.QUIET),
            *(Paragraph(line, Tone.QUIET) for line in case_lines(found)))
