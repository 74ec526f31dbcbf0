"""What every sheet is written from, and the parts that several sheets share.

All texts (names, answers, notes, rules) are untrusted: every line is made by `report.lines`, so
control characters stand spelled out and long texts are wrapped. A sheet is plain text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from msgspec import structs

from vibecheck.casebook.journal import ordered, retracted_ids
from vibecheck.knowledge.words import CheckKind, FindingKind
from vibecheck.reasoning.nextcheck import NEAR_TIE, Option
from vibecheck.report.lines import capital, heading, safe, wrapped
from vibecheck.session.advice import next_check
from vibecheck.session.desk import Desk
from vibecheck.session.views import AnswerShown, CautionShown, DriveWord, NextCheck, SessionView
from vibecheck.session.workbench import Workbench

BLANK = "_"
LEVELS = {"stop": "STOP", "work": "Before you work", "note": "Note"}
_SAID = (FindingKind.COMPLAINT, FindingKind.HISTORY)


@dataclass(frozen=True)
class Paper:
    """A desk and the width [characters] of the sheet."""

    desk: Desk
    width: int

    @cached_property
    def view(self) -> SessionView:
        """The session where it is now."""
        return self.desk.view()

    @cached_property
    def bay_view(self) -> SessionView:
        """The same session as it would look in the bay."""
        return self.bay_bench.view()

    @cached_property
    def bay_bench(self) -> Workbench:
        """The workbench as it would be in the bay; the case stays where it is."""
        if self.desk.case.place == "bay":
            return self.desk.workbench
        case = structs.replace(self.desk.case, place="bay")
        return Workbench(case, self.desk.library)

    @cached_property
    def bay_work(self) -> tuple[NextCheck, ...]:
        """What hands do in the bay, the best first, each check once; safety questions with it."""
        found: dict[str, list[Option]] = {}
        for option in self.bay_bench.options:
            if option.urgent or option.rule.kind is not CheckKind.QUESTION:
                found.setdefault(option.rule.id, []).append(option)
        return tuple(self._check(options) for options in found.values())

    def _check(self, options: list[Option]) -> NextCheck:
        best = options[0]
        also = tuple(
            each.spot.corner.value
            for each in options[1:]
            if each.spot.corner and each.score >= NEAR_TIE * best.score
        )
        return next_check(self.bay_bench, best, also)


    @cached_property
    def notes(self) -> tuple[str, ...]:
        """The notes in force, oldest first."""
        case = self.desk.case
        taken_back = retracted_ids(case)
        return tuple(
            entry.text
            for entry in ordered(case.entries)
            if entry.kind == "note" and entry.id not in taken_back
        )

    @cached_property
    def said(self) -> tuple[AnswerShown, ...]:
        """Answers about the complaint and its history."""
        return tuple(each for each in self.view.answers if self._kind(each) in _SAID)

    @cached_property
    def seen(self) -> tuple[AnswerShown, ...]:
        """Answers from looking and trying, without measured values."""
        measured = {reading.entry for reading in self.view.readings}
        return tuple(
            each
            for each in self.view.answers
            if self._kind(each) not in _SAID and each.entry not in measured
        )

    def _kind(self, answer: AnswerShown) -> FindingKind:
        return self.desk.library.findings[answer.finding].kind

    def line(self, text: object, first: str = "", rest: str | None = None) -> list[str]:
        """A text wrapped to the sheet."""
        return wrapped(text, self.width, first, rest)

    def head(self, text: str) -> list[str]:
        """The heading of a part."""
        return heading(text, self.width)

    def listed(self, texts: Iterable[object], mark: str = "  * ") -> list[str]:
        """Texts under each other, each with a mark."""
        return [line for text in texts for line in self.line(text, mark)]


def title_lines(paper: Paper, title: str) -> list[str]:
    """The sheet's name, the visit, and how new the last entry is."""
    case = paper.desk.case
    lines = paper.line(title.upper())
    lines += ["=" * min(paper.width, len(lines[0]))]
    lines += paper.line(case.title, "Visit: ")
    newest = max((entry.at for entry in case.entries), default="")
    when = f", last entry {newest[:16].replace('T', ' ')} UTC" if newest else ", no entry yet"
    lines += paper.line(f"{case.id}{when}", "Case:  ")
    if case.invented:
        lines += paper.line("THIS CASE IS INVENTED. It is here to try the program with.")
    return lines


