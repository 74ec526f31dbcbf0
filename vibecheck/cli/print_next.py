"""Next checks as text."""

from __future__ import annotations

from vibecheck.report.lines import CORNERS, capital, labelled, minutes, signed, wrapped
from vibecheck.session.views import Field, NextCheck, SessionView


def check_lines(rank: int, check: NextCheck, width: int) -> list[str]:
    """One check in short: what, how long, what it brings."""
    marks = [" [safety first]"] if check.safety else []
    marks += [" [nearly as good as the one above]"] if check.near_tie and rank > 1 else []
    lines = wrapped(check.name + "".join(marks), width, f"{rank:>2}. ")
    lines += wrapped(
        f"{minutes(check.minutes)} + {minutes(check.access_minutes)} to get there and back "
        f"({check.access}); gain {check.gain:.2f} bit, saves {minutes(check.saves)} on average",
        width, "    ",
    )
    if check.also_at:
        others = ", ".join(CORNERS.get(corner, corner) for corner in check.also_at)
        lines += labelled("also at", [f"{others}: worth nearly the same there"], width, 4, 9)
    lines += labelled("why", [check.why], width, 4, 9)
    if check.decides:
        lines += labelled("decides", [check.decides], width, 4, 9)
    if not check.here:
        lines += labelled("shop", [check.shop_request or "not possible here"], width, 4, 9)
    return lines


def next_lines(view: SessionView, width: int, count: int) -> list[str]:
    """The best check in full and the others in short."""
    if not view.next:
        return wrapped(f"No check is left that would help. {view.conclusion.text}", width)
    lines = wrapped(capital(view.conclusion.text), width)
    for rank, check in enumerate(view.next[:count], start=1):
        lines += ["", *check_lines(rank, check, width)]
        if rank == 1:
            lines += full_lines(check, width)
    return lines


def full_lines(check: NextCheck, width: int) -> list[str]:
    """How to do a check, its cautions, and how to give its answers."""
    lines: list[str] = []
    if check.tools:
        lines += labelled("tools", [", ".join(check.tools)], width, 4, 9)
    for caution in check.cautions:
        lines += wrapped(caution, width, "    ! ")
    for number, step in enumerate(check.steps, start=1):
        lines += wrapped(step, width, f"    {number}) ")
    for asked in check.fields:
        lines += field_lines(asked, width)
    return lines


def field_lines(asked: Field, width: int) -> list[str]:
    """What to answer, and how it is typed."""
    name = signed(asked.finding, asked.corner)
    lines = wrapped(asked.question, width, "    ? ")
    if asked.unit is not None:
        lines += wrapped(f"{name}=... {asked.unit}", width, "      ")
    else:
        lines += wrapped(f"{name}={'|'.join(asked.states)}", width, "      ")
    if asked.answered:
        lines += wrapped(f"answered so far: {asked.answered}", width, "      ")
    return lines
