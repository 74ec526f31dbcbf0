"""The counter's intake sheet: what the customer says, may it be driven, what the bay does first."""

from __future__ import annotations

from vibecheck.report.lines import capital, minutes, percent, time_range
from vibecheck.report.paper import (
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
from vibecheck.session.interview import bay_minutes
from vibecheck.session.views import NextCheck

FIRST_CHECKS = 3
LEADING = 3


def intake_lines(paper: Paper) -> list[str]:
    """The whole sheet."""
    lines = [
        *title_lines(paper, "Intake sheet"),
        *drive_lines(paper),
        *fact_lines(paper),
        *to_write("Odometer", paper.width),
        *to_write("License plate", paper.width),
        *complaint_lines(paper, "Complaint, in the customer's words and answers"),
    ]
    if paper.view.readings or paper.seen:
        lines += found_lines(paper, "Already measured or looked at")
    lines += _standing(paper)
    lines += _bay(paper)
    lines += caution_lines(paper, together(paper.view, paper.bay_view))
    lines += signature_lines(paper, "Customer", "Service writer")
    return [*lines, *foot_lines(paper)]


def _standing(paper: Paper) -> list[str]:
    lines = paper.head("What it may be, before anything is opened")
    if not paper.view.answers:
        return [*lines, *paper.line("nothing can be said yet", "  ")]
    for cause in paper.view.ranking[:LEADING]:
        lines += paper.line(f"{percent(cause.probability)} {cause.name} - {cause.word}", "  ")
    if not paper.view.ranking:
        lines += paper.line("no cause stands out", "  ")
    return lines


def _bay(paper: Paper) -> list[str]:
    lines = paper.head("For the bay")
    lines += paper.line(time_range(bay_minutes(paper.desk)), "  Time to find the cause: ", "    ")
    lines += paper.line("an estimate; no repair is in it", "    ")
    checks = paper.bay_work[:FIRST_CHECKS]
    if checks:
        lines += paper.line("First checks, in this order:", "  ")
    for number, check in enumerate(checks, start=1):
        lines += paper.line(first_check(check), f"  {number}. [ ] ")
    if not checks:
        lines += paper.line(capital(paper.bay_view.conclusion.text), "  ")
    return lines


def first_check(check: NextCheck) -> str:
    """A check with what it takes."""
    mark = ", safety comes first" if check.safety else ""
    return f"{check.name} ({check.access}, {minutes(check.minutes + check.access_minutes)}{mark})"
