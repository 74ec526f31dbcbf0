"""Wheels measured side by side: one table, one field, and what comes next.

One row of the field holds what was read in one turn: a value for each indicator. A value with Enter
fills the surface in hand, so a gauge that types works with one indicator and with two.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from vibecheck.calculators.reading_sheet import RoundSheet
from vibecheck.calculators.runout import RunoutResult
from vibecheck.calculators.wheel import SURFACES
from vibecheck.calculators.wheel_row import DIALS, judged_alone, slow_turn, split_row, written
from vibecheck.errors import CaseReplacedError, InputError, ReadingError
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.report.wheel_words import DIALS as DIAL_WORDS
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import FINDINGS, TABLE_ORDER, Look, WheelRow
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.plain import plain, visible
from vibecheck.tui.styles import STYLES
from vibecheck.tui.surfaces import ask_count
from vibecheck.tui.wheel_turn import USUAL_PLACES, Turn
from vibecheck.tui.wheels_texts import (
    LOOK_KEYS,
    detail_text,
    look_task,
    row_comment,
    set_title,
    slow_task,
    turn_detail,
    turn_task,
)
from vibecheck.tui.widgets.choices import Choice
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.widgets.roundgrid import GaugeInput
from vibecheck.tui.widgets.wheelgrid import LOOK, TurnGrid, WheelGrid

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry

_WATCH_FILE_S = 4.0
_HIGH = 34  # lines of a screen with room for a larger picture
_PARTNER = {  # the two surfaces that two indicators read in one turn
    Surface.INBOARD_RADIAL: Surface.INBOARD_LATERAL,
    Surface.OUTBOARD_RADIAL: Surface.OUTBOARD_LATERAL,
}
_OTHER_END = {later: first for first, later in _PARTNER.items()}
_ONE_BY_ONE = tuple(each for pair in _PARTNER.items() for each in pair)


class WheelsScreen(BaseScreen[None]):
    """The table of a set, or of a car's four wheels with the tires off."""

    CSS_PATH = [*STYLES, "wheels.tcss"]
    ABOUT_TITLE = "wheels side by side"
    ABOUT = (
        "Each wheel has four surfaces where the tire sits: radial at the bead seats, lateral at "
        "the inner faces of the flanges, inboard and outboard. Turn the wheel once, slowly, with "
        "an eye on the pointer, and type high minus low: with two indicators both in one row "
        "(14 18), with one indicator (m) one after the other. A high and a low go as 9/-5. The "
        "high and low of a slow turn miss no bend; they tell no shape. Where a surface is beyond "
        "its limit, t reads it place by place round the wheel: clockwise from the valve, seen "
        "from outside. A surface that is read again counts as set up afresh; both readings "
        "count. Every row is on disk before the next. Look at every wheel: no wheel is kept "
        "unseen."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "next_place", "Next", priority=True),
        Binding("t", "turn", "Round the wheel"),
        Binding("l", "look", "Look"),
        Binding("u,ctrl+z", "undo", "Undo", key_display="u"),
        Binding("m", "method", "One / two gauges"),
        Binding("p", "sheet", "Sheets"),
        Binding("e", "about", "Set"),
        Binding("d", "dial", "Dial", show=False),
        Binding("n", "places", "Places round the wheel", show=False),
        Binding("shift+tab", "previous_place", "Back", show=False, priority=True),
        Binding("up", "wheel(-1)", "Wheel above", show=False, priority=True),
        Binding("down", "wheel(1)", "Wheel below", show=False, priority=True),
        Binding("pageup", "scroll_detail(-5)", "Words up", show=False),
        Binding("pagedown", "scroll_detail(5)", "Words down", show=False),
        Binding("escape", "leave", "Leave", key_display="Esc"),
    ]

    def __init__(self, bench: WheelBench) -> None:
        super().__init__()
        self.bench = bench
        self.two = True
        self.key = next(iter(bench.names))
        self.at: Surface | str = TABLE_ORDER[0]
        self.turn: Turn | None = None

    def compose(self) -> ComposeResult:
        """The table above; field and words below."""
        yield Static(id="wheels-title")
        yield WheelGrid(name_id="wheels-grid")
        with Horizontal(id="wheels-below"):
            with Vertical(id="wheels-left"):
                yield Static(id="wheels-task")
                with Horizontal(id="wheels-field"):
                    yield Static("> ", id="wheels-prompt")
                    yield GaugeInput(name_id="wheels-entry")
                yield Static(id="wheels-word")
                yield TurnGrid(name_id="wheels-turn")
            with VerticalScroll(id="wheels-right", can_focus=False):
                yield Static(id="wheels-detail")
        yield KeyLine()

    def on_mount(self) -> None:
        """The first thing to read is in hand."""
        self.query_one(WheelGrid).build(tuple(self.bench.names), self.app.size.width)
        self._go_on(self.key, TABLE_ORDER[0], include=True)
        self.show_all()
        self.entry.focus()
        self.set_interval(_WATCH_FILE_S, self.check_file)

    def on_resize(self, event: events.Resize) -> None:
        """Other widths for the columns."""
        self.query_one(WheelGrid).build(tuple(self.bench.names), event.size.width)
        self.show_all()

    @property
    def entry(self) -> GaugeInput:
        """The field."""
        return self.query_one("#wheels-entry", GaugeInput)

    @property
    def row(self) -> WheelRow:
        """The wheel in hand."""
        return self.bench.table.row(self.key)

    @property
    def targets(self) -> tuple[Surface | str, ...]:
        """What the next row of the field fills: a look, or surfaces read in one turn."""
        if not isinstance(self.at, Surface):
            return (LOOK,)
        if not self.two:
            return (self.at,)
        first = _OTHER_END.get(self.at, self.at)
        both = (first, _PARTNER[first])
        missing = tuple(each for each in both if each not in self.row.read)
        return missing or both

    # What is shown

    def show_all(self) -> None:
        """Show the table, the task and the words on the wheel in hand."""
        wording, turn = self.vibecheck.wording, self.turn
        in_hand = self.targets if turn is None else turn.surfaces
        grid = self.query_one(WheelGrid)
        grid.show(self.bench.table, wording, self.key, in_hand)
        self.query_one("#wheels-title", Static).update(
            set_title(self.bench, wording, self.two))
        shown = self.query_one(TurnGrid)
        shown.display = turn is not None
        detail = self.query_one("#wheels-detail", Static)
        if turn is not None:
            shown.show(turn.surfaces, turn.sheets, turn.place, turn.column)
            self.query_one("#wheels-task", Static).update(turn_task(self.row, turn))
            detail.update(turn_detail(*self._turn_so_far(turn), wording,
                                      high=self.app.size.height >= _HIGH))
            return
        task = (look_task(self.row) if self.at == LOOK
                else slow_task(self.row, [each for each in self.targets
                                          if isinstance(each, Surface)]))
        self.query_one("#wheels-task", Static).update(task)
        detail.update(detail_text(self.bench, self.row, wording))

    def say(self, sentence: str) -> None:
        """Say what was done, or why something was not."""
        self.query_one("#wheels-word", Static).update(plain(sentence))

    def units_changed(self) -> None:
        """Show values in the other unit."""
        if self.is_mounted:
            self.show_all()

    # What is typed

    @on(GaugeInput.Entered)
    def _entered(self, event: GaugeInput.Entered) -> None:
        """A refused text stays in the field: what a gauge types behind it is refused as well."""
        if not event.text:
            self._pass_over()
            return
        word = attempt(lambda: self._take(event.text))
        if word:
            self.entry.value = event.text + self.entry.value
            self.entry.cursor_position = len(self.entry.value)
            self.say(f"! {visible(word)}")
        self.show_all()

    @on(GaugeInput.Pasted)
    def _pasted(self, event: GaugeInput.Pasted) -> None:
        self.post_message(GaugeInput.Entered(" ".join(event.texts)))

    def _take(self, text: str) -> None:
        if self.turn is not None:
            self._take_place(text)
        elif self.at == LOOK:
            self._take_look(text)
        else:
            self._take_row(text)

    def _take_row(self, text: str) -> None:
        """A row of high minus low, one value for each surface in hand."""
        targets = [each for each in self.targets if isinstance(each, Surface)]
        pieces = split_row(text)
        if len(pieces) > len(targets):
            raise ReadingError(
                f"{len(pieces)} values for {len(targets)} in hand", "",
                "write one for each surface of this turn; t reads place by place",
            )
        dial = self.bench.dial
        texts = {surface: slow_turn(piece, dial, self.bench.limit_mm(surface))
                 for surface, piece in zip(targets, pieces, strict=False)}
        again = [each for each in texts if each in self.row.read]
        self.bench.take(self.key, texts)
        self.say(row_comment(self.row, list(texts), again, self.vibecheck.wording))
        if len(pieces) < len(targets):
            self.at = targets[len(pieces)]
        else:
            self._go_on(self.key, targets[-1])

    def _take_look(self, text: str) -> None:
        look = LOOK_KEYS.get(text.strip())
        if look is None:
            raise InputError(f"'{text[:40]}' is no answer to the look", "",
                             f"write a number from 1 to {len(LOOK_KEYS)}")
        self.bench.see(self.key, look)
        self.say("")
        if look is Look.CRACKED:
            self.say("! A cracked wheel is never fitted: mark it, whatever it reads.")
        self._go_on(self.key, LOOK)

    def _take_place(self, text: str) -> None:
        assert self.turn is not None
        self.turn.put(split_row(text), self.bench.dial)
        self.say("")
        if self.turn.ended:
            self._end_turn()

    def _pass_over(self) -> None:
        if self.turn is None:
            self.action_next_place()
            return
        self.turn.skip()
        if self.turn.ended:
            self.say(visible(attempt(self._end_turn)))
        self.show_all()

    # Where one is

    def _order(self) -> tuple[Surface | str, ...]:
        return ((*_PARTNER, LOOK) if self.two else (*_ONE_BY_ONE, LOOK))

    def _first(self, at: Surface | str) -> Surface | str:
        """With two indicators the surface of a turn that stands for both."""
        return _OTHER_END.get(at, at) if self.two and isinstance(at, Surface) else at

    def _wanted(self, key: str, at: Surface | str) -> bool:
        row = self.bench.table.row(key)
        if not isinstance(at, Surface):
            return row.look is None
        return at not in row.read or (self.two and _PARTNER[at] not in row.read)

    def _go_on(self, key: str, at: Surface | str, *, include: bool = False) -> None:
        """To what is missing next: on this wheel, then on those after it, then before it."""
        order, keys = self._order(), list(self.bench.names)
        here = order.index(self._first(at))
        start = here if include else here + 1
        places = [(key, each) for each in (*order[start:], *order[:start])]
        number = keys.index(key)
        for other in (*keys[number + 1:], *keys[:number]):
            places += [(other, each) for each in order]
        for place in places:
            if self._wanted(*place):
                self.key, self.at = place
                return
        self.key, self.at = key, at
        self.say("All is read and looked at. p shows the sheets.")

    def _step(self, by: int) -> None:
        order = self._order()
        number = order.index(self._first(self.at)) + by
        keys = list(self.bench.names)
        wheel = keys.index(self.key)
        if number < 0 or number >= len(order):
            wheel = (wheel + by) % len(keys)
        self.key, self.at = keys[wheel], order[number % len(order)]

    def action_next_place(self) -> None:
        """To the next surface or look, read or not; in a turn over the place in hand."""
        self.say("")
        if self.turn is not None:
            self.turn.move(1)
        else:
            self._step(1)
        self.show_all()

    def action_previous_place(self) -> None:
        """One back."""
        self.say("")
        if self.turn is not None:
            self.turn.move(-1)
        else:
            self._step(-1)
        self.show_all()

    def action_wheel(self, by: int) -> None:
        """To another wheel; in a turn to another place."""
        self.say("")
        if self.turn is not None:
            self.turn.move(by)
        else:
            keys = list(self.bench.names)
            self.key = keys[(keys.index(self.key) + by) % len(keys)]
        self.show_all()

    @on(WheelGrid.Chosen)
    def _clicked(self, event: WheelGrid.Chosen) -> None:
        if self.turn is None:
            self.key = list(self.bench.names)[event.wheel]
            column = event.column - 1
            if 0 <= column < len(TABLE_ORDER):
                self.at = TABLE_ORDER[column]
            elif column == len(TABLE_ORDER):
                self.at = LOOK
            self.show_all()
        self.entry.focus()

    def action_look(self) -> None:
        """To the look at the wheel in hand."""
        if self.turn is None:
            self.at = LOOK
            self.say("")
            self.show_all()

    def action_method(self) -> None:
        """One indicator moved from place to place, or two in one turn."""
        if self.turn is None:
            self.two = not self.two
            self._go_on(self.key, self.at, include=True)
            self.say("two indicators, radial and lateral in one turn" if self.two
                     else "one indicator, moved from surface to surface")
            self.show_all()

    def action_dial(self) -> None:
        """Choose what bare numbers count in."""
        choices = [Choice(name, f"{words[0].upper()}{words[1:]}: 14 is {written('14', name)}",
                          str(number), "(now)" if name == self.bench.dial else "")
                   for number, (name, words) in enumerate(DIAL_WORDS.items(), start=1)]

        def back(chosen: str | None) -> None:
            if chosen in DIALS:
                self.say(visible(attempt(lambda: self.bench.set_dial(str(chosen)))))
            self.show_all()

        self.app.push_screen(ChoiceDialog(
            "What do bare numbers count in?", plain("What was typed before stays as it was."),
            choices), back)

    def action_undo(self) -> None:
        """Take back the last row, look, or place of a turn, and go where it was made."""
        if self.turn is not None:
            self.say("" if self.turn.undo() else "there is nothing to take back")
            self.show_all()
            return
        gone: list[Entry] = []
        word = attempt(lambda: gone.extend(self.bench.undo()))
        said = [each for each in gone if each.finding]
        if said:
            self.key = said[0].wheel or said[0].corner or self.key
            self.at = SURFACES.get(said[0].finding, LOOK)
        self.say(visible(word) or ("taken back" if gone else "there is nothing to take back"))
        self.show_all()

    # A turn, place by place

    def action_turn(self) -> None:
        """Read round the wheel what is beyond its limit, else what is in hand."""
        if self.turn is not None:
            return
        surfaces = self._turn_surfaces()
        if not surfaces:
            self.say("choose a surface first: Tab goes from one to the next")
            return
        self.turn = Turn(self.key, surfaces, [self._sheet(each) for each in surfaces])
        self.say("")
        self.show_all()

    def _turn_surfaces(self) -> tuple[Surface, ...]:
        wanted = self.row.wants_shape
        if wanted:
            side = wanted[0].side
            same = tuple(each for each in wanted if each.side == side)
            return same if self.two else same[:1]
        return tuple(each for each in self.targets if isinstance(each, Surface))

    def _sheet(self, surface: Surface) -> RoundSheet:
        """The sheet of a surface; what is half read is kept until it goes into the file."""
        sheets = self.vibecheck.sheets
        name = f"{self.bench.case.id}/{self.key}/{FINDINGS[surface]}"
        if name not in sheets:
            sheets[name] = RoundSheet(USUAL_PLACES)
        return sheets[name]

    def _slow(self, surfaces: Sequence[Surface]) -> dict[Surface, dict[str, str]]:
        """The high and low of the same setting-up, where the newest reading is one."""
        found = {each: self.bench.slow_turn_of(self.key, each) for each in surfaces}
        return {surface: texts for surface, texts in found.items() if texts}

    def _turn_so_far(self, turn: Turn) -> tuple[Mapping[Surface, RunoutResult], str]:
        try:
            texts = turn.texts(self._slow(turn.surfaces))
            found = {surface: judged_alone(each, self.bench.limit_mm(surface))
                     for surface, each in texts.items()}
        except InputError as error:
            return {}, str(error)
        return found, ""

    def _end_turn(self) -> None:
        """Keep the turn; where that is refused it stays on the screen."""
        turn = self.turn
        assert turn is not None
        slow = self._slow(turn.surfaces)
        try:
            texts = turn.texts(slow)
            joined_ = {each: text for each, text in texts.items() if each in slow}
            alone = {each: text for each, text in texts.items() if each not in slow}
            if alone:
                self.bench.take(self.key, alone)
            if joined_:
                self.bench.take(self.key, joined_, same_setup=True)
        except InputError:
            turn.place, turn.column = turn.count, 0
            raise
        for surface in turn.surfaces:
            self.vibecheck.sheets.pop(f"{self.bench.case.id}/{self.key}/{FINDINGS[surface]}", None)
        self.turn = None
        said = "kept, together with its high and low" if joined_ else "kept"
        self.say(f"the turn is {said}")
        self._go_on(self.key, turn.surfaces[-1])

    def action_places(self) -> None:
        """Choose how many places go round the wheel."""
        turn = self.turn
        if turn is None:
            self.say("t begins a turn; then n chooses the number of places")
            return

        def take(count: int) -> None:
            turn.set_count(count)
            self.show_all()

        ask_count(self.app, turn.count, take)

    @on(GaugeInput.Emptied)
    def _empty(self) -> None:
        self.action_undo()

    # Beside it

    def action_scroll_detail(self, lines: int) -> None:
        """Scroll the words."""
        self.query_one("#wheels-right").scroll_relative(y=lines, animate=False)

    def action_about(self) -> None:
        """Names, condition, limits, who measures with what."""
        if not isinstance(self.bench, OpenSet):
            self.say("this is a car's: its facts and limits are in the visit")
            return
        from vibecheck.tui.wheels_about import WheelsAboutScreen

        def back(_: bool | None) -> None:
            self.query_one(WheelGrid).build(tuple(self.bench.names), self.app.size.width)
            if self.key not in self.bench.names:
                self.key = next(iter(self.bench.names))
            self.show_all()
            self.entry.focus()

        self.app.push_screen(WheelsAboutScreen(self.bench), back)

    def action_sheet(self) -> None:
        """The sheet of the set, and the claims."""
        from vibecheck.tui.wheel_sheets import WheelSheetScreen

        self.app.push_screen(WheelSheetScreen(self.bench))

    def check_file(self) -> None:
        """Take in what somebody else wrote."""
        changed: list[bool] = []
        try:
            word = attempt(lambda: changed.append(self.bench.reload()))
        except CaseReplacedError as error:
            word = str(error)
        if word:
            self.say(f"! {visible(word)}")
        if word or (changed and changed[0]):
            self.show_all()

    def action_leave(self) -> None:
        """Out of the turn, else off the screen; everything is kept."""
        if self.turn is not None:
            self.turn = None
            self.say("what was read round the wheel waits; t goes on with it")
            self.show_all()
        else:
            self.dismiss(None)
