"""One cause explained: what it is, what speaks for and against it, how it is proved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from vibecheck.session.desk import Desk
from vibecheck.session.views import Reason, WhyView
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.phrases import bar, percent, weight_word
from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.widgets.keyline import KeyLine

_BAR = 24
Tell = Callable[[str], str]


class CauseScreen(BaseScreen[None]):
    """One cause, and the way to the next in the ranking."""

    ABOUT_TITLE = "a cause explained"
    ABOUT = (
        "What this cause is, what speaks for it and against it with the weight of each finding "
        "(in bits: one bit doubles the odds), how it is proved and what cures it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,x", "dismiss", "Back", key_display="Esc"),
        Binding("right,n", "other(1)", "Next cause", key_display="→"),
        Binding("left,p", "other(-1)", "Cause before", key_display="←"),
    ]

    def __init__(self, desk: Desk, cause: str, corner: str | None) -> None:
        super().__init__()
        self.desk, self.cause, self.corner = desk, cause, corner

    def compose(self) -> ComposeResult:
        """One text to scroll."""
        with VerticalScroll(id="explained"):
            yield Static(id="why")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the cause."""
        self._show()
        self.query_one("#explained").focus()

    def _show(self) -> None:
        view = self.desk.why(self.cause, self.corner)
        self.query_one("#why", Static).update(why_text(view, self.vibecheck.tell_in(self.desk)))
        self.query_one("#explained").scroll_home(animate=False)

    def units_changed(self) -> None:
        """Tell readings in the other unit."""
        self._show()

    def action_other(self, step: int) -> None:
        """The next cause of the ranking, or the one before."""
        spots = [(each.cause, each.corner) for each in self.desk.view().ranking]
        if not spots:
            return
        here = (self.cause, self.corner)
        at = spots.index(here) if here in spots else -step
        self.cause, self.corner = spots[(at + step) % len(spots)]
        self._show()


def why_text(view: WhyView, tell: Tell) -> Content:
    """A cause in paragraphs; `tell` puts the readings quoted into the units chosen."""
    rank = f"number {view.rank} of the ranking" if view.rank else "not in the ranking"
    head = stacked([
        line(view.name, "bold"), plain(view.says), Content(""),
        joined(f"now    {percent(view.probability):>5} {bar(view.probability, _BAR)} ", line(rank)),
        Content(f"before {percent(view.prior):>5} {bar(view.prior, _BAR)} with nothing known"),
    ])
    parts = [
        head,
        reasons_text("What speaks for it", view.for_, "for", tell),
        reasons_text("What speaks against it", view.against, "against", tell),
        listed("From the complaint to the proof", [tell(each) for each in view.paths]),
        listed("Proved by", view.confirm_by),
        listed("Cured by", view.remedies),
        listed("Where this comes from", view.sources),
        plain(view.note),
    ]
    return Content("\n\n").join([part for part in parts if part.plain])


def reasons_text(title: str, reasons: tuple[Reason, ...], way: str, tell: Tell) -> Content:
    """Findings with their weight in words and number."""
    rows = [
        joined("  ", line(f"{weight_word(each.weight)} {way}", "bold"),
               f" ({abs(each.weight):.1f} bit): ", plain(tell(each.text)))
        for each in reasons
    ]
    return stacked([Content.styled(title, "underline"), *(rows or [Content("  nothing so far")])])


def listed(title: str, texts: Sequence[str]) -> Content:
    """Texts under a title; nothing without texts."""
    if not texts:
        return Content("")
    rows = [joined("  · ", plain(text)) for text in texts]
    return stacked([Content.styled(title, "underline"), *rows])
