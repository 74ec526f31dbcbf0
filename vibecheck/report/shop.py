"""The driveway's shop request: exactly what to ask for, why, and what was found at home."""

from __future__ import annotations

from vibecheck.report.lines import capital, percent
from vibecheck.report.paper import (
    Paper,
    complaint_lines,
    drive_lines,
    fact_lines,
    foot_lines,
    found_lines,
    title_lines,
    to_write,
)
from vibecheck.session.ending import ending
from vibecheck.session.views import CautionShown

MOST_REQUESTS = 4
LEADING = 3


def shop_lines(paper: Paper) -> list[str]:
    """The whole sheet."""
    lines = [
        *title_lines(paper, "Request to the shop"),
        *drive_lines(paper),
        *_stops(paper, paper.view.cautions),
        *fact_lines(paper),
        *_requested(paper),
        *complaint_lines(paper, "What I notice"),
        *found_lines(paper, "What I measured and saw myself"),
        *_standing(paper),
        *paper.head("Please write down for me"),
        *to_write("Readings before the work", paper.width),
        *to_write("Readings after the work", paper.width),
        *to_write("Limits used, and whose", paper.width),
        *to_write("Road test after the work", paper.width),
    ]
    return [*lines, *foot_lines(paper)]


def requests(paper: Paper) -> list[tuple[str, str]]:
    """What to ask for and why: the remedy if it is decided, then the most telling checks."""
    view = paper.view
    found: dict[str, str] = {}
    if view.conclusion.decided:
        for remedy in view.remedies[:1]:
            if remedy.shop_request:
                why = f"it cures what was found with {percent(remedy.chance).strip()}"
                found.setdefault(remedy.shop_request, why)
    for check in (*(each for each in view.next if not each.here), *paper.bay_work):
        if check.shop_request:
            found.setdefault(check.shop_request, check.why)
    return list(found.items())[:MOST_REQUESTS]


def _requested(paper: Paper) -> list[str]:
    lines = paper.head("Please do exactly this")
    wanted = requests(paper)
    for number, (request, why) in enumerate(wanted, start=1):
        lines += paper.line(request, f"  {number}. [ ] ")
        lines += paper.line(f"why: {why}", "         ")
    if not wanted:
        end = ending(paper.desk)
        lines += paper.line(f"There is nothing to ask a shop for now. {end.headline}.", "  ")
        lines += paper.line(capital(end.text), "  ")
    else:
        lines += paper.line(
            "Please measure before parts are ordered, and ask me before more is done.", "  "
        )
    return lines


def _standing(paper: Paper) -> list[str]:
    if not paper.view.answers or not paper.view.ranking:
        return []
    lines = paper.head("What it may be, from this")
    for cause in paper.view.ranking[:LEADING]:
        lines += paper.line(f"{percent(cause.probability)} {cause.name} - {cause.word}", "  ")
        if cause.for_:
            lines += paper.line(f"because: {cause.for_[0].text}", "       ")
    return lines


def _stops(paper: Paper, cautions: tuple[CautionShown, ...]) -> list[str]:
    """What may not be driven, and why."""
    return paper.listed(
        (f"{each.text} ({each.why})" for each in cautions if each.level == "stop"), "  ! "
    )
