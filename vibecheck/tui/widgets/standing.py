"""Beside the question: the live ranking, the cautions in force and the minutes."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from vibecheck.report.lines import minutes
from vibecheck.session.views import CautionShown, RankedCause, SessionView
from vibecheck.tui.phrases import LEVELS, bar, minutes_range, percent
from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.widgets.carplan import small_plan

MOST_CAUSES = 30
_BAR_LEAST, _BAR_MOST = 8, 30
_BESIDE_BAR = 22  # columns taken by number and word beside a bar


class Standing(Vertical):
    """Where the visit stands. Posts `Asked` when a cause is chosen."""

    class Asked(Message):
        """A cause to be explained."""

        def __init__(self, cause: str, corner: str | None) -> None:
            super().__init__()
            self.cause, self.corner = cause, corner

    def __init__(self) -> None:
        super().__init__(id="standing")
        self._view: SessionView | None = None
        self._causes: tuple[RankedCause, ...] = ()

    def compose(self) -> ComposeResult:
        """Minutes, ranking, in the bay the car, and cautions."""
        yield Static(id="minutes")
        yield OptionList(id="ranked", markup=False, compact=True)
        yield Static(id="plan")
        with VerticalScroll(id="caution-scroll", can_focus=False):
            yield Static(id="cautions")

    def show(self, view: SessionView) -> None:
        """Show the state of a visit."""
        self._view = view
        self._causes = view.ranking[:MOST_CAUSES]
        self.query_one("#minutes", Static).update(minutes_text(view))
        self._show_ranking()
        self.query_one("#cautions", Static).update(cautions_text(view.cautions))
        self.query_one("#caution-scroll").display = bool(view.cautions)
        plan = self.query_one("#plan", Static)
        plan.set_class(view.place == "bay", "-bay")
        plan.update(small_plan(view))

    def on_resize(self) -> None:
        """Bars follow the width."""
        if self._view is not None:
            self._show_ranking()

    def _show_ranking(self) -> None:
        ranked = self.query_one("#ranked", OptionList)
        width = max(_BAR_LEAST, min(_BAR_MOST, self.size.width - _BESIDE_BAR))
        ranked.clear_options()
        if not self._causes:
            ranked.add_option(Option(plain("No cause stands out."), disabled=True))
        ranked.add_options(
            [Option(cause_text(n, each, width)) for n, each in enumerate(self._causes, start=1)]
        )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A cause was chosen."""
        event.stop()
        cause = self._causes[event.option_index]
        self.post_message(self.Asked(cause.cause, cause.corner))


def cause_text(rank: int, cause: RankedCause, width: int) -> Content:
    """A cause with its probability as number, bar and word."""
    head = joined(f"{rank}. ", line(cause.name, "bold", most=90))
    tail = f"   {bar(cause.probability, width)} {percent(cause.probability):>5} {cause.word}"
    return stacked([head, Content(tail)])


def minutes_text(view: SessionView) -> Content:
    """Minutes spent, and expected until it is decided."""
    spent, expected = minutes(view.minutes_spent), minutes_range(view.minutes_expected)
    return joined("Spent ", line(spent, "bold"), ", to go ", line(expected, "bold"))


def cautions_text(cautions: tuple[CautionShown, ...]) -> Content:
    """The cautions in force, the loudest first."""
    if not cautions:
        return Content("")
    parts = [Content.styled("Cautions", "bold underline")]
    for each in cautions:
        level = line(LEVELS.get(each.level, each.level), "bold")
        parts.append(joined(level, ": ", plain(each.text), " (", line(each.why), ")"))
    return stacked(parts)
