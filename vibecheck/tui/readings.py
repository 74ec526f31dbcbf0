"""Readings round the wheel: type a number and Enter, and the next place is in hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import DataTable, Static

from vibecheck.calculators.reading_sheet import LENGTH_UNITS, RoundSheet
from vibecheck.calculators.runout import CALCULATOR, RunoutResult
from vibecheck.calculators.written_units import with_unit
from vibecheck.errors import ReadingError
from vibecheck.metrology.units.choice import Units
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.calculators.runout import turn_figure
from vibecheck.session.intake import setup_text
from vibecheck.session.interview import Question
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.calculators.handover import hand_over, spoken_entries
from vibecheck.tui.plain import joined, plain, visible
from vibecheck.tui.readings_texts import comment, place_marks, place_text, result_text, title_text
from vibecheck.tui.styles import COMMON
from vibecheck.tui.surfaces import (
    SheetSurface,
    ask_count,
    ask_surface,
    ask_unit,
    limit_mm,
    limit_of,
    surfaces_of,
)
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.widgets.plot import Plot
from vibecheck.tui.widgets.roundgrid import GaugeInput, RoundGrid

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry


class ReadingsScreen(BaseScreen[bool]):
    """One sheet for each surface; dismissed with True if a result went into the case."""

    CSS_PATH = [COMMON, "calculators.tcss"]
    ABOUT_TITLE = "Readings round the wheel"
    ABOUT = (
        "Mark the valve stem: the first reading is there, the others follow evenly in the "
        "direction of rotation. Type a reading and press Enter; the next place is in hand at "
        "once, so a gauge that types its values works as a keyboard. A column copied from "
        "elsewhere can be pasted. A bare number counts in the unit shown; 18 thou and .46 mm "
        "work as well. Enter in the empty field passes over a place, Delete empties it, u takes "
        "the last step back. Each surface has a sheet of its own. H and L mark high and low, * "
        "a reading that stands out alone, ? one whose unit is in doubt, ! one that cannot "
        "be read."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "surface", "Surface"),
        Binding("n", "count", "Number"),
        Binding("u,ctrl+z", "undo", "Undo", key_display="u"),
        Binding("x", "wipe", "Empty the sheet", show=False),
        Binding("f5", "example", "Example", key_display="F5"),
        Binding("f6,ctrl+s", "take", "Into case", key_display="F6"),
        Binding("f7", "words", "Picture", key_display="F7"),
        Binding("f8", "settle", "Unit of the readings", show=False),
        Binding("up", "move(-1)", "Up", show=False, priority=True),
        Binding("down", "move(1)", "Down", show=False, priority=True),
        Binding("pageup", "scroll_result(-5)", "Result up", show=False),
        Binding("pagedown", "scroll_result(5)", "Result down", show=False),
        Binding("escape", "leave", "Leave", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase | None, question: Question | None) -> None:
        super().__init__()
        self.opened, self.question = opened, question
        self.surfaces = surfaces_of(opened, question)
        self.surface = self.surfaces[0]
        self.result: RunoutResult | None = None
        self._prefilled = ""

    def compose(self) -> ComposeResult:
        """The sheet on the left, result and picture on the right."""
        yield Static(classes="screen-title", id="round-title")
        with Horizontal(id="round"):
            with Vertical(id="round-left"):
                yield RoundGrid(name_id="round-grid")
                with Horizontal(id="round-field"):
                    yield GaugeInput(name_id="round-entry")
                    yield Static(id="round-at")
            with Vertical(id="round-right"):
                yield Static(id="round-word")
                with VerticalScroll(id="round-scroll", can_focus=False):
                    yield Static(id="round-result")
                yield Plot(name_id="round-plot")
        yield KeyLine()

    def on_mount(self) -> None:
        """The surface of the question in hand first."""
        if self.question is not None:
            wanted = self.question.field.finding
            self.surface = next(
                (each for each in self.surfaces if each.finding == wanted), self.surface
            )
        self._adopt()
        self.show_all()
        self.entry.focus()

    def _adopt(self) -> None:
        """Take over what was typed before there was a case."""
        sheets, loose = self.vibecheck.sheets, f"//{self.surface.finding}"
        ours = self.opened is not None and loose not in self.vibecheck.from_before
        if not ours or loose not in sheets or not sheets[loose].read:
            return
        if not self.sheet.read and not sheets[loose].invented:
            sheets[self.sheet_key] = sheets.pop(loose)
            self.say("these readings were typed before the case was open; x empties the sheet")

    @property
    def units(self) -> Units:
        """The units chosen."""
        return self.vibecheck.units

    @property
    def entry(self) -> GaugeInput:
        """The field for one reading."""
        return self.query_one("#round-entry", GaugeInput)

    @property
    def corner(self) -> str | None:
        """The corner of the check in hand."""
        return self.question.check.corner if self.question else None

    @property
    def sheet(self) -> RoundSheet:
        """The sheet of the surface in hand; kept until it goes into a case."""
        sheets = self.vibecheck.sheets
        if self.sheet_key not in sheets:
            sheets[self.sheet_key] = RoundSheet()
        return sheets[self.sheet_key]

    @property
    def sheet_key(self) -> str:
        """Under which name the sheet in hand is kept."""
        case = self.opened.case.id if self.opened else ""
        return f"{case}/{self.corner or ''}/{self.surface.finding}"

    # What is shown

    def show_all(self) -> None:
        """Show the sheet, and what follows from it."""
        sheet, unit = self.sheet, self.units.length
        faults = sheet.faults(unit)
        self.result = None
        word = ""
        try:
            setup = setup_text(self.opened.library, self.surface.finding) if self.opened else ""
            self.result = sheet.result(unit, limit_of(self.opened, self.surface), setup)
        except ReadingError as error:
            word = str(error)
        self.query_one(RoundGrid).show(sheet, unit, place_marks(
            sheet, self.result, faults, sheet.doubtful(unit)))
        self.query_one("#round-title", Static).update(
            title_text(self.surface, self.corner, self.units, self.opened is not None))
        self.query_one("#round-at", Static).update(place_text(sheet, self.units))
        if sheet.at in faults:
            self.say(faults[sheet.at])
        complaint = word if faults or sheet.complete else ""
        self.query_one("#round-result", Static).update(
            result_text(sheet, self.result, complaint, limit_of(self.opened, self.surface, unit),
                        self.vibecheck.wording))
        figure = turn_figure(self.result, self.vibecheck.wording) if self.result else None
        self.query_one("#round-plot", Plot).show(figure)

    def say(self, sentence: str) -> None:
        """Say why something was not done."""
        word = self.query_one("#round-word", Static)
        word.update(joined("! ", plain(sentence)) if sentence else "")
        word.display = bool(sentence)

    # Readings

    @on(GaugeInput.Entered)
    def _entered(self, event: GaugeInput.Entered) -> None:
        """Nothing is asked here: a gauge types on. What is wrong is marked and said."""
        if not event.text:
            self.action_move(1)
            return
        self._prefilled = ""
        place = self.sheet.at
        self.sheet.put(event.text)
        self.show_all()
        self._comment(place)

    @on(GaugeInput.Pasted)
    def _pasted(self, event: GaugeInput.Pasted) -> None:
        place = self.sheet.at
        beyond = self.sheet.fill(event.texts)
        self.show_all()
        self._comment(place)
        if beyond:
            self.say(visible(f"{len(beyond)} readings did not fit: {', '.join(beyond)}", 200))

    def _comment(self, place: int) -> None:
        self.say(comment(self.sheet, place, self.units.length))

    def action_settle(self) -> None:
        """Ask in which unit the bare readings are."""
        self._ask_unit("The answer counts for every reading typed without a unit.", self._settled)

    def _ask_unit(self, why: str, then: Callable[[str], None]) -> None:
        unit = self.units.length
        texts = self.sheet.doubtful(unit) or [text for text in self.sheet.texts if text]
        if texts:
            others = (each for each in LENGTH_UNITS if each != unit)
            ask_unit(self.app, texts, (unit, *others), why, then)

    def _settled(self, unit: str) -> None:
        self.sheet.settle(unit)
        self.say("")
        self.show_all()

    @on(DataTable.RowSelected, "#round-grid")
    @on(DataTable.RowHighlighted, "#round-grid")
    def _clicked(self, event: DataTable.RowSelected | DataTable.RowHighlighted) -> None:
        event.stop()
        if isinstance(event, DataTable.RowSelected):
            self.sheet.at = event.cursor_row
            self.show_all()
            self.entry.focus()

    # Keys

    def action_move(self, places: int) -> None:
        """Take another place in hand; a text that cannot be read comes back to be corrected."""
        self.say("")
        if self.entry.value == self._prefilled:
            self.entry.value = ""
        self.sheet.move(places)
        self.show_all()
        sheet = self.sheet
        if not self.entry.value and sheet.at in sheet.faults(self.units.length):
            self._prefilled = self.entry.value = sheet.texts[sheet.at]
            self.entry.cursor_position = len(self._prefilled)

    def action_undo(self) -> None:
        """Take the last step back."""
        self.say("" if self.sheet.undo() else "there is no step to take back")
        self.show_all()

    @on(GaugeInput.Emptied)
    def _wipe_place(self) -> None:
        """Empty the place in hand."""
        self.sheet.wipe()
        self.show_all()

    def action_wipe(self) -> None:
        """Empty the sheet; u brings it back."""
        self.sheet.wipe_all()
        self.say("")
        self.show_all()

    def action_example(self) -> None:
        """Fill in invented readings; u brings back what was there."""
        self.say("")
        self.sheet.invent()
        self.show_all()

    def action_surface(self) -> None:
        """Choose the surface."""
        ask_surface(self.app, self.surfaces, self.surface, self._take_surface)

    def _take_surface(self, surface: SheetSurface) -> None:
        self.surface = surface
        self.say("")
        self.show_all()

    def action_count(self) -> None:
        """Choose how many readings go round the turn."""
        ask_count(self.app, self.sheet.count, self._take_count)

    def _take_count(self, count: int) -> None:
        self.sheet.set_count(count)
        self.show_all()

    def action_words(self) -> None:
        """Between the drawing and rows of words."""
        self.query_one("#round-plot", Plot).toggle_words()

    def action_scroll_result(self, lines: int) -> None:
        """Scroll the result."""
        self.query_one("#round-scroll").scroll_relative(y=lines, animate=False)

    def action_leave(self) -> None:
        """Back; the sheets are kept."""
        self.dismiss(False)

    # Into the case

    def action_take(self) -> None:
        """Take the result into the case, if its unit is beyond doubt."""
        typed = self.entry.value.strip()
        if typed and typed != self._prefilled:
            self.entry.value = ""
            self.sheet.put(typed)
            self.show_all()
        if self.opened is not None and self.sheet.invented:
            self.say("these are invented example values; empty the sheet (x) and type your own")
            return
        if self.opened is None or self.result is None:
            self._hand_over()
            return
        unit = self.units.length
        if self.sheet.doubtful(unit):
            self._ask_unit("That is far more than a wheel runs out.", self._told)
        elif self.sheet.otherwise_in(unit, limit_mm(self.opened, self.surface)):
            self._ask_unit("The runout would be hardly ever so far from its limit.", self._told)
        else:
            self._hand_over()

    def _told(self, unit: str) -> None:
        self._settled(unit)
        self._hand_over()

    def _hand_over(self) -> None:
        hand_over(self.app, self.opened, CALCULATOR, self.result, self.vibecheck.wording,
                  self.corner, self.surface.finding, self._taken)

    def _taken(self, refused: str, entries: Sequence[Entry]) -> None:
        if refused:
            self.say(visible(refused))
            return
        if self.opened is not None:
            told = spoken_entries(self.opened, tuple(entries))
            self.app.notify(visible(told, 300), markup=False, timeout=6)
        self.vibecheck.sheets.pop(self.sheet_key, None)
        self.dismiss(True)

    # Units

    def units_changing(self, old: Units) -> None:
        """Write the unit behind bare numbers on every sheet, before another one counts."""
        for sheet in self.vibecheck.sheets.values():
            sheet.write_units(old.length)
        self.entry.value = with_unit(self.entry.value, Quantity.LENGTH, old.length)

    def units_changed(self) -> None:
        """Show values in the other unit."""
        if self.is_mounted:
            self.show_all()
