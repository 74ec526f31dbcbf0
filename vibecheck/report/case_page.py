"""A case and its journal as a page; the rules are not needed for it."""

from __future__ import annotations

from collections.abc import Mapping

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case, Entry, Outcome
from vibecheck.errors import ReadingError
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.report.blocks import Block, Item, Paragraph, section
from vibecheck.report.lines import signed
from vibecheck.report.wording import Wording
from vibecheck.session.repair import as_found


def case_page(case: Case, wording: Wording | None = None) -> tuple[Block, ...]:
    """What is known of the visit, and every entry with its id and whether it counts."""
    mark = ", invented" if case.invented else ""
    marks = _marks(case)
    entries = [
        Item(f"{entry.id:<11} {entry.at[:16].replace('T', ' ')} {entry.by}: "
             f"{entry_text(entry, wording)}{marks.get(entry.id, '')}", " ")
        for entry in case.in_order
    ]
    ended = (Paragraph(outcome_text(case.outcome)),) if case.outcome else ()
    return (
        Paragraph(f"{case.title} ({case.place}{mark}, case {case.id})"),
        *((Paragraph(case.story),) if case.story else ()),
        *section("Vehicle", _pairs(case.facts)),
        *section("The vehicle's own limits", _pairs(case.limits)),
        *section("Tools at hand", (Paragraph(", ".join(case.tools)),) if case.tools else ()),
        *section("Entries", entries or [Paragraph("nothing has been said or measured yet")]),
        *section("How it ended", ended),
    )


def outcome_text(outcome: Outcome) -> str:
    """What was written down of the end of a visit."""
    parts = [signed(outcome.cause, outcome.corner)] if outcome.cause else []
    parts += [f"remedy {outcome.remedy}"] if outcome.remedy else []
    parts += [f"confirmed: {outcome.confirmed}"] if outcome.confirmed else []
    return "; ".join(parts)


def entry_text(entry: Entry, wording: Wording | None = None) -> str:
    """What an entry says; a reading as typed, and in the reader's units where they differ."""
    if entry.kind == "note":
        return f"note: {entry.text}"
    if entry.kind == "retraction":
        return f"takes back {entry.retracts}"
    if entry.kind == "step":
        return f"{signed(entry.check, entry.corner)}: {entry.value}"
    of_wheel = f"wheel {entry.wheel}: " if entry.wheel else ""
    said = f"{of_wheel}{signed(entry.finding, entry.corner)} = {entry.value}"
    other = _in_reader_units(entry.value, wording) if entry.kind == "reading" and wording else ""
    return f"{said} ({other})" if other else said


def _in_reader_units(typed: str, wording: Wording) -> str:
    """A value whose unit was typed, in the reader's; "" where it is in that already, or bare."""
    for quantity in (each for each in Quantity if each is not Quantity.NUMBER):
        try:
            found = parse(typed, quantity, None)
        except ReadingError:
            continue
        if found.unit and found.unit in typed and found.unit != wording.unit(quantity):
            return wording.size(found.value, quantity)
        return ""
    return ""


def _marks(case: Case) -> dict[str, str]:
    """What became of entries, by id: taken back, read or answered again since.

    What was found before a remedy stands as it was found.
    """
    before, gone = as_found(case), journal.retracted_ids(case)
    counting = {each.id for one in (before, case) for each in journal.active_entries(one)}
    counting |= {each.id for each in journal.active_steps(case)}
    repeats = {
        each.id for one in (before, case)
        for group in journal.readings_together(one).values() for each in group
    }
    marks = {}
    for entry in case.entries:
        if entry.id in gone:
            marks[entry.id] = " [taken back]"
        elif entry.id in repeats - counting:
            marks[entry.id] = " [read again since]"
        elif entry.kind in ("answer", "reading", "step") and entry.id not in counting:
            marks[entry.id] = " [answered anew since]"
    return marks


def _pairs(pairs: Mapping[str, str]) -> list[Paragraph]:
    return [Paragraph(f"{name} = {value}") for name, value in pairs.items()]