def drive_lines(paper: Paper) -> list[str]:
    """May the car be driven: never further down than under the title."""
    drive = paper.view.drive
    lines = ["", *paper.line(drive.word.value.upper(), "DRIVING: ")]
    lines += paper.line(capital(drive.text), "  ")
    if drive.word is DriveWord.GENTLY:
        lines += paper.line("If it gets worse, or the car pulls or grinds: stop and ask.", "  ")
    return lines


def fact_lines(paper: Paper) -> list[str]:
    """What is known of the vehicle, in words."""
    lines = paper.head("Vehicle")
    facts = paper.desk.library.facts
    for name, value in paper.view.facts.items():
        fact = facts.get(name)
        label = fact.name if fact else name
        lines += paper.line(f"{label}: {fact.values.get(value, value) if fact else value}", "  ")
    if not paper.view.facts:
        lines += paper.line("nothing is noted", "  ")
    return lines


def complaint_lines(paper: Paper, title: str) -> list[str]:
    """The complaint: the words as they were said, then the answers."""
    lines = paper.head(title)
    lines += paper.listed((f'"{note}"' for note in paper.notes), "  ")
    lines += paper.listed(answer_texts(paper.said))
    if not (paper.notes or paper.said):
        lines += paper.line("nothing has been noted yet", "  ")
    return lines


def answer_texts(answers: Iterable[AnswerShown]) -> list[str]:
    """Answers in words."""
    return [f"{each.name}: {each.shown}" for each in answers]


def found_lines(paper: Paper, title: str) -> list[str]:
    """What was measured, judged against its limit with the limit's source, and what was seen."""
    lines = paper.head(title)
    for reading in paper.view.readings:
        lines += paper.line(reading.text, "  * ")
        if reading.limit_from:
            lines += paper.line(f"limit: {reading.limit_from}", "      ")
    lines += paper.listed(answer_texts(paper.seen))
    if not (paper.view.readings or paper.seen):
        lines += paper.line("nothing has been measured or looked at yet", "  ")
    return lines


def caution_lines(paper: Paper, cautions: Sequence[CautionShown]) -> list[str]:
    """Cautions in force, the loudest first."""
    if not cautions:
        return []
    lines = paper.head("Cautions")
    for caution in cautions:
        lines += paper.line(f"{LEVELS.get(caution.level, caution.level)}: {caution.text}", "  ! ")
    return lines


def together(*views: SessionView) -> list[CautionShown]:
    """The cautions of several views, each once, the loudest first."""
    found = {each.id: each for view in views for each in view.cautions}
    order = list(LEVELS)
    return sorted(found.values(), key=lambda each: order.index(each.level))


def to_write(label: str, width: int, unit: str = "", indent: int = 2) -> list[str]:
    """A label with a line to write on; a long label gets a line of its own."""
    tail = f" {safe(unit)}" if unit else ""
    room = width - indent - len(safe(label)) - 2 - len(tail)
    if room >= 8:
        return [f"{' ' * indent}{safe(label)}: {BLANK * min(room, 40)}{tail}"]
    room = width - indent - 4 - len(tail)
    lines = wrapped(f"{label}:", width, " " * indent)
    return [*lines, f"{' ' * (indent + 4)}{BLANK * min(room, 40)}{tail}"]


def signature_lines(paper: Paper, *who: str) -> list[str]:
    """Lines to sign on."""
    lines = [""]
    for each in who:
        lines += ["", *to_write(f"{each}, date and signature", paper.width, indent=0)]
    return lines


def foot_lines(paper: Paper) -> list[str]:
    """What the sheet rests on and what it is not."""
    stamp = paper.view.rules
    lines = ["", *paper.line(f"Ranked with {stamp.name} {stamp.version} ({stamp.hash[:12]}).")]
    if not stamp.same_as_case:
        lines += paper.line("The case was begun with other rules.")
    lines += paper.line(
        "A help to think and measure, no inspection: the vehicle maker's manual, local law and "
        "the licensed person who does the work go before every line of this sheet."
    )
    return lines
