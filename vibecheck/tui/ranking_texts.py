"""The texts of the ranking screen, made from a session's view."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content

from vibecheck.report.lines import CORNERS, minutes
from vibecheck.session.views import NextCheck, RankedCause, SessionView
from vibecheck.tui.cause import Tell, reasons_text
from vibecheck.tui.phrases import bar, percent
from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.widgets.choices import Choice
from vibecheck.tui.widgets.endpage import remedy_text

_BAR = 12
_SETS_MATTER_ABOVE = 0.05
_DANGERS = {"stop": "  ■ dangerous", "watch": "  ▲ to be watched", "none": ""}


def cause_rows(
    ranking: tuple[RankedCause, ...], grouped: bool
) -> Iterator[tuple[RankedCause | None, Content]]:
    """Rows of the list; a heading has no cause."""
    numbered = list(enumerate(ranking, start=1))
    if not grouped:
        for number, cause in numbered:
            yield cause, _cause_row(number, cause)
        return
    groups: dict[tuple[str, str], list[tuple[int, RankedCause]]] = {}
    for number, cause in numbered:
        groups.setdefault((cause.family, cause.corner or ""), []).append((number, cause))
    for (family, corner), members in groups.items():
        where = f" - {CORNERS[corner]}" if corner else ""
        yield None, line(f"{family}{where}", "bold underline")
        for number, cause in members:
            yield cause, _cause_row(number, cause)


def cause_detail(cause: RankedCause, tell: Tell) -> Content:
    """The cause under the cursor, with what speaks for and against it, in the units chosen."""
    danger = _DANGERS.get(cause.danger, "")
    head = joined(line(cause.name, "bold"), danger)
    chance = f"{percent(cause.probability)} {bar(cause.probability, 20)} {cause.word}"
    family = joined("part of the car: ", line(cause.family))
    return Content("\n\n").join([
        stacked([head, line(chance), family]),
        reasons_text("What speaks for it", cause.for_, "for", tell),
        reasons_text("What speaks against it", cause.against, "against", tell),
    ])


def sets_text(view: SessionView) -> Content:
    """Combinations of causes, and none at all."""
    together = [
        each for each in view.sets
        if len(each.causes) > 1 and each.probability >= _SETS_MATTER_ABOVE
    ]
    word = (
        "Two causes together matter here." if together
        else "One cause alone explains nearly everything so far."
    )
    rows = [
        joined(f"{percent(each.probability):>5} {bar(each.probability, 20)}  ", line(each.name))
        for each in view.sets
    ]
    none = f"No cause that the rules know: {percent(view.no_fault)}"
    left = f"Not looked into further: combinations worth {percent(view.left_out)} at most"
    return stacked([plain(word, "bold"), Content(""), *rows, Content(""), plain(none), plain(left)])


def ruled_out_text(view: SessionView, tell: Tell) -> Content:
    """What is ruled out, and by which answer."""
    head = plain(
        f"Below {percent(view.prune_below)} a cause counts as ruled out. It comes back when the "
        "answer is changed.", "bold",
    )
    rows = [
        joined(line(each.name, "bold"), f"  {percent(each.probability)}", "\n     by ",
               plain(tell(each.text)))
        for each in view.ruled_out
    ]
    return stacked([head, Content(""), *(rows or [plain("Nothing is ruled out yet.")])])


def remedies_text(view: SessionView) -> Content:
    """Remedies in the order to try, with their cost to resolve."""
    if not view.remedies:
        return plain("There is nothing to try yet.")
    rows = []
    for number, each in enumerate(view.remedies, start=1):
        cost = f"{minutes(each.cost_to_resolve)} of work until the car is right, trying this first"
        here = "can be done here" if each.here else "needs another place"
        rows.append(stacked([joined(f"{number}. ", remedy_text(each)),
                             line(f"  {cost}; {here}", "bold")]))
    return Content("\n\n").join(rows)


def check_choices(view: SessionView) -> list[Choice]:
    """The checks that would change the answer most."""
    return [Choice(str(n), f"{each.name}", remark=_check_remark(each))
            for n, each in enumerate(view.next)]


def _check_remark(check: NextCheck) -> str:
    way = check.access_minutes
    takes = f"takes {minutes(check.minutes)}" + (f" and {minutes(way)} to get there" if way else "")
    worth = "safety first" if check.safety else f"saves {minutes(check.saves)} of wrong work"
    parts = [worth, takes, f"tells {check.gain:.2f} bit"]
    if not check.here:
        parts.append("not here")
    if check.near_tie:
        parts.append("near tie")
    return "- " + ", ".join(parts)


def _cause_row(number: int, cause: RankedCause) -> Content:
    tail = f"    {bar(cause.probability, _BAR)} {percent(cause.probability):>5} {cause.word}"
    return stacked([joined(f"{number}. ", line(cause.name, most=120)), Content(tail)])
