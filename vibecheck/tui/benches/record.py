"""The record bench: an acceleration file from a phone, worked out beside the screen."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from vibecheck.errors import VibecheckError
from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.invented import INVENTED_TIRE, invented_record
from vibecheck.session.benches.record import RecordTyped, RecordView, run
from vibecheck.session.benches.result import BenchView
from vibecheck.session.interview import Question
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.driveline import DRIVELINE_SLOTS, known_driveline, typed_driveline
from vibecheck.tui.benches.slots import BenchForm, Slot
from vibecheck.tui.plain import joined, line, plain

TICK_S = 0.5


class Cancelled(Exception):
    """The person does not want the result any more."""


class RecordBench(BenchScreen):
    """Spectrum with order marks, the orders that shake, and how people feel it."""

    NAME = "record"
    ABOUT_TITLE = "Record from a phone"
    ABOUT = (
        "Type or paste the name of an acceleration file as phones export it (CSV), and the tire "
        "size; press Enter or F10 to read it. With the speed in the file, or a speed that was "
        "held, the shake is tied to what turns. Fix the phone well, flat, and drive where it "
        "shakes; a passenger handles the phone. A long file takes a moment: Esc stops the work."
    )
    EMPTY = (
        "Type the name of an acceleration file and press F10 to read it.\n\nF5 makes an example "
        "file with invented values and shows it."
    )
    SLOTS = (
        Slot("file", "File", "shake.csv", "The CSV file that the phone exported."),
        Slot("tire", "Tire size", "205/55R16", "As it stands on the tire's side."),
        Slot("speed", "Speed held", "100 {unit}",
             "Only if one speed was held, and the file has no speed of its own.", Quantity.SPEED),
        Slot("forward", "Pointed forward", "x or y",
             "The axis of the phone that pointed forward, if it lay flat."),
        *DRIVELINE_SLOTS,
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10,ctrl+r", "read", "Read file", key_display="F10"),
    ]

    class Told(Message):
        """What the run with this number is at."""

        def __init__(self, number: int, text: str) -> None:
            super().__init__()
            self.number, self.text = number, text

    class Ended(Message):
        """The result of a run, or the complaint why there is none."""

        def __init__(self, number: int, ended: RecordView | VibecheckError) -> None:
            super().__init__()
            self.number, self.ended = number, ended

    def __init__(self, desk: OpenCase | None, question: Question | None) -> None:
        super().__init__(desk, question)
        self.busy = False
        self._at, self._since, self._number = "", 0.0, 0
        self._invented: Path | None = None
        self._read_texts: dict[str, str] = {}

    def on_mount(self) -> None:
        """Show how long the work takes, as long as there is some."""
        self.set_interval(TICK_S, self._tick)

    def work_out(self) -> None:
        """A file is read when it is asked for; another field makes the result old."""
        if self._clear() == self._read_texts and (self.busy or self.view is not None):
            if self.view is not None:
                self.show_view()
            return
        self.stop()
        self.view = None
        self.show_view()
        if not any(text.strip() for text in self.form.texts().values()):
            self.show_nothing()
        else:
            self.say("F10 reads the file" if self.form.holds("file") else "a file is wanted",
                     wanted=True)

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The result, worked out here and now."""
        return run(_typed(texts))

    def _clear(self) -> dict[str, str]:
        return self.form.clear_texts(self.units)

    def action_read(self) -> None:
        """Begin to read the file."""
        self.stop()
        self.view = None
        self.show_view()
        self._read_texts = self._clear()
        self.busy, self._since = True, 0.0
        self._number += 1
        self.say("")
        self._told("reading the file")
        self._read(self._number, _typed(self._read_texts))

    @on(BenchForm.Entered)
    def _file_named(self, event: BenchForm.Entered) -> None:
        if event.done and event.field == "file":
            self.action_read()

    @work(thread=True, exclusive=True, group="record", exit_on_error=False)
    def _read(self, number: int, typed: RecordTyped) -> None:
        """Beside the screen: nothing here touches a widget."""
        worker = get_current_worker()

        def tell(text: str) -> None:
            if worker.is_cancelled:
                raise Cancelled
            self.post_message(self.Told(number, text))

        try:
            self.post_message(self.Ended(number, run(typed, tell)))
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
        if isinstance(event.ended, RecordView):
            self.view = event.ended
            self.show_view()
        else:
            self.show_view()
            self.refuse(event.ended)

    @on(Worker.StateChanged)
    def _on_worker(self, event: Worker.StateChanged) -> None:
        """Work that broke off must not look as if it went on."""
        if event.state is WorkerState.ERROR and event.worker.group == "record":
            self.busy = False
            self.show_view()
            self.say(f"this file could not be worked out: {event.worker.error}")

    def _told(self, text: str) -> None:
        self._at = text
        moving = "|/-\\"[int(self._since / TICK_S) % 4]
        self.query_one("#bench-result", Static).update(joined(
            f"{moving} {self._since:.0f} s: ", line(self._at, "bold"), "\n", plain("Esc stops it."),
        ))

    def _tick(self) -> None:
        if self.busy:
            self._since += TICK_S
            self._told(self._at)

    def stop(self) -> None:
        """Give up the work; what is typed stays."""
        self.workers.cancel_group(self, "record")
        self.busy = False
        self._read_texts = {}

    def action_leave(self) -> None:
        """Stop the work; without any, back."""
        if not self.busy:
            super().action_leave()
            return
        self.stop()
        self.show_view()
        self.say("stopped; F10 begins anew", wanted=True)

    def example_texts(self) -> dict[str, str]:
        """A file with invented values, and its tire."""
        if self._invented is None:
            made: list[Path] = []
            refused = attempt(lambda: made.append(invented_record()))
            if refused:
                self.say(refused)
                return self.form.texts()
            self._invented = made[0]
        return {**super().example_texts(), "file": str(self._invented), "tire": INVENTED_TIRE}

    def action_example(self) -> None:
        """Fill in the example and read it."""
        super().action_example()
        if self.is_example:
            self.action_read()

    def known(self) -> Mapping[str, str]:
        """What the case knows of the car."""
        if self.desk is None:
            return {}
        return known_driveline(RecordTyped(file=""), self.desk.diagnosis.facts)


def _typed(texts: Mapping[str, str]) -> RecordTyped:
    return RecordTyped(
        file=texts["file"].strip().strip("'\""), tire=texts["tire"], speed=texts["speed"],
        forward=texts["forward"], **typed_driveline(texts),
    )
