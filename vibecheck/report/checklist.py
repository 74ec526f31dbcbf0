"""The bay's check list: the next checks with room to write, limits in force, what is known."""

from __future__ import annotations

from vibecheck.report.lines import CORNERS, PARTS, minutes, percent
from vibecheck.report.paper import (
    BLANK,
    Paper,
    caution_lines,
    complaint_lines,
    drive_lines,
    fact_lines,
    foot_lines,
    found_lines,
    signature_lines,
    title_lines,
    to_write,
    together,
)
from vibecheck.session.typed import limit_text
from vibecheck.session.unitchoice import Units
from vibecheck.session.views import Field, NextCheck, RemedyChoice, SessionView

CHECKS = 5
LEADING = 5
REMEDIES = 2
QUESTIONS = 6
ROUND = "runout"  # the calculator that takes readings round the wheel
ANGLES = tuple(range(0, 360, 45))


def checklist_lines(paper: Paper) -> list[str]:
    """The whole sheet."""
    view = paper.bay_view
    lines = [
        *title_lines(paper, "Check list for the bay"),
        *drive_lines(paper),
        *fact_lines(paper),
        *complaint_lines(paper, "Complaint"),
        *found_lines(paper, "Measured and seen so far"),
        *paper.head("What it may be"),
    ]
    for cause in view.ranking[:LEADING]:
        lines += paper.line(f"{percent(cause.probability)} {cause.name} - {cause.word}", "  ")
    if not view.ranking:
        lines += paper.line("no cause stands out", "  ")
    lines += caution_lines(paper, together(view, paper.view))
    lines += _checks(paper, view)
    if view.conclusion.decided:
        for remedy in view.remedies[:REMEDIES]:
            lines += remedy_lines(paper, remedy)
    lines += signature_lines(paper, "Technician")
    return [*lines, *foot_lines(paper)]


def _checks(paper: Paper, view: SessionView) -> list[str]:
    """What the hands do, safety first; then what is only asked, in short."""
    if not view.next:
        return ["", *paper.line("No check is left that would tell more.")]
    lines: list[str] = []
    for number, check in enumerate(paper.bay_work[:CHECKS], start=1):
        lines += check_lines(paper, number, check)
    asked = [check for check in view.next if check.kind == "question" and not check.safety]
    if asked:
        lines += paper.head("To ask as well, if it is not known")
    for check in asked[:QUESTIONS]:
        for field in check.fields:
            lines += field_lines(paper, field, round_wheel=False)
    return lines


def check_lines(paper: Paper, number: int, check: NextCheck) -> list[str]:
    """One check: what it takes, how it is done, where its answers are written."""
    mark = " - SAFETY COMES FIRST" if check.safety else ""
    lines = paper.head(f"Check {number}: {check.name}{mark}")
    way = f" + {minutes(check.access_minutes)} to get there and back"
    cost = f"{check.access}, {minutes(check.minutes)}{way if check.access_minutes else ''}"
    lines += paper.line(f"{cost}. Why: {check.why}", "  ")
    if check.decides:
        lines += paper.line(check.decides, "  To decide: ", "    ")
    if check.also_at:
        others = ", ".join(CORNERS.get(corner, corner) for corner in check.also_at)
        lines += paper.line(f"worth nearly the same there: {others}", "  Other corners ", "    ")
    if check.tools:
        lines += paper.line(", ".join(check.tools), "  Tools: ", "    ")
    lines += paper.listed(check.cautions, "  ! ")
    for step, text in enumerate(check.steps, start=1):
        lines += paper.line(text, f"  [ ] {step}. ")
    for field in check.fields:
        lines += field_lines(paper, field, round_wheel=check.calculator == ROUND)
    return lines


def field_lines(paper: Paper, field: Field, *, round_wheel: bool) -> list[str]:
    """Where one answer is written: a value with its limit, or boxes to tick."""
    if field.quantity is None:
        lines = paper.line(f"{field.name}: {field.question}", "  > ")
        ticks = "   ".join(f"[ ] {label}" for label in field.states.values())
        lines += paper.line(f"{ticks}   [ ] not sure", "    ")
    else:
        lines = to_write(f"> {field.name}", paper.width, field.unit or "")
        limit = limit_text(paper.desk.workbench, field.finding, Units())
        lines += paper.line(f"limit: {limit}" if limit else "no limit, to be noted", "    ")
        if round_wheel and field.quantity == "length":
            lines += _round_lines(paper)
    if field.answered is not None:
        lines += paper.line(f"so far: {field.answered}", "    ")
    return lines


def _round_lines(paper: Paper) -> list[str]:
    """Room for readings round the wheel."""
    places = "  ".join(f"{angle:>3} deg {BLANK * 6}" for angle in ANGLES)
    return [
        *paper.line("readings round the wheel, from the valve:", "    "),
        *paper.line(places, "    "),
    ]


def remedy_lines(paper: Paper, remedy: RemedyChoice) -> list[str]:
    """One remedy with its steps and its proof."""
    lines = paper.head(f"Remedy: {remedy.name}")
    parts = PARTS.get(remedy.parts, remedy.parts)
    lines += paper.line(
        f"cures it with {percent(remedy.chance).strip()}, {minutes(remedy.minutes)}, {parts}", "  "
    )
    lines += paper.listed(remedy.cautions, "  ! ")
    for step, text in enumerate(remedy.steps, start=1):
        lines += paper.line(text, f"  [ ] {step}. ")
    lines += paper.line(remedy.verify, "  [ ] Proof: ", "      ")
    return [*lines, *paper.line(remedy.comeback, "  If it comes back: ", "    ")]
