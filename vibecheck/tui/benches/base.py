"""What all bench screens share: a form, its result beside it, and the way into the case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from vibecheck.errors import InputError, VibecheckError
from vibecheck.report.lines import CORNERS
from vibecheck.session.benches.result import BenchView
from vibecheck.session.interview import Question
from vibecheck.session.open_case import OpenCase
from vibecheck.session.unitchoice import Units
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.benches.handover import hand_over, spoken_entries
from vibecheck.tui.benches.outcome import outcome_text, picture_of
from vibecheck.tui.benches.slots import BenchForm, Slot
from vibecheck.tui.plain import joined, line, plain, visible
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.widgets.plot import Plot

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry

INVENTED = "Example: invented values.\n"


class BenchScreen(BaseScreen[bool]):
    """A bench; dismissed with True if its result went into the case."""

    CSS_PATH = "../benches.tcss"
    NAME: ClassVar[str] = ""
    SLOTS: ClassVar[tuple[Slot, ...]] = ()
    EXAMPLE: ClassVar[Mapping[str, str]] = {}
    EMPTY: ClassVar[str] = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f5", "example", "Example", key_display="F5"),
        Binding("f6,ctrl+s", "take", "Into case", key_display="F6"),
        Binding("f7", "words", "Picture", key_display="F7"),
        Binding("f8", "fold", "More", key_display="F8"),
        Binding("f9", "wipe", "Empty all fields", key_display="F9", show=False),
        Binding("escape", "leave", "Leave", key_display="Esc"),
        Binding("pageup", "scroll_result(-6)", "Result up", show=False, priority=True),
        Binding("pagedown", "scroll_result(6)", "Result down", show=False, priority=True),
        Binding("up", "app.focus_previous", "Field before", show=False),
        Binding("down", "app.focus_next", "Field after", show=False),
    ]

    def __init__(self, desk: OpenCase | None, question: Question | None) -> None:
        super().__init__()
        self.desk, self.question = desk, question
        self.view: BenchView | None = None
        self.is_example = False
        self._before: dict[str, str] = {}

    # For each bench

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The result of what is typed, every unit written out.

        Raises
        ------
        InputError family : what is typed cannot be used.
        """
        raise NotImplementedError

    def known(self) -> Mapping[str, str]:
        """What the case knows for the fields."""
        return {}

    # The screen

    def compose(self) -> ComposeResult:
        """Form and result side by side."""
        yield Static(classes="screen-title", id="bench-title")
        with Horizontal(id="bench"):
            with Vertical(id="bench-left"):
                yield BenchForm(self.SLOTS)
                yield Static(id="bench-says", classes="quiet")
            with Vertical(id="bench-right"):
                yield Static(id="bench-word")
                with VerticalScroll(id="bench-scroll", can_focus=False):
                    yield Static(id="bench-result")
                yield Plot(name_id="bench-plot")
        yield KeyLine()

    def on_mount(self) -> None:
        """Bring back what was typed before, and what the case knows."""
        drafts = self.vibecheck.drafts
        typed = next((drafts[key] for key in self.draft_keys if drafts.get(key)), {})
        self.form.write({**self.known(), **typed})
        self.form.show_units(self.units)
        self.show_title()
        self.work_out()

    @property
    def form(self) -> BenchForm:
        """The fields."""
        return self.query_one(BenchForm)

    @property
    def units(self) -> Units:
        """The units chosen."""
        return self.vibecheck.units

    @property
    def corner(self) -> str | None:
        """The corner of the check in hand."""
        return self.question.check.corner if self.question else None

    @property
    def draft_key(self) -> str:
        """Under which name the typed texts are kept."""
        case = self.desk.case.id if self.desk else ""
        return f"{self.NAME}/{case}/{self.corner or ''}"

    @property
    def draft_keys(self) -> tuple[str, ...]:
        """Where typed texts may come from: also from before the case was open, in this run."""
        loose = f"{self.NAME}//"
        foreign = self.desk is not None and loose in self.vibecheck.from_before
        return (self.draft_key,) if foreign else (self.draft_key, loose)

    def show_title(self) -> None:
        """Bench, corner and units."""
        at = f" - {CORNERS[self.corner]}" if self.corner else ""
        case = f"case: {self.desk.case.title}" if self.desk else "without a case"
        self.query_one("#bench-title", Static).update(joined(
            line(self.ABOUT_TITLE + at), " - ", line(case, most=60),
            f" - {self.units.length}, {self.units.speed}",
        ))

    @on(BenchForm.Changed)
    def _changed(self) -> None:
        self.is_example = self.is_example and self.form.texts() == self.example_texts()
        self.keep_draft()
        self.work_out()

    def keep_draft(self) -> None:
        """Keep what is typed, for when the bench is opened again; an example is not kept.

        What the case fills in is not either: the case may know better next time.
        """
        texts, known = self._before if self.is_example else self.form.texts(), self.known()
        self.vibecheck.drafts[self.draft_key] = {
            name: text for name, text in texts.items() if text != known.get(name, "")
        }

    def work_out(self) -> None:
        """Show the result of what is typed now."""
        texts = self.form.texts()
        self.view = None
        if not any(text.strip() for text in texts.values()):
            self.show_nothing()
            return
        try:
            self.view = self.result_of(self.form.clear_texts(self.units))
        except VibecheckError as error:
            self.refuse(error)
        self.show_view()

    def show_view(self) -> None:
        """Show the result, or nothing."""
        view = self.view
        if view is not None:
            self.say("")
            self.form.mark("")
        shown = outcome_text(view) if view else plain("")
        head = plain(INVENTED, "italic") if view and self.is_example else ""
        self.query_one("#bench-result", Static).update(joined(head, shown))
        picture = picture_of(view.plot, self.units) if view else None
        self.query_one("#bench-plot", Plot).show(picture)

    def show_nothing(self) -> None:
        """Say what this bench wants, as long as nothing is typed."""
        self.say("")
        self.form.mark("")
        self.query_one("#bench-result", Static).update(plain(self.EMPTY))
        self.query_one("#bench-plot", Plot).show(None)

    def refuse(self, error: VibecheckError) -> None:
        """Say why there is no result; a field not filled yet is wanted, not wrong."""
        where = error.where if isinstance(error, InputError) else ""
        field = self.field_of(where)
        if field and not self.form.holds(field) and isinstance(error, InputError):
            self.form.mark("")
            label = next(slot.label for slot in self.SLOTS if slot.name == field)
            self.say(f"{label}: {error.what}; {error.instead}".rstrip("; "), wanted=True)
            return
        self.form.mark(field)
        self.say(self.spoken(error, field))

    def field_of(self, where: str) -> str:
        """The field that a complaint is about, "" if none is."""
        name = where.partition(",")[0].strip()
        return name if any(slot.name == name for slot in self.SLOTS) else ""

    def spoken(self, error: VibecheckError, field: str) -> str:
        """A complaint with the field's name as it stands on the screen."""
        if not field or not isinstance(error, InputError):
            return str(error)
        label = next(slot.label for slot in self.SLOTS if slot.name == field)
        return str(InputError(error.what, label, error.instead))

    def say(self, sentence: str, *, wanted: bool = False) -> None:
        """Say why something was not done, and leave it there to be read."""
        word = self.query_one("#bench-word", Static)
        mark = "? " if wanted else "! "
        word.update(joined(mark, plain(sentence)) if sentence else "")
        word.set_class(wanted, "wanted")
        word.display = bool(sentence)

    @on(BenchForm.Entered)
    def _entered(self, event: BenchForm.Entered) -> None:
        if event.done:
            self.app.action_focus_next()
        else:
            self.query_one("#bench-says", Static).update(self.form.says(event.field))

    # Keys

    def example_texts(self) -> dict[str, str]:
        """The example in all fields."""
        return {slot.name: self.EXAMPLE.get(slot.name, "") for slot in self.SLOTS}

    def action_example(self) -> None:
        """Fill in the example; what was typed can be brought back with the same key."""
        if self.is_example:
            self.is_example = False
            self.form.write(self._before)
        else:
            self._before = self.form.texts()
            self.is_example = True
            self.form.write(self.example_texts())

    def action_take(self) -> None:
        """Take the result of what stands in the fields into the case."""
        self.work_out()
        if self.is_example and self.desk is not None:
            self.say("these are invented example values; type your own before they go into a case")
            return
        hand_over(self.vibecheck, self.desk, self.view, self.corner, "", self.taken)

    def taken(self, refused: str, entries: Sequence[Entry]) -> None:
        """Show why nothing was taken, or go back to the visit."""
        if refused:
            self.say(visible(refused))
            return
        if self.desk is not None:
            told = spoken_entries(self.desk, tuple(entries))
            self.app.notify(visible(told, 300), markup=False, timeout=6)
        for key in self.draft_keys:
            self.vibecheck.drafts.pop(key, None)
        self.dismiss(True)

    def action_words(self) -> None:
        """Between the drawing and rows of words."""
        self.query_one("#bench-plot", Plot).toggle_words()

    def action_fold(self) -> None:
        """Open or close the fold of rarely wanted fields."""
        self.form.open_fold()

    def action_wipe(self) -> None:
        """Empty every field."""
        self.is_example = False
        self.form.write({slot.name: "" for slot in self.SLOTS})

    def action_leave(self) -> None:
        """Back; what was typed is kept."""
        self.dismiss(False)

    def action_scroll_result(self, lines: int) -> None:
        """Scroll the result."""
        self.query_one("#bench-scroll").scroll_relative(y=lines, animate=False)

    # Units

    def units_changing(self, old: Units) -> None:
        """Write the unit behind bare numbers, before another one counts."""
        self.form.write(self.form.clear_texts(old))

    def units_changed(self) -> None:
        """Show values in the other unit."""
        if self.is_mounted:
            self.form.show_units(self.units)
            self.show_title()
            self.work_out()
