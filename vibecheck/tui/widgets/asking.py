"""The question in hand: its words, its procedure, and the field or the choices to answer it."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Button, Input, OptionList, Static

from vibecheck.report import interview_page
from vibecheck.report.sentences import bare_unit, limit_text
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.interview import Question
from vibecheck.tui.block_text import block_text
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.entry import ReadingInput

MOST_KEYS = 9
_BUTTONS = (
    ("unsure", "u Not sure"), ("cannot", "c Can't here"), ("skip", "s Skip"),
    ("back", "b Back"), ("why", "w Why"),
)


class Asking(Vertical):
    """Shows one question. Posts `Answered` with a state, or with what was typed."""

    class Answered(Message):
        """A choice (`typed` False), or a text typed into the field."""

        def __init__(self, value: str, typed: bool) -> None:
            super().__init__()
            self.value, self.typed = value, typed

    class Pressed(Message):
        """One of the buttons under the question, by the name of its action."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self) -> None:
        super().__init__(id="asking")
        self.question: Question | None = None
        self._same: tuple[str, str, str | None] | None = None

    def compose(self) -> ComposeResult:
        """The question, right under it the answers, then how the check is done."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(id="step")
            yield Static(id="question")
        with Vertical(id="answering"):
            yield Static(id="refusal")
            with Horizontal(id="field"):
                yield ReadingInput(name_id="entry")
                yield Static(id="unit")
            yield ChoiceList(name_id="choices")
            with Horizontal(id="buttons"):
                for name, label in _BUTTONS:
                    yield Button(plain(label), id=f"do-{name}", compact=True)
        with VerticalScroll(id="words", can_focus=False):
            yield Static(id="procedure")

    def on_mount(self) -> None:
        """The buttons are for the mouse; the keyboard has keys."""
        for button in self.query(Button):
            button.can_focus = False

    @property
    def entry(self) -> ReadingInput:
        """The field for a reading."""
        return self.query_one("#entry", ReadingInput)

    @property
    def choices(self) -> ChoiceList:
        """The list of answers."""
        return self.query_one("#choices", ChoiceList)

    @property
    def measured(self) -> bool:
        """True if the question in hand takes a typed value."""
        return self.question is not None and self.question.field.quantity is not None

    def show(self, found: Diagnosis, question: Question, wording: Wording) -> None:
        """Show a question; what is typed stays as long as the question is the same."""
        field, check = question.field, question.check
        same = (check.check, field.finding, field.corner)
        if same != self._same:
            self._same = same
            self.entry.value = ""
            self.refuse("")
            for words in ("#card", "#words"):
                self.query_one(words, VerticalScroll).scroll_home(animate=False)
        self.question = question
        self.query_one("#step", Static).update(step_text(found, question))
        self.query_one("#question", Static).update(block_text(
            interview_page.question_blocks(found, question, wording)))
        self.query_one("#procedure", Static).update(block_text(
            interview_page.procedure_page(found, question)))
        self.query_one("#field").display = self.measured
        limit = limit_text(found, field.finding, wording)
        self.query_one("#unit", Static).update(unit_text(bare_unit(field, wording), limit))
        self.choices.show(self._choices(), keep_place=same == self._same)
        self.choices.display = bool(self.choices.shown)

    def focus_answer(self) -> None:
        """Put the cursor where the answer is given."""
        target = self.entry if self.measured else self.choices
        target.focus(scroll_visible=False)

    def refuse(self, sentence: str) -> None:
        """Say why an answer was not taken; what was typed stays."""
        refusal = self.query_one("#refusal", Static)
        refusal.update(joined("! ", plain(sentence)) if sentence else "")
        refusal.display = bool(sentence)

    def choose(self, number: int) -> None:
        """Take the choice with this key, or type the digit where a value is asked for."""
        if self.measured:
            self.entry.focus()
            self.entry.insert_text_at_cursor(str(number))
        elif number <= len(self.choices.shown):
            self.post_message(self.Answered(self.choices.shown[number - 1].value, typed=False))

    def _choices(self) -> list[Choice]:
        if self.question is None:
            return []
        field = self.question.field
        return [
            Choice(
                state, label,
                key="" if self.measured or number > MOST_KEYS else str(number),
                remark="(answer so far)" if field.entry and state == field.entry.value else "",
            )
            for number, (state, label) in enumerate(field.rule.states.items(), start=1)
        ]

    @on(OptionList.OptionSelected, "#choices")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        choice = self.choices.shown[event.option_index]
        self.post_message(self.Answered(choice.value, typed=False))

    @on(Input.Submitted, "#entry")
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.Answered(event.value, typed=True))

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        event.stop()
        self.post_message(self.Pressed((event.button.id or "").removeprefix("do-")))


def step_text(found: Diagnosis, question: Question) -> Content:
    """Which question this is, of which check, and what it takes."""
    number = interview_page.step_text(question)
    if question.earlier:
        number = f"Earlier answer ({number.lower()}) - choose again, or Esc to leave it as it is"
    check = interview_page.check_text(found, question)
    return joined(line(number, "$text-muted"), "\n", line(check, "bold $accent"))


def unit_text(unit: str, limit: str) -> Content:
    """The unit of a bare number, and the limit."""
    parts = [line(unit, "bold") if unit else line("a number")]
    if limit:
        parts.append(joined("limit ", line(limit, "$text-muted")))
    return joined(*[piece for part in parts for piece in (part, "  ")])
