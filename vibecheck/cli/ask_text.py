"""What the plain interview says: a question, where the visit stands, how it ends."""

from __future__ import annotations

from vibecheck.cli.print_rank import one_remedy
from vibecheck.report.lines import (
    CORNERS,
    capital,
    labelled,
    minutes,
    percent,
    time_range,
    wrapped,
)
from vibecheck.report.paper import LEVELS
from vibecheck.session.ending import Ending
from vibecheck.session.interview import Ended, Question
from vibecheck.session.views import CautionShown, NextCheck, SessionView

LEADING = 3
STANDS_OUT = 0.05
HELP = """\
A number chooses an answer. Where a value is asked for, type it:
0.49, 18 thou, 0.49 mm +/- 0.02.
Enter says the question again.
?  why this question              h  this help
u  not sure                       c  cannot check it here
s  skip this check                b  back to the answer before
q  stop (everything is saved)
r  the whole ranking              p  print the sheet for this place
a  list the answers; a 3 changes the third
n WORDS  keep a note              m PLACE  go to counter, bay or driveway
f  list the vehicle's facts; f NAME=VALUE sets one
t  list the tools; t 1 4 says that only these are at hand"""


def help_lines(width: int) -> list[str]:
    """The keys."""
    return [line for text in HELP.split("\n") for line in _kept(text, width)]


def _kept(text: str, width: int) -> list[str]:
    """A line of the table as it is where it fits, else wrapped."""
    return [text] if len(text) <= width else wrapped(text, width, "", "   ")


def question_lines(question: Question, unit: str, limit: str, width: int, *, procedure: bool
                   ) -> list[str]:
    """A question with its numbered answers, or the unit of the value asked for."""
    field = question.field
    lines = ["", *wrapped(_which(question), width)]
    if procedure:
        lines += procedure_lines(question.check, width)
    lines += wrapped(field.question, width)
    if field.corner:
        lines += wrapped(f"At: {CORNERS.get(field.corner, field.corner)}", width)
    if field.help:
        lines += wrapped(field.help, width, "  ")
    if field.answered is not None:
        lines += wrapped(f"Answer so far: {field.answered}", width)
    if question.again:
        lines += wrapped(f"Undecided. {question.check.decides}", width)
    if field.quantity is None:
        for number, label in enumerate(field.states.values(), start=1):
            lines += wrapped(label, width, f"  {number}. ")
    else:
        lines += wrapped(f"A value in {unit}" if unit else "A number", width, "  ")
        lines += wrapped(f"or in words: {'; '.join(field.states.values())}", width, "  ")
        if limit:
            lines += wrapped(f"limit: {limit}", width, "  ")
    return lines


def _which(question: Question) -> str:
    check = question.check
    most = f" of at most {question.most}" if question.most else ""
    number = f"Question {question.number}{most}"
    if question.earlier:
        number = f"Earlier answer (question {question.number}); Enter leaves it as it is"
    way = f" and {minutes(check.access_minutes)} to get there" if check.access_minutes else ""
    mark = ", safety comes first" if check.safety else ""
    return f"{number}: {check.name} ({minutes(check.minutes)}{way}, {check.access}{mark})"


def procedure_lines(check: NextCheck, width: int) -> list[str]:
    """Cautions, tools and steps of a check."""
    lines: list[str] = []
    for caution in check.cautions:
        lines += wrapped(caution, width, "  ! ")
    if check.tools:
        lines += wrapped(", ".join(check.tools), width, "  Tools: ")
    for number, step in enumerate(check.steps, start=1):
        lines += wrapped(step, width, f"  Step {number}: ")
    return lines


def why_lines(check: NextCheck, width: int) -> list[str]:
    """Why a question is asked."""
    text = (
        f"{capital(check.why)}. Expected to tell {check.gain:.2f} bit of what is open, and to "
        f"save {minutes(check.saves)} of wrong work."
    )
    lines = wrapped(text, width)
    if check.near_tie:
        lines += wrapped("Other checks are worth nearly as much.", width)
    return lines + (wrapped(check.decides, width) if check.decides else [])


def drive_text(view: SessionView) -> str:
    """The word on driving with its reason."""
    return f"DRIVING: {view.drive.word.value.upper()}. {capital(view.drive.text)}"


def leading_text(view: SessionView) -> str:
    """The leading causes, or that none stands out."""
    named = [
        f"{percent(cause.probability).strip()} {cause.name} ({cause.word})"
        for cause in view.ranking[:LEADING]
        if cause.probability >= STANDS_OUT
    ]
    return f"Leading: {'; '.join(named)}" if named else "No cause stands out yet."


def time_text(view: SessionView) -> str:
    """Minutes spent and expected."""
    expected = time_range(view.minutes_expected)
    return f"Spent {minutes(view.minutes_spent)}, still to expect: {expected}."


def caution_lines(caution: CautionShown, width: int) -> list[str]:
    """One caution."""
    return wrapped(f"{LEVELS.get(caution.level, caution.level)}: {caution.text}", width, "! ")


def ending_lines(end: Ending, ended: Ended, view: SessionView, width: int) -> list[str]:
    """How the interview ended, what to do, and what exactly to ask for."""
    lines = ["", *wrapped(end.headline.upper(), width), *wrapped(f"({ended.value})", width)]
    lines += wrapped(capital(end.text), width)
    if end.bay_minutes is not None:
        lines += wrapped(time_range(end.bay_minutes), width, "Time in the bay to find the cause: ")
    lines += labelled("Ask for: ", end.requests, width, 0, 9)
    if end.remedy is not None:
        lines += one_remedy(1, end.remedy, width)
        if end.remedy.here:
            for number, step in enumerate(end.remedy.steps, start=1):
                lines += wrapped(step, width, f"    Step {number}: ")
        for caution in end.remedy.cautions:
            lines += wrapped(caution, width, "    ! ")
    if end.kind == "watch":
        lines += wrapped(
            "If it comes back or grows, note the speed, what you did just then and where you "
            "felt it, and answer the questions again.", width,
        )
    return [*lines, *wrapped(drive_text(view), width)]
