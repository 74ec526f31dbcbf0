"""On a very wide screen: what speaks for the leading causes, and what would tell most."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.report.lines import minutes
from vibecheck.session.views import NextCheck, SessionView
from vibecheck.tui.cause import Tell
from vibecheck.tui.phrases import percent, weight_word
from vibecheck.tui.plain import joined, line, plain, stacked

_CAUSES, _REASONS, _CHECKS, _OUT = 3, 4, 6, 8


class Aside(VerticalScroll):
    """Shown only where there is room."""

    def __init__(self) -> None:
        super().__init__(id="aside", can_focus=False)

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static(id="aside-text")

    def show(self, view: SessionView, tell: Tell) -> None:
        """Show the state of a visit; `tell` puts the readings quoted into the units chosen."""
        parts = [_reasons(view, tell), _checks(view), _ruled_out(view, tell)]
        self.query_one("#aside-text", Static).update(Content("\n\n").join(parts))


def _reasons(view: SessionView, tell: Tell) -> Content:
    rows = [Content.styled("What speaks for the leading causes", "bold underline")]
    for cause in view.ranking[:_CAUSES]:
        rows.append(joined(line(cause.name, "bold"), f"  {percent(cause.probability)}"))
        rows += [
            joined("  ", line(weight_word(each.weight)), ": ", plain(tell(each.text)))
            for each in cause.for_[:_REASONS]
        ]
    return stacked(rows)


def _checks(view: SessionView) -> Content:
    rows = [Content.styled("What would change the answer most", "bold underline")]
    rows += [
        joined(line(each.name), f"  {_worth(each)}, takes {minutes(each.minutes)}",
               "" if each.here else ", not here")
        for each in view.next[:_CHECKS]
    ]
    return stacked(rows)


def _worth(check: NextCheck) -> str:
    return "safety first" if check.safety else f"saves {minutes(check.saves)}"


def _ruled_out(view: SessionView, tell: Tell) -> Content:
    rows = [Content.styled("Ruled out", "bold underline")]
    rows += [
        joined(line(each.name), " - ", line(tell(each.text))) for each in view.ruled_out[:_OUT]
    ]
    return stacked(rows)
