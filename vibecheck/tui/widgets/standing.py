"""Beside the question: the live ranking, the cautions in force and the minutes."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from vibecheck.report.blocks import Block, Paragraph, Tone
from vibecheck.report.interview_page import minutes_text, moved_items, taken_items
from vibecheck.report.parts import NO_CAUSE, caution_blocks
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis, RankedCause
from vibecheck.tui.block_text import block_text
from vibecheck.tui.phrases import brief_cause_text
from vibecheck.tui.plain import line, plain
from vibecheck.tui.widgets.carplan import small_plan

MOST_CAUSES = 30
_BAR_LEAST, _BAR_MOST = 8, 30
_BESIDE_BAR = 26  # columns taken by number and word beside a bar
_AXLE_WIDTH, _ROOM_FOR_AXLE = 7, 42  # columns of the axle beside a word; least width for it


class StandingPane(Vertical):
    """Where the visit stands. Posts `Asked` when a cause is chosen."""

    class Asked(Message):
        """A cause to be explained."""

        def __init__(self, cause: str, corner: str | None) -> None:
            super().__init__()
            self.cause, self.corner = cause, corner

    def __init__(self) -> None:
        super().__init__(id="standing")
        self._found: Diagnosis | None = None
        self._causes: tuple[RankedCause, ...] = ()

    def compose(self) -> ComposeResult:
        """Minutes, ranking, in the bay the car, and cautions."""
        yield Static(id="minutes")
        yield OptionList(id="ranked", markup=False, compact=True)
        yield Static(id="moved")
        yield Static(id="plan")
        with VerticalScroll(id="caution-scroll", can_focus=False):
            yield Static(id="cautions")

    def show(
        self, found: Diagnosis, wording: Wording, before: Diagnosis | None = None
    ) -> None:
        """Show the state of a visit, and what moved since the diagnosis before."""
        self._found = found
        news: list[Block] = []
        if before is not None:
            for title, items in (("Read as", taken_items(before, found)),
                                 ("Moved by the last answer", moved_items(before, found))):
                news += [Paragraph(title, Tone.QUIET), *items] if items else []
        self.query_one("#moved", Static).update(block_text(news))
        self.query_one("#moved").display = bool(news)
        self._causes = found.faults[:MOST_CAUSES]
        self.query_one("#minutes", Static).update(line(minutes_text(found)))
        self._show_ranking()
        cautions = caution_blocks(found, found.cautions, wording, why=True)
        self.query_one("#cautions", Static).update(block_text(cautions[1:]))
        self.query_one("#caution-scroll").display = bool(cautions)
        plan = self.query_one("#plan", Static)
        plan.set_class(found.case.place == "bay", "-bay")
        plan.update(small_plan(found))

    def on_resize(self) -> None:
        """Bars follow the width."""
        if self._found is not None:
            self._show_ranking()

    def _show_ranking(self) -> None:
        ranked = self.query_one("#ranked", OptionList)
        room = self.size.width >= _ROOM_FOR_AXLE
        beside = _BESIDE_BAR + (_AXLE_WIDTH if room else 0)
        width = max(_BAR_LEAST, min(_BAR_MOST, self.size.width - beside))
        ranked.clear_options()
        if not self._causes:
            ranked.add_option(Option(plain(NO_CAUSE), disabled=True))
        if self._found is not None:
            ranked.add_options([
                Option(brief_cause_text(n, each, width, room=room))
                for n, each in enumerate(self._causes, start=1)
            ])

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A cause was chosen."""
        event.stop()
        cause = self._causes[event.option_index]
        self.post_message(self.Asked(cause.cause, cause.corner))
