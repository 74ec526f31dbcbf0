"""The customer's explanation, in plain words: found, meant, ruled out, to do, to confirm."""

from __future__ import annotations

from vibecheck.knowledge.library import Library
from vibecheck.report.lines import CORNERS, PARTS, capital, minutes, time_range
from vibecheck.report.paper import (
    Paper,
    answer_texts,
    complaint_lines,
    drive_lines,
    foot_lines,
    title_lines,
)
from vibecheck.session.views import RankedCause, RemedyChoice, RuledOut

LEADING = 3
WORTH_NAMING = 0.1
MOST_RULED_OUT = 6
MOST_WAYS = 6
IN_WORDS = {
    "within": "this is in order",
    "beyond": "this is out of order",
    "undecided": "too close to its limit to say; it has to be measured again",
    "no limit": "there is no limit for this; it was noted",
}
NOT_THIS = (
    "It is no inspection of the car and no promise that the rest of it is safe.",
    "It is no bill and no quote: times are estimates, prices are asked for separately.",
    "A cause counts as proven only where a measurement proves it; until then it is the likeliest "
    "explanation of what is known.",
)


def customer_lines(paper: Paper) -> list[str]:
    """The whole sheet."""
    lines = [
        *title_lines(paper, "What we found on your car"),
        *drive_lines(paper),
        *complaint_lines(paper, "What you told us"),
        *_found(paper),
        *_means(paper),
        *_ruled_out(paper),
        *_takes(paper),
        *paper.head("What this sheet is not"),
        *paper.listed(NOT_THIS),
    ]
    return [*lines, *foot_lines(paper)]


def _found(paper: Paper) -> list[str]:
    lines = paper.head("What was found")
    for reading in paper.view.readings:
        meant = IN_WORDS.get(reading.decision, reading.decision)
        lines += paper.line(f"{reading.name}: {reading.typed} - {meant}", "  * ")
    lines += paper.listed(answer_texts(paper.seen))
    if not (paper.view.readings or paper.seen):
        lines += paper.line("Nothing has been measured or looked at yet.", "  ")
    return lines


def _means(paper: Paper) -> list[str]:
    lines = paper.head("What it means")
    view = paper.view
    worth = [cause for cause in view.ranking[:LEADING] if cause.probability >= WORTH_NAMING]
    if not view.answers or not worth:
        return [*lines, *paper.line("Nothing stands out yet; more has to be found out.", "  ")]
    for number, cause in enumerate(worth):
        lines += _cause(paper, cause, first=number == 0)
    for each in view.sets[:1]:
        if len(each.causes) > 1:
            lines += paper.line(f"Both at once explains it best: {each.name}.", "  ")
    return lines


def _cause(paper: Paper, cause: RankedCause, *, first: bool) -> list[str]:
    lead = "  The likeliest cause: " if first else "  Also possible: "
    share = f"about {100.0 * min(0.99, cause.probability):.0f} in 100"
    lines = paper.line(f"{cause.name} ({cause.word}, {share})", lead, "    ")
    lines += paper.line(paper.desk.why(cause.cause, cause.corner).says, "    ")
    if cause.for_:
        lines += paper.line(f"What speaks for it: {cause.for_[0].text}", "    ")
    return lines


def _ruled_out(paper: Paper) -> list[str]:
    found = by_answer(paper.view.ruled_out, paper.desk.library)
    if not found:
        return []
    lines = paper.head("What was ruled out, and how")
    for text, names in list(found.items())[:MOST_WAYS]:
        shown = "; ".join(names[:MOST_RULED_OUT])
        left = len(names) - MOST_RULED_OUT
        more = f"; and {left} more" if left > 0 else ""
        lines += paper.line(f"{shown}{more} - by: {text}", "  * ")
    return lines


def by_answer(ruled_out: tuple[RuledOut, ...], library: Library) -> dict[str, list[str]]:
    """Names of causes with their corners, under the answer that ruled them out."""
    corners: dict[tuple[str, str], list[str]] = {}
    for each in ruled_out:
        at = corners.setdefault((each.text, each.cause), [])
        if each.corner:
            at.append(CORNERS.get(each.corner, each.corner))
    found: dict[str, list[str]] = {}
    for (text, cause), at in corners.items():
        where = " (all four corners)" if len(at) == len(CORNERS) else f" ({', '.join(at)})"
        found.setdefault(text, []).append(library.causes[cause].name + (where if at else ""))
    return found


def _takes(paper: Paper) -> list[str]:
    view = paper.view
    lines = paper.head("What it will take, and how to be sure")
    if not view.conclusion.decided:
        lines += paper.line(f"Not decided yet: {view.conclusion.text}.", "  ")
        expected = time_range(paper.bay_view.minutes_expected)
        lines += paper.line(f"Time to find the cause in the workshop: {expected}.", "  ")
    if view.conclusion.kind == "no_fault" or not view.answers:
        return lines
    for remedy in view.remedies[:1]:
        lines += _remedy(paper, remedy, decided=view.conclusion.decided)
    return lines


def _remedy(paper: Paper, remedy: RemedyChoice, *, decided: bool) -> list[str]:
    lead = "  What to do: " if decided else "  If it turns out so: "
    parts = PARTS.get(remedy.parts, remedy.parts)
    lines = paper.line(f"{remedy.name} ({minutes(remedy.minutes)}, {parts})", lead, "    ")
    lines += paper.line(capital(remedy.verify), "  How to confirm that it worked: ", "    ")
    return [*lines, *paper.line(capital(remedy.comeback), "  If it comes back: ", "    ")]
