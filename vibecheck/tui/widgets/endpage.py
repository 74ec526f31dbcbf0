"""The end of an interview: the word, what to do, what to ask for, and what can follow."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static

from vibecheck.report.lines import PARTS, minutes
from vibecheck.session.ending import Ending
from vibecheck.session.interview import Ended
from vibecheck.session.views import RemedyChoice, SessionView
from vibecheck.tui.phrases import minutes_range, percent
from vibecheck.tui.plain import joined, line, plain, sentence, stacked
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

    def show(
        self, ending: Ending, ended: Ended, view: SessionView,
        outcome: tuple[tuple[str, str], ...] = (),
    ) -> None:
        """Show how the interview ended, and the visit where that is written down."""
        self.query_one("#headline", Static).update(
            joined(line(ending.headline, "bold"), "\n", line(sentence(ended.value), "$text-muted"))
        )
        self.query_one("#ending-text", Static).update(
            Content("\n\n").join([*outcome_text(outcome), ending_text(ending, view)])
        )
        self.query_one("#actions", ChoiceList).show(_actions(ended, view))

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


def outcome_text(outcome: tuple[tuple[str, str], ...]) -> list[Content]:
    """How the visit ended, as one paragraph; none where that is not written down."""
    if not outcome:
        return []
    rows = [joined(f"  {caption}: ", plain(text)) for caption, text in outcome]
    return [stacked([Content.styled("How it ended", "bold"), *rows])]


def ending_text(ending: Ending, view: SessionView) -> Content:
    """What it rests on, in paragraphs."""
    parts = [plain(sentence(ending.text))]
    if ending.bay_minutes is not None:
        time = line(minutes_range(ending.bay_minutes), "bold")
        parts.append(joined("Time in the bay to find the cause: ", time))
    if ending.requests:
        asks = [joined("  □ ", plain(each)) for each in ending.requests]
        parts.append(stacked([Content.styled("Ask for exactly this", "bold"), *asks]))
    if ending.remedy is not None:
        parts.append(remedy_text(ending.remedy))
    if ending.kind == "watch":
        parts.append(Content(
            "If it comes back or grows, note the speed, what you did just then and where you "
            "felt it, and answer the questions again."
        ))
    if view.drive.text not in ending.text:
        parts.append(joined("Driving: ", line(view.drive.word.value, "bold"), ". ",
                            plain(sentence(view.drive.text))))
    return Content("\n\n").join(parts)


def remedy_text(remedy: RemedyChoice) -> Content:
    """A remedy with its chance, its effort, how to do it and how to prove it."""
    about = (
        f"chance of cure {percent(remedy.chance)}, {minutes(remedy.minutes)}, "
        f"{PARTS.get(remedy.parts, remedy.parts)}"
    )
    parts = [joined(line(sentence(remedy.name), "bold"), " (", line(about), ")")]
    if remedy.here:
        parts += [
            joined(f"  {number}. ", plain(step)) for number, step in enumerate(remedy.steps, 1)
        ]
    parts.append(joined("  Proof that it worked: ", plain(remedy.verify)))
    parts.append(joined("  If it comes back: ", plain(remedy.comeback)))
    parts += [joined("  ▲ ", plain(caution)) for caution in remedy.cautions]
    return stacked(parts)


def _actions(ended: Ended, view: SessionView) -> list[Choice]:
    actions = [
        Choice("sheet", "See and keep the sheet", "p"),
        Choice("ranking", "See the ranking and the remedies", "r"),
    ]
    if ended is not Ended.NOTHING:
        actions.append(Choice("go_on", "Ask on all the same", "g"))
    if view.place != "bay":
        actions.append(Choice("move", "Take the case to another place", "m"))
    actions.append(Choice("finish", "Write down how it ended", "h"))
    actions.append(Choice("answers", "Look at the answers, change one", "a"))
    actions.append(Choice("leave", "Back to the start", "q"))
    return actions
