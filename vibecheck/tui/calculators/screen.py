"""A calculator as a form: its fields, its result beside them, and the way into the case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from vibecheck.calculators.echo import doubtful_field, read_as, refuse_doubtful
from vibecheck.calculators.registry import Listed
from vibecheck.calculators.written_units import written_units
from vibecheck.errors import InputError, VibecheckError
from vibecheck.metrology.units.choice import Units
from vibecheck.report.blocks import Block, figures_of, words_of
from vibecheck.report.calculators.pages import calculator_page, read_as_blocks
from vibecheck.report.corners import CORNERS
from vibecheck.report.wording import Wording
from vibecheck.session.intake import setup_text, surfaces
from vibecheck.session.interview import Question
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.block_text import block_text
from vibecheck.tui.calculators.form import CalculatorForm
from vibecheck.tui.calculators.handover import hand_over, spoken_entries
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.plain import joined, line, plain, visible
from vibecheck.tui.styles import COMMON
from vibecheck.tui.surfaces import ask_unit
from vibecheck.tui.widgets.choices import Choice
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.widgets.plot import Plot

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry

INVENTED = "Example: invented values.\n"
_MOST_DIGIT_KEYS = 9


class CalculatorScreen(BaseScreen[bool]):
    """A calculator; dismissed with True if its result went into the case."""

    CSS_PATH = [COMMON, "../calculators.tcss"]
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

    def __init__(self, which: Listed, opened: OpenCase | None, question: Question | None) -> None:
        super().__init__()
        self.calculator = which.load()
        self.ABOUT_TITLE, self.ABOUT = which.title, self.calculator.about
        self.fields = self.calculator.fields
        self.opened, self.question = opened, question
        self.result: Any = None
        self.is_example = False
        self._before: dict[str, str] = {}

    def known(self) -> Mapping[str, str]:
        """What the case knows for the fields."""
        return self.calculator.known(self.opened.diagnosis.facts) if self.opened else {}

    # The screen

    def compose(self) -> ComposeResult:
        """Form and result side by side."""
        yield Static(classes="screen-title", id="calculator-title")
        with Horizontal(id="calculator"):
            with Vertical(id="calculator-left"):
                yield CalculatorForm(self.fields)
                yield Static(id="calculator-says", classes="quiet")
            with Vertical(id="calculator-right"):
                yield Static(id="calculator-word")
                with VerticalScroll(id="calculator-scroll", can_focus=False):
                    yield Static(id="calculator-result")
                yield Plot(name_id="calculator-plot")
        yield KeyLine()

    def on_mount(self) -> None:
        """Bring back what was typed before, and what the case knows."""
        drafts = self.vibecheck.drafts
        typed = next((drafts[key] for key in self.draft_keys if drafts.get(key)), {})
        facts = self.opened.diagnosis.facts if self.opened else {}
        self.form.write({**self.calculator.known_beside(facts, typed), **typed})
        self.form.show_units(self.wording)
        self.show_title()
        self.work_out()

    @property
    def form(self) -> CalculatorForm:
        """The fields."""
        return self.query_one(CalculatorForm)

    @property
    def wording(self) -> Wording:
        """How values are said, in the units chosen."""
        return self.vibecheck.wording

    @property
    def page(self) -> tuple[Block, ...]:
        """The result as it is shown; empty without one."""
        if self.result is None:
            return ()
        page = calculator_page(self.calculator.name, self.result, self.wording)
        read = read_as(self.calculator, self.form.texts(), self.form.clear_texts(self.wording))
        return (*page, *read_as_blocks(read))

    @property
    def corner(self) -> str | None:
        """The corner of the check in hand."""
        return self.question.check.corner if self.question else None

    @property
    def draft_key(self) -> str:
        """Under which name the typed texts are kept."""
        case = self.opened.case.id if self.opened else ""
        return f"{self.calculator.name}/{case}/{self.corner or ''}"

    @property
    def draft_keys(self) -> tuple[str, ...]:
        """Where typed texts may come from: also from before the case was open, in this run."""
        loose = f"{self.calculator.name}//"
        foreign = self.opened is not None and loose in self.vibecheck.from_before
        return (self.draft_key,) if foreign else (self.draft_key, loose)

    def show_title(self) -> None:
        """Calculator, corner and units."""
        at = f" - {CORNERS[self.corner]}" if self.corner else ""
        case = f"case: {self.opened.case.title}" if self.opened else "without a case"
        self.query_one("#calculator-title", Static).update(joined(
            line(self.ABOUT_TITLE + at), " - ", line(case, most=60),
            f" - {self.wording.units.length}, {self.wording.units.speed}",
        ))

    @on(CalculatorForm.Changed)
    def _changed(self) -> None:
        self.is_example = self.is_example and self.form.texts() == self.example_texts()
        self.form.show_units(self.wording)
        self.keep_draft()
        self.work_out()

    def keep_draft(self) -> None:
        """Keep what is typed, for when it is opened again; an example is not kept.

        What the case fills in is not either: the case may know better next time.
        """
        texts, known = self._before if self.is_example else self.form.texts(), self.known()
        self.vibecheck.drafts[self.draft_key] = {
            name: text for name, text in texts.items() if text != known.get(name, "")
        }

    def work_out(self) -> None:
        """Show the result of what is typed now."""
        texts = self.form.texts()
        self.result = None
        if not any(text.strip() for text in texts.values()):
            self.show_nothing()
            return
        try:
            written = self.form.clear_texts(self.wording)
            refuse_doubtful(self.calculator, texts, written)
            self.result = self.calculator.run(written)
        except VibecheckError as error:
            self.refuse(error)
        self.show_result()

    def show_result(self) -> None:
        """Show the result, or nothing."""
        page = self.page
        if page:
            self.say("")
            self.form.mark("")
        head = plain(INVENTED, "italic") if page and self.is_example else ""
        shown = joined(head, block_text(words_of(page)))
        self.query_one("#calculator-result", Static).update(shown)
        drawn = figures_of(page)
        self.query_one("#calculator-plot", Plot).show(drawn[0].figure if drawn else None)

    def show_nothing(self) -> None:
        """Say what this calculator wants, as long as nothing is typed."""
        self.say("")
        self.form.mark("")
        self.query_one("#calculator-result", Static).update(
            plain(f"{self.calculator.empty}\n\nF5 shows an example."))
        self.query_one("#calculator-plot", Plot).show(None)

    def refuse(self, error: VibecheckError) -> None:
        """Say why there is no result; what is not filled in yet is wanted, not wrong."""
        where = error.where if isinstance(error, InputError) else ""
        field = self.field_of(where)
        wanted = self.label_wanted(where, field)
        if wanted and isinstance(error, InputError):
            self.form.mark("")
            self.say(f"{wanted}: {error.what}; {error.instead}".rstrip("; "), wanted=True)
            return
        self.form.mark(field)
        self.say(self.spoken(error, field))

    def label_wanted(self, where: str, field: str) -> str:
        """The label of a field or group that a complaint finds unfilled, "" if it is filled."""
        if field and not self.form.holds(field):
            return next(each.label for each in self.fields if each.name == field)
        texts = self.form.texts()
        return next((group.label for group in self.calculator.groups
                     if group.name == where and len(group.filled(texts)) < group.least), "")

    def field_of(self, where: str) -> str:
        """The field that a complaint is about, "" if none is."""
        name = where.partition(",")[0].strip()
        return name if any(each.name == name for each in self.fields) else ""

    def spoken(self, error: VibecheckError, field: str) -> str:
        """A complaint with the field's name as it stands on the screen."""
        if not field or not isinstance(error, InputError):
            return str(error)
        label = next(each.label for each in self.fields if each.name == field)
        return str(InputError(error.what, label, error.instead))

    def say(self, sentence: str, *, wanted: bool = False) -> None:
        """Say why something was not done, and leave it there to be read."""
        word = self.query_one("#calculator-word", Static)
        mark = "? " if wanted else "! "
        word.update(joined(mark, plain(sentence)) if sentence else "")
        word.set_class(wanted, "wanted")
        word.display = bool(sentence)

    @on(CalculatorForm.Entered)
    def _entered(self, event: CalculatorForm.Entered) -> None:
        if event.done and not self.ask_doubtful(event.field):
            self.app.action_focus_next()
        else:
            self.query_one("#calculator-says", Static).update(self.form.says(event.field))

    def ask_doubtful(self, field: str = "") -> bool:
        """Ask for the unit of a bare runout that makes more sense in another one, if there is one
        (in this field); whether it was asked."""
        texts = self.form.texts()
        try:
            found = doubtful_field(self.calculator, texts, self.form.clear_texts(self.wording))
        except VibecheckError:
            return False  # it is said beside the fields what is wrong
        if found is None or (field and field not in found.names):
            return False

        def told(unit: str) -> None:
            written = written_units(self.fields, texts, lambda _: unit)
            self.form.write({name: written[name] for name in found.names})

        ask_unit(self.app, [texts[name] for name in found.names], found.units,
                 "It has no unit.", told)
        return True

    # Keys

    def example_texts(self) -> dict[str, str]:
        """The example in all fields."""
        example = self.calculator.examples[0].texts
        return {each.name: example.get(each.name, "") for each in self.fields}

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
        if not self.is_example and self.ask_doubtful():
            return
        if self.is_example and self.opened is not None:
            self.say("these are invented example values; type your own before they go into a case")
            return
        if self.calculator.takes_surface and self.opened is not None and self.result is not None:
            self._ask_surface(self.opened)
        else:
            self._hand_over("")

    def _ask_surface(self, opened: OpenCase) -> None:
        """Ask where it was read."""
        choices = [
            Choice(name, opened.library.findings[name].name,
                   str(number) if number <= _MOST_DIGIT_KEYS else "")
            for number, name in enumerate(surfaces(opened.library), start=1)
        ]

        def back(surface: str | None) -> None:
            if surface is not None:
                self._work_out_at(opened, surface)
                self._hand_over(surface)

        self.app.push_screen(
            ChoiceDialog("Where was it read?", plain("A tire that is still on the wheel belongs "
                         "to the assembly."), choices), back,
        )

    def _work_out_at(self, opened: OpenCase, surface: str) -> None:
        """The result again, with the spread of setting-up that this surface has."""
        written = self.form.clear_texts(self.wording)
        written["setup"] = written["setup"] or setup_text(opened.library, surface)
        self.result = self.calculator.run(written)

    def _hand_over(self, surface: str) -> None:
        hand_over(self.app, self.opened, self.calculator, self.result, self.wording,
                  self.corner, surface, self.taken)

    def taken(self, refused: str, entries: Sequence[Entry]) -> None:
        """Show why nothing was taken, or go back to the visit."""
        if refused:
            self.say(visible(refused))
            return
        if self.opened is not None:
            told = spoken_entries(self.opened, tuple(entries))
            self.app.notify(visible(told, 300), markup=False, timeout=6)
        for key in self.draft_keys:
            self.vibecheck.drafts.pop(key, None)
        self.dismiss(True)

    def action_words(self) -> None:
        """Between the drawing and rows of words."""
        self.query_one("#calculator-plot", Plot).toggle_words()

    def action_fold(self) -> None:
        """Open or close the fold of rarely wanted fields."""
        self.form.open_fold()

    def action_wipe(self) -> None:
        """Empty every field."""
        self.is_example = False
        self.form.write({each.name: "" for each in self.fields})

    def action_leave(self) -> None:
        """Back; what was typed is kept."""
        self.dismiss(False)

    def action_scroll_result(self, lines: int) -> None:
        """Scroll the result."""
        self.query_one("#calculator-scroll").scroll_relative(y=lines, animate=False)

    # Units

    def units_changing(self, old: Units) -> None:
        """Write the unit behind bare numbers, before another one counts."""
        self.form.write(self.form.clear_texts(Wording(old)))

    def units_changed(self) -> None:
        """Show values in the other unit."""
        if self.is_mounted:
            self.form.show_units(self.wording)
            self.show_title()
            self.work_out()
