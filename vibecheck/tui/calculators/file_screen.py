"""A calculator that reads a file: worked out beside the screen, when it is asked for."""

from __future__ import annotations

from typing import Any, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from vibecheck.calculators.fields import Shape
from vibecheck.calculators.registry import Listed
from vibecheck.errors import VibecheckError
from vibecheck.metrology.note import Note
from vibecheck.report.calculators.record import working_text
from vibecheck.session.interview import Question
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.calculators.form import CalculatorForm
from vibecheck.tui.calculators.screen import CalculatorScreen
from vibecheck.tui.plain import joined, line, plain

TICK_S = 0.5


class Cancelled(Exception):
    """The person does not want the result any more."""


class FileCalculatorScreen(CalculatorScreen):
    """A calculator whose work is slow: progress, a way to stop, the result when it is there."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10,ctrl+r", "read", "Read file", key_display="F10"),
    ]

    class Told(Message):
        """What the run with this number is at."""

        def __init__(self, number: int, text: str) -> None:
            super().__init__()
            self.number, self.text = number, text

    class Ended(Message):
        """The result of a run, or the complaint why there is none (a `VibecheckError`)."""

        def __init__(self, number: int, ended: Any) -> None:
            super().__init__()
            self.number, self.ended = number, ended

    def __init__(self, which: Listed, opened: OpenCase | None, question: Question | None) -> None:
        super().__init__(which, opened, question)
        self.file_field = next(each.name for each in self.fields if each.shape is Shape.FILE)
        self.busy = False
        self._at, self._since, self._number = "", 0.0, 0
        self._read_texts: dict[str, str] = {}

    def on_mount(self) -> None:
        """Show how long the work takes, as long as there is some."""
        self.set_interval(TICK_S, self._tick)

    def work_out(self) -> None:
        """A file is read when it is asked for; another field makes the result old."""
        if self._clear() == self._read_texts and (self.busy or self.result is not None):
            if self.result is not None:
                self.show_result()
            return
        self.stop()
        self.result = None
        self.show_result()
        if not any(text.strip() for text in self.form.texts().values()):
            self.show_nothing()
        else:
            named = self.form.holds(self.file_field)
            self.say("F10 reads the file" if named else "a file is wanted", wanted=True)

    def _clear(self) -> dict[str, str]:
        return self.form.clear_texts(self.wording)

    def action_read(self) -> None:
        """Begin to read the file."""
        self.stop()
        self.result = None
        self.show_result()
        self._read_texts = self._clear()
        self.busy, self._since = True, 0.0
        self._number += 1
        self.say("")
        self._told("reading the file")
        self._read(self._number, self._read_texts)

    @on(CalculatorForm.Entered)
    def _file_named(self, event: CalculatorForm.Entered) -> None:
        if event.done and event.field == self.file_field:
            self.action_read()

    @work(thread=True, exclusive=True, group="file", exit_on_error=False)
    def _read(self, number: int, texts: dict[str, str]) -> None:
        """Beside the screen: nothing here touches a widget."""
        worker = get_current_worker()

        def tell(note: Note) -> None:
            if worker.is_cancelled:
                raise Cancelled
            self.post_message(self.Told(number, working_text(note)))

        try:
            self.post_message(self.Ended(number, self.calculator.run(texts, tell)))
        except Cancelled:
            return
        except VibecheckError as error:
            self.post_message(self.Ended(number, error))

    @on(Told)
    def _on_told(self, event: Told) -> None:
        if self.busy and event.number == self._number:
            self._told(event.text)

    @on(Ended)
    def _on_ended(self, event: Ended) -> None:
        if not self.busy or event.number != self._number:
            return
        self.busy = False
        self.say("")
        failed = isinstance(event.ended, VibecheckError)
        self.result = None if failed else event.ended
        self.show_result()
        if failed:
            self.refuse(event.ended)

    @on(Worker.StateChanged)
    def _on_worker(self, event: Worker.StateChanged) -> None:
        """Work that broke off must not look as if it went on."""
        if event.state is WorkerState.ERROR and event.worker.group == "file":
            self.busy = False
            self.show_result()
            self.say(f"this file could not be worked out: {event.worker.error}")

    def _told(self, text: str) -> None:
        self._at = text
        moving = "|/-\\"[int(self._since / TICK_S) % 4]
        self.query_one("#calculator-result", Static).update(joined(
            f"{moving} {self._since:.0f} s: ", line(self._at, "bold"), "\n", plain("Esc stops it."),
        ))

    def _tick(self) -> None:
        if self.busy:
            self._since += TICK_S
            self._told(self._at)

    def stop(self) -> None:
        """Give up the work; what is typed stays."""
        self.workers.cancel_group(self, "file")
        self.busy = False
        self._read_texts = {}

    def action_leave(self) -> None:
        """Stop the work; without any, back."""
        if not self.busy:
            super().action_leave()
            return
        self.stop()
        self.show_result()
        self.say("stopped; F10 begins anew", wanted=True)

    def action_example(self) -> None:
        """Fill in the example and read it."""
        super().action_example()
        if self.is_example:
            self.action_read()
