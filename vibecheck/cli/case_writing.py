"""Commands that write a case: new, answer, retract, note, facts, finish."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import (
    PLACES,
    Commands,
    Parser,
    UsageError,
    add_by,
    add_case,
    add_json,
    add_rules,
    command,
)
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import safe

if TYPE_CHECKING:
    from vibecheck.session.open_case import OpenCase

LIMIT = "limit."
CUSTOMER_LEAD = "customer."
LONGEST_NAME = 60


def add(commands: Commands) -> None:
    """The commands of this group."""
    new = command(
        commands, "new", run_new, "Begin a case file",
        "  vibecheck new visit.yaml --place bay --title 'red hatchback' \\\n"
        "      drive=front tire_size=205/55R16",
    )
    add_case(new)
    new.add_argument("facts", metavar="FACT=VALUE", nargs="*", help="a fact of the vehicle")
    new.add_argument("--place", choices=PLACES, default="bay", help="where the visit is")
    new.add_argument("--title", default="", help="a name for the visit")
    new.add_argument("--follows", metavar="CASE", type=Path,
                     help="the visit that this one comes back from; its car and customer are kept")
    _add_says(new, "--says")
    hear = command(
        commands, "hear", run_hear, "Take a customer's words: keep them, and what they mean",
        "  vibecheck hear visit.yaml 'shimmies at 70 since the winter tires, gone above 80'",
    )
    add_case(hear)
    hear.add_argument("words", metavar="WORDS", help="what was said")
    _add_says(hear, None)
    add_json(hear)
    answer = command(
        commands, "answer", run_answer, "Say what was found; all of it is saved, or nothing",
        "  vibecheck answer visit.yaml vibration=strong bead_radial_inboard@LF='0.49 mm +/- 0.02'",
    )
    add_case(answer)
    answer.add_argument("answers", metavar="FINDING[@CORNER]=VALUE", nargs="+")
    answer.add_argument("--check", default="", metavar="CHECK", help="the check that gave it")
    retract = command(commands, "retract", run_retract, "Take an entry back; nothing is deleted",
                      "  vibecheck retract visit.yaml vibration")
    add_case(retract)
    retract.add_argument("entry", metavar="ENTRY",
                         help="an entry's id from 'show', or FINDING[@CORNER]")
    note = command(commands, "note", run_note, "Add a note in free words")
    add_case(note)
    note.add_argument("text", metavar="TEXT")
    facts = command(
        commands, "facts", run_facts, "Set facts of the vehicle, its own limits, its customer",
        "  vibecheck facts visit.yaml drive=rear limit.wheel_bead_radial='0.3 mm'\n"
        "  vibecheck facts visit.yaml customer.plate='XY 482' customer.phone='555 0100'",
    )
    add_case(facts)
    facts.add_argument("facts", metavar="[limit.|customer.]NAME=VALUE", nargs="+")
    ended = command(
        commands, "finish", run_finish, "Write down how the visit ended",
        "  vibecheck finish visit.yaml bent_wheel@LF --remedy replace_wheel \\\n"
        "      --confirmed '0.12 mm at both bead seats, calm at 110 km/h'",
    )
    add_case(ended)
    ended.add_argument("cause", metavar="CAUSE[@CORNER]", help="what it turned out to be")
    ended.add_argument("--remedy", default="", metavar="ID", help="what was done")
    ended.add_argument("--confirmed", default="", metavar="TEXT", help="what confirmed it")
    repair = command(
        commands, "repair", run_repair, "Say that a remedy was done; then measure and drive again",
        "  vibecheck repair visit.yaml replace_wheel@LF --minutes 40\n"
        "  vibecheck answer visit.yaml bead_radial_inboard@LF='0.12 mm' vibration=none",
    )
    add_case(repair)
    repair.add_argument("remedy", metavar="REMEDY[@CORNER]", help="what was done")
    repair.add_argument("--minutes", default="", metavar="N", help="how long it took")
    repair.add_argument("--note", default="", metavar="TEXT", help="by whom, with which parts")
    for parser in (answer, retract, note, repair):
        add_by(parser)
    answer.add_argument("--place", choices=PLACES, help="where (else the case's place)")
    for parser in (new, answer, retract, note, facts, ended, repair, hear):
        add_rules(parser)


def run_new(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Begin a case and print where it is."""
    from vibecheck.casebook import store
    from vibecheck.casebook.case import LONGEST_WORD
    from vibecheck.session.open_case import OpenCase

    facts, limits, customer = pairs(chosen.facts)
    former = store.load(chosen.follows).case if chosen.follows else None
    if former is not None:
        facts, limits = {**former.facts, **facts}, {**former.limits, **limits}
    title = chosen.title or (f"{former.title}, came back"[:LONGEST_WORD] if former else
                             chosen.case.stem)
    OpenCase.new(chosen.case, place=chosen.place, title=title, facts=facts, limits=limits,
                 rules=chosen.rules, follows=former, customer=customer)
    terminal.lines([safe(chosen.case)])
    if chosen.says:
        opened = OpenCase.open(chosen.case, chosen.rules)
        _hear(opened, chosen.says, chosen, terminal)
    terminal.talk(f"begun; 'vibecheck next {chosen.case}' says what to ask first")
    return ExitCode.FINE


