"""Everything that was answered, noted and passed over: to change, or to take back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static

from vibecheck.casebook.journal import active_steps, retracted_ids
from vibecheck.report.corners import CORNERS
from vibecheck.report.names import finding_name
from vibecheck.report.sentences import shown_answer
from vibecheck.report.wording import Wording
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.phrases import ZONES
from vibecheck.tui.plain import joined, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.keyline import KeyLine

_STEP_WORDS = {"done": "done", "skipped": "skipped", "cannot": "cannot be done here"}


@dataclass(frozen=True)
class _Row:
    """One entry: its id, the finding it can be changed through (if any), its words."""

    entry: str
    text: str
    remark: str
    finding: str = ""
    corner: str | None = None


class AnswersScreen(BaseScreen[tuple[str, str | None] | None]):
    """Gives the finding (and corner) to be answered anew, or None."""

    ABOUT_TITLE = "the answers"
    ABOUT = (
        "Every answer, reading, note and skipped check of this visit, the newest last. Enter "
        "changes an answer. Del takes an entry back as if it had never been given; z brings back "
        "what was taken back last. Nothing is ever deleted from the case."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,a", "dismiss", "Back", key_display="Esc"),
        Binding("enter", "change", "Change", show=True),
        Binding("delete,d", "take_back", "Take back", key_display="Del"),
        Binding("z", "bring_back", "Bring back"),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened
        self._rows: list[_Row] = []
        self._taken_back: list[str] = []

    def compose(self) -> ComposeResult:
        """The list and a line for refusals."""
        yield Static("Answers, readings, notes and skipped checks", classes="screen-title")
        yield ChoiceList(name_id="entries")
        yield Static(id="entries-word")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show them, the newest under the cursor."""
        self._show()
        entries = self.query_one("#entries", ChoiceList)
        if self._rows:
            entries.highlighted = len(self._rows) - 1
        entries.focus()

    def _show(self) -> None:
        self._rows = _rows(self.opened, self.vibecheck.wording)
        entries = self.query_one("#entries", ChoiceList)
        choices = [Choice(row.entry, row.text, remark=row.remark) for row in self._rows]
        entries.show(choices or [Choice("", "Nothing yet.", enabled=False)], keep_place=True)

    @on(OptionList.OptionSelected, "#entries")
    def _selected(self) -> None:
        self.action_change()

    def action_change(self) -> None:
        """Answer the one under the cursor anew."""
        row = self._row
        if row is not None and row.finding:
            self.dismiss((row.finding, row.corner))
        elif row is not None:
            self._say("this cannot be answered anew; Del takes it back")

    def action_take_back(self) -> None:
        """Take the one under the cursor back."""
        row = self._row
        if row is None:
            return
        word = attempt(lambda: self._taken_back.append(self.opened.retract(row.entry).id))
        self._say(word or "taken back; z brings it back")
        self._show()

    def action_bring_back(self) -> None:
        """Bring back what was taken back last."""
        if not self._taken_back:
            self._say("nothing was taken back here")
            return
        last = self._taken_back[-1]
        word = attempt(lambda: self.opened.retract(last))
        if not word:
            self._taken_back.pop()
        self._say(word or "it counts again")
        self._show()

    def units_changed(self) -> None:
        """Show readings in the other unit."""
        self._show()

    @property
    def _row(self) -> _Row | None:
        at = self.query_one("#entries", ChoiceList).highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    def _say(self, text: str) -> None:
        self.query_one("#entries-word", Static).update(joined(plain(text)))


def _rows(opened: OpenCase, wording: Wording) -> list[_Row]:
    found = opened.diagnosis
    answers = {answer.entry.id: answer for answer in found.answers}
    steps = {entry.id for entry in active_steps(opened.case)}
    gone = retracted_ids(opened.case)
    rows = []
    for entry in opened.case.in_order:
        when = f"({entry.at[:16].replace('T', ' ')}, {entry.place})"
        if entry.id in answers:
            answer = answers[entry.id]
            text = f"{finding_name(found.library, answer.spot)}: "
            text += shown_answer(found, answer, wording)
            text += f"  {ZONES[answer.zone]}" if answer.judged else ""
            rows.append(_Row(entry.id, text, when, answer.finding, answer.corner))
        elif entry.id in steps:
            check = opened.library.checks[entry.check]
            where = f", {CORNERS[entry.corner]}" if entry.corner else ""
            word = _STEP_WORDS.get(entry.value, entry.value)
            rows.append(_Row(entry.id, f"Check {word}: {check.name}{where}", when))
        elif entry.kind == "note" and entry.id not in gone:
            rows.append(_Row(entry.id, f"Note: {entry.text}", when))
    return rows
