"""Parts that several sheets share: title, complaint, what was found, checks by hand, signatures."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.casebook.journal import ordered, retracted_ids
from vibecheck.knowledge.words import CheckKind, FindingKind
from vibecheck.report.blocks import Blank, Block, Heading, Item, Pair, Paragraph, Tone, section
from vibecheck.report.parts import answer_items, reading_blocks, rules_blocks, turn_drawings
from vibecheck.report.wording import Wording
from vibecheck.session.advice import NextCheck, once_each
from vibecheck.session.diagnosis import Answer, Diagnosis

_SAID = (FindingKind.COMPLAINT, FindingKind.HISTORY)
NOTHING_NOTED = "nothing has been noted yet"
NOT_AN_INSPECTION = (
    "A help to think and measure, no inspection: the vehicle maker's manual, local law and the "
    "licensed person who does the work go before every line of this sheet."
)


def sheet_head(found: Diagnosis, title: str) -> tuple[Block, ...]:
    """The sheet's name, the visit, and how new the last entry is."""
    case = found.case
    newest = ordered(case.entries)[-1:]
    when = f"last entry {newest[0].at[:16].replace('T', ' ')} UTC" if newest else "no entry yet"
    invented = "THIS CASE IS INVENTED. It is here to try the program with."
    return (
        Heading(title.upper(), 1),
        Pair("Visit:", case.title),
        Pair("Case:", f"{case.id}, {when}"),
        *((Paragraph(invented, Tone.STRONG),) if case.invented else ()),
    )


def case_lines(found: Diagnosis) -> tuple[str, ...]:
    """Small print: which case and which rules a sheet is from."""
    settings = found.library.settings
    text = (f"Case {found.case.id}; ranked with {settings.name} {settings.version} "
            f"({found.library.digest[:12]}).")
    return (text if found.same_rules else f"{text} The case was begun with other rules.",)


def notes(found: Diagnosis) -> tuple[str, ...]:
    """The notes in force, oldest first."""
    gone = retracted_ids(found.case)
    return tuple(
        entry.text for entry in ordered(found.case.entries)
        if entry.kind == "note" and entry.id not in gone
    )


def said(found: Diagnosis) -> tuple[Answer, ...]:
    """Answers about the complaint and its history."""
    return tuple(each for each in found.answers if _kind(found, each) in _SAID)


def seen(found: Diagnosis) -> tuple[Answer, ...]:
    """Answers from looking and trying, without measured values."""
    return tuple(
        each for each in found.answers
        if _kind(found, each) not in _SAID and each.judged is None
    )


def _kind(found: Diagnosis, answer: Answer) -> FindingKind:
    return found.library.findings[answer.finding].kind


def complaint_blocks(found: Diagnosis, title: str, wording: Wording) -> tuple[Block, ...]:
    """The complaint: the words as they were said, then the answers."""
    rows: tuple[Block, ...] = (
        *(Item(f'"{note}"', "") for note in notes(found)),
        *answer_items(found, (each.spot for each in said(found)), wording),
    )
    return section(title, rows or (Paragraph(NOTHING_NOTED),))


def found_blocks(found: Diagnosis, title: str, wording: Wording) -> tuple[Block, ...]:
    """What was measured, judged against its limit with the limit's source, and what was seen."""
    rows = (
        *reading_blocks(found, wording),
        *answer_items(found, (each.spot for each in seen(found)), wording),
        *turn_drawings(found, wording),
    )
    return section(title, rows or (Paragraph("nothing has been measured or looked at yet"),))


def bay_work(found: Diagnosis) -> tuple[NextCheck, ...]:
    """What hands do in the bay, the best first, each check once; safety questions with it."""
    bay = found.in_the_bay
    return once_each(bay, (
        option for option in bay.checks
        if option.urgent or option.rule.kind is not CheckKind.QUESTION
    ))


def signatures(*who: str) -> Iterable[Block]:
    """Lines to sign on."""
    return (Blank(f"{each}, date and signature") for each in who)


def foot(found: Diagnosis) -> tuple[Block, ...]:
    """What the sheet rests on and what it is not."""
    return (*rules_blocks(found), Paragraph(NOT_AN_INSPECTION, Tone.QUIET))
