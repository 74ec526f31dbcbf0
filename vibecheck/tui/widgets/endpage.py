"""The end of an interview: the word, what to do, what to ask for, and what can follow."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static

from vibecheck.report.interview_page import ending_page
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import Ending
from vibecheck.session.interview import Ended
from vibecheck.tui.block_text import block_text
from vibecheck.tui.plain import joined, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList


class EndPage(Vertical):
    """Shows the ending. Posts `Chosen` with the action to take."""

    class Chosen(Message):
        """What to do next, by the name of its action."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def compose(self) -> ComposeResult:
        """The text above, the actions below."""
        with VerticalScroll(id="outcome", can_focus=False):
            yield Static(id="headline")
            yield Static(id="ending-text")
        yield Static(id="ending-refusal")
        yield ChoiceList(name_id="actions")

    def show(self, found: Diagnosis, ending: Ending, ended: Ended, wording: Wording) -> None:
        """Show how the interview ended, and the visit where that is written down."""
        heading, reason, *page = ending_page(found, ending, ended, wording)
        self.query_one("#headline", Static).update(block_text([heading, reason]))
        self.query_one("#ending-text", Static).update(block_text(page))
        self.query_one("#actions", ChoiceList).show(_actions(ended, found.case.place))

    def focus_answer(self) -> None:
        """Put the cursor on the actions."""
        self.query_one("#actions", ChoiceList).focus(scroll_visible=False)

    def refuse(self, sentence: str) -> None:
        """Say why something could not be done."""
        self.query_one("#ending-refusal", Static).update(
            joined("! ", plain(sentence)) if sentence else ""
        )

    @on(OptionList.OptionSelected, "#actions")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        actions = self.query_one("#actions", ChoiceList)
        self.post_message(self.Chosen(actions.shown[event.option_index].value))


def _actions(ended: Ended, place: str) -> list[Choice]:
    actions = [
        Choice("sheet", "See and keep the sheet", "p"),
        Choice("ranking", "See the possible causes and the remedies", "r"),
    ]
    if ended is not Ended.NOTHING:
        actions.append(Choice("go_on", "Keep asking anyway", "g"))
    if place != "bay":
        actions.append(Choice("move", "Take the case to another place", "m"))
    actions.append(Choice("finish", "Write down how it ended", "h"))
    actions.append(Choice("answers", "Look at the answers, change one", "a"))
    actions.append(Choice("leave", "Back to the start", "q"))
    return actions