def _add_says(parser: Parser, option: str | None) -> None:
    if option:
        parser.add_argument(option, default="", metavar="WORDS",
                            help="what the customer says; what it means is taken as answers")
    parser.add_argument("--without", action="append", default=[], metavar="FINDING",
                        help="leave this meaning out; may be given again")
    parser.add_argument("--bare-speed", choices=("mph", "km/h"), default="mph",
                        help="how a speed without a unit is read (mph)")


def run_hear(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Keep what was said and what it means."""
    from vibecheck.session.open_case import OpenCase

    _hear(OpenCase.open(chosen.case, chosen.rules), chosen.words, chosen, terminal)
    return ExitCode.FINE


def _hear(
    opened: OpenCase, words: str, chosen: argparse.Namespace, terminal: Terminal
) -> None:
    """Take words into a case and print what was understood."""
    from vibecheck.report.opening_page import understood_page
    from vibecheck.report.text import text_lines
    from vibecheck.session.opening import take, understand

    said = understand(opened.library, words, chosen.bare_speed)
    found = {each.offer.finding for each in said.meanings}
    for name in chosen.without:
        if name not in found:
            raise UsageError(f"'{name[:LONGEST_NAME]}' was not understood from these words", "",
                             f"understood: {', '.join(sorted(found)) or 'nothing'}")  # fmt: skip
    left_out = [n for n, each in enumerate(said.meanings) if each.offer.finding in chosen.without]
    entries = take(opened, said, left_out)
    if getattr(chosen, "json", False):
        import msgspec

        terminal.json({
            "text": said.text, "kind": said.kind,
            "meanings": [
                {**msgspec.to_builtins(each.offer), "words": each.words,
                 "taken": each.ticked and n not in left_out}
                for n, each in enumerate(said.meanings)
            ],
            "entries": [entry.id for entry in entries],
        })
        return
    terminal.lines(text_lines(understood_page(opened.library, said), terminal.width))
    terminal.talk(leading(opened))


def run_answer(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Save answers, print their entries as they were read, and say who leads now."""
    from vibecheck.report.case_page import entry_text
    from vibecheck.report.sentences import taken_text
    from vibecheck.session.answers import parse_assignment
    from vibecheck.session.open_case import OpenCase
    from vibecheck.session.typed import refuse_doubtful

    open_case = OpenCase.open(chosen.case, chosen.rules)
    typed = [parse_assignment(each) for each in chosen.answers]
    refuse_doubtful(open_case.diagnosis, typed)
    entries = open_case.answer(typed, by=chosen.by, place=chosen.place, check=chosen.check)
    found = open_case.diagnosis
    terminal.lines(
        safe(f"{entry.id} {entry_text(entry)}{taken_text(found, entry)}") for entry in entries)
    terminal.talk(leading(open_case))
    return ExitCode.FINE


def run_retract(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Take an entry back, and say who leads now."""
    from vibecheck.report.case_page import entry_text
    from vibecheck.session.open_case import OpenCase

    open_case = OpenCase.open(chosen.case, chosen.rules)
    entry = open_case.retract(entry_named(open_case, chosen.entry), by=chosen.by)
    terminal.lines([safe(f"{entry.id} {entry_text(entry)}")])
    terminal.talk(leading(open_case))
    return ExitCode.FINE


def run_note(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Save a note."""
    from vibecheck.session.open_case import OpenCase

    if not chosen.text.strip():
        raise UsageError("the note is empty", "vibecheck note", "write a text")
    open_case = OpenCase.open(chosen.case, chosen.rules)
    terminal.lines([open_case.note(chosen.text, by=chosen.by).id])
    return ExitCode.FINE


def run_repair(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Save a remedy, and say what is to be looked at again."""
    from vibecheck.metrology.units.choice import METRIC
    from vibecheck.report.parts import repair_blocks
    from vibecheck.report.text import text_lines
    from vibecheck.report.wording import Wording
    from vibecheck.session.open_case import OpenCase

    open_case = OpenCase.open(chosen.case, chosen.rules)
    remedy, _, corner = (part.strip() for part in chosen.remedy.partition("@"))
    entry = open_case.repair(
        remedy, corner or None, minutes=chosen.minutes, text=chosen.note, by=chosen.by
    )
    terminal.lines([safe(f"{entry.id} {chosen.remedy}")])
    blocks = repair_blocks(open_case.diagnosis, Wording(METRIC))
    terminal.lines(text_lines(blocks, terminal.width))
    return ExitCode.FINE


def run_facts(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Set facts and limits: all of them, or none."""
    from vibecheck.session.open_case import OpenCase

    facts, limits, customer = pairs(chosen.facts, empty=True)
    open_case = OpenCase.open(chosen.case, chosen.rules)
    open_case.set_facts(facts, limits=limits, customer=customer)
    terminal.talk(leading(open_case))
    return ExitCode.FINE


def run_finish(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Save how the visit ended, and print it."""
    from vibecheck.report.interview_page import outcome_pairs
    from vibecheck.session.open_case import OpenCase

    open_case = OpenCase.open(chosen.case, chosen.rules)
    cause, at, corner = (part.strip() for part in chosen.cause.partition("@"))
    if not cause or (at and not corner):
        raise UsageError(f"'{chosen.cause[:LONGEST_NAME]}' is not a cause", "vibecheck finish",
                         "write CAUSE or CAUSE@CORNER, as bent_wheel@LF")
    open_case.finish(cause=cause, corner=corner, remedy=chosen.remedy.strip(),
                confirmed=chosen.confirmed)
    ended = outcome_pairs(open_case.diagnosis)
    terminal.lines(safe(f"{label}: {text}") for label, text in ended)
    return ExitCode.FINE


def pairs(
    typed: Sequence[str], empty: bool = False
) -> tuple[dict[str, str], dict[str, str], dict[str, str]]:
    """Facts, limits and customer from NAME=VALUE, limit.NAME=VALUE and customer.NAME=VALUE.

    `empty` allows to unset one.

    Raises
    ------
    UsageError : no such pair, or one name twice.
    """
    facts: dict[str, str] = {}
    limits: dict[str, str] = {}
    customer: dict[str, str] = {}
    for text in typed:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not (name and equals and (value or empty)):
            raise UsageError(
                f"'{text[:LONGEST_NAME]}' is not a fact", "", "write NAME=VALUE, as drive=front"
            )
        kept, key = facts, name
        for lead, others in ((LIMIT, limits), (CUSTOMER_LEAD, customer)):
            if name.startswith(lead):
                kept, key = others, name[len(lead):]
        if key in kept:
            raise UsageError(f"'{name[:LONGEST_NAME]}' is given twice", "", "give it once")
        kept[key] = value
    return facts, limits, customer


def entry_named(open_case: OpenCase, typed: str) -> str:
    """An entry's id, also where a finding was typed: then its answer in force."""
    from vibecheck.casebook import journal

    case = open_case.case
    finding, _, corner = typed.partition("@")
    if journal.find(case, typed) is None:
        for entry in journal.active_entries(case):
            if (entry.finding, entry.corner or "") == (finding.strip(), corner.strip().upper()):
                return entry.id
    return typed


def leading(open_case: OpenCase) -> str:
    """What was done, the word on driving and the leading cause, in one line."""
    from vibecheck.report.sentences import leading_line

    return f"saved; {leading_line(open_case.diagnosis)}"
