"""The first screen: where the person stands, and what to begin, open, try or work out."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Click
from textual.message import Message
from textual.widgets import Input, OptionList, Static

from vibecheck.errors import VibecheckError
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.calculators.catalog import SHOWN
from vibecheck.tui.folders import KeptVisit, found_visits, kept_visits
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.keyline import KeyLine

VISITS_TITLE = "Visits, the newest first"
_ALWAYS = ("help", "app.quit")  # actions that need no list
_PLACES = (("counter", "1 Counter"), ("bay", "2 Bay"), ("driveway", "3 Driveway"))


class PlaceWord(Static):
    """A place to stand, with its key; clicked or typed, it is chosen.

    A button of the toolkit would do the same, and take as long to style as all else here.
    """

    class Chosen(Message):
        """The person stands here."""

        def __init__(self, place: str) -> None:
            super().__init__()
            self.place = place

    def __init__(self, place: str, label: str, chosen: str) -> None:
        super().__init__(id=f"place-{place}", classes="-chosen" if place == chosen else "")
        self.place, self.label = place, label
        self.mark(chosen)

    def mark(self, chosen: str) -> None:
        """Say, in words and shape, whether this place is the one chosen."""
        self.update(plain(f" {'(x)' if self.place == chosen else '( )'} {self.label} "))
        self.set_class(self.place == chosen, "-chosen")

    def on_click(self, event: Click) -> None:
        """Choose it."""
        event.stop()
        self.post_message(self.Chosen(self.place))


class StartScreen(BaseScreen[None]):
    """Shown at once; visits, demos and rules are read while it stands.

    Where a case is opened at once, only its head is made, until the person comes back to it.
    """

    CSS_PATH = None
    ABOUT_TITLE = "the start"
    ABOUT = (
        "Say where you stand: at the counter with the customer, in the bay with the car, or at "
        "home in the driveway. Then begin a visit, or open one. A demo is an invented case to "
        "play with; what you do to it is not kept. / searches all visits of the folder: by plate, "
        "customer, VIN, title, fault, remedy or any word in them; Esc ends the search."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("1", "place('counter')", "Counter", show=False),
        Binding("2", "place('bay')", "Bay", show=False),
        Binding("3", "place('driveway')", "Driveway", show=False),
        Binding("n", "new", "New visit"),
        Binding("w", "wheels", "Wheels alone"),
        Binding("o", "to_visits", "Open a visit"),
        Binding("slash", "find", "Find a visit", key_display="/"),
        Binding("escape", "end_find", "End the search", show=False),
        Binding("d", "to_demos", "Demos"),
        Binding("q", "app.quit", "Leave"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.place = "bay"
        self.visits: Sequence[KeptVisit] = ()
        self._listed = self._stood = False
        self._whole = True
        self._find: Input | None = None  # made when it is asked for first

    def compose(self) -> ComposeResult:
        """The place above, what to do and the visits below."""
        yield Static(joined(line("vibecheck", "bold $accent"),
                            ": from \"my car shakes\" to a cause proven by a measurement"),
                     id="headline-start")
        self._whole = self._stood or not self.vibecheck.opens_at_once
        if self._whole:
            yield from self._body()
        yield Static(id="start-word")
        yield KeyLine()

    def _body(self) -> ComposeResult:
        with Horizontal(id="places"):
            yield Static("Where are you? ", id="places-word")
            for name, label in _PLACES:
                yield PlaceWord(name, label, self.place)
        with Horizontal(id="start-lists"):
            with Vertical(id="start-left"):
                yield Static("What to do", classes="list-title")
                yield ChoiceList(name_id="doings")
            with Vertical(id="start-right"):
                yield Static(VISITS_TITLE, classes="list-title", id="visits-title")
                yield ChoiceList([Choice("", "Looking ...", enabled=False)], name_id="visits")

    def on_mount(self) -> None:
        """Usable at once; lists follow."""
        if self._whole:
            self._show_doings(())
            self.call_after_refresh(self.read_lists)

    async def on_screen_resume(self) -> None:
        """Back from a visit: it stands in the list now."""
        if self._stood:
            await self.stand()
            self.look_up()
        self._stood = True

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Which keys count now: nothing is begun or sought here while a case is being opened."""
        return self._whole or action in _ALWAYS

    async def stand(self) -> None:
        """Stand here whole, with what the lists hold by now."""
        if not self._whole:
            await self.recompose()
            self._show_doings(())
            self.query_one("#doings").focus()
            self.refresh_bindings()
        self.read_lists()

    @work(exclusive=True, group="lists")
    async def read_lists(self) -> None:
        """Read the visits and demos beside the screen."""
        app = self.vibecheck
        visits = await asyncio.to_thread(kept_visits, app.cases, Path.cwd())
        if not self.sought:
            self._show_visits(visits)
        demos = await asyncio.to_thread(app.demo_visits)
        self._show_doings(demos)

    def _show_doings(self, demos: Sequence[KeptVisit]) -> None:
        rows = [Choice("new", "Begin a new visit", "n"),
                Choice("wheels", "Measure wheels without a car", "w")]
        rows += [
            Choice("", "Calculators, without a visit:", enabled=False),
            *(Choice(f"calculator:{each.name}", f"· {each.title}") for each in SHOWN),
        ]
        rows += [
            Choice(f"demo:{demo.path}", f"Try: {demo.title}", remark=f"(invented, {_kind(demo)})")
            for demo in demos
            if not demo.fault
        ]
        self.query_one("#doings", ChoiceList).show(rows, keep_place=True)

    def _show_visits(
        self, visits: Sequence[KeptVisit], nothing: str = "None yet."
    ) -> None:
        self.visits, self._listed = visits, True
        rows = [
            Choice(str(visit.path), visit.title or visit.path.name,
                   remark=f"{visit.changed}, {_kind(visit)}")
            if not visit.fault
            else Choice("", f"! {visit.fault}", enabled=False)
            for visit in visits
        ]
        none = [Choice("", nothing, enabled=False)]
        self.query_one("#visits", ChoiceList).show(rows or none, keep_place=True)

    @property
    def sought(self) -> str:
        """The words that are searched for, "" while none are."""
        return self._find.value.strip() if self._find else ""

    @work(exclusive=True, group="find")
    async def look_up(self) -> None:
        """Search the visits of the folder beside the screen."""
        words = self.sought
        if not words:
            return
        try:
            found = await asyncio.to_thread(found_visits, self.vibecheck.cases, words)
        except VibecheckError as error:
            self.say(str(error))
            return
        if words == self.sought:
            self.say("")
            self._show_visits(found, nothing="No visit holds all of these words.")

    def show_place(self) -> None:
        """Mark the place chosen, in words and shape."""
        for word in self.query(PlaceWord):
            word.mark(self.place)

    def say(self, sentence: str) -> None:
        """A sentence at the foot of the screen."""
        word = self.query_one("#start-word", Static)
        word.update(joined(plain(sentence)))
        # Said while the screen is laid out for the first time, it would keep its one line.
        self.call_after_refresh(word.refresh, layout=True)

    def action_place(self, place: str) -> None:
        """Choose where the person stands."""
        self.place = place
        self.show_place()

    def action_new(self) -> None:
        """Begin a visit."""
        self.vibecheck.begin_visit(self.place)

    def action_wheels(self) -> None:
        """Begin a set of wheels."""
        self.vibecheck.begin_wheels(self.place)

    def action_to_visits(self) -> None:
        """To the list of visits."""
        self.query_one("#visits").focus()

    async def action_find(self) -> None:
        """Open the field to search visits."""
        if self._find is None:
            from vibecheck.casebook.case import LONGEST_WORD

            self._find = Input(placeholder="plate, customer, VIN, fault, any words", id="find",
                               compact=True, max_length=LONGEST_WORD)
            await self.mount(self._find, after="#visits-title")
        self._find.display = True
        self._find.focus()

    def action_end_find(self) -> None:
        """Close the search and show the newest visits again."""
        if self._find and self._find.display:
            self._find.value = ""
            self._find.display = False
            self.query_one("#visits").focus()
            self.read_lists()

    @on(Input.Changed, "#find")
    def _sought(self) -> None:
        if self.sought:
            self.look_up()
        elif self._listed:
            self.read_lists()

    @on(Input.Submitted, "#find")
    def _to_found(self) -> None:
        self.query_one("#visits").focus()

    def action_to_demos(self) -> None:
        """To the first demo."""
        doings = self.query_one("#doings", ChoiceList)
        doings.focus()
        demos = [n for n, row in enumerate(doings.shown) if row.value.startswith("demo:")]
        doings.highlighted = demos[0] if demos else 0

    @on(PlaceWord.Chosen)
    def _place_chosen(self, event: PlaceWord.Chosen) -> None:
        self.action_place(event.place)

    @on(OptionList.OptionSelected, "#doings")
    def _doing(self, event: OptionList.OptionSelected) -> None:
        kind, _, value = self.query_one("#doings", ChoiceList).shown[
            event.option_index
        ].value.partition(":")
        if kind == "new":
            self.action_new()
        elif kind == "wheels":
            self.action_wheels()
        elif kind == "demo":
            self.vibecheck.open_demo(Path(value))
        else:
            self.vibecheck.open_calculator(value)

    @on(OptionList.OptionSelected, "#visits")
    def _visit(self, event: OptionList.OptionSelected) -> None:
        value = self.query_one("#visits", ChoiceList).shown[event.option_index].value
        if value:
            self.vibecheck.open_visit(Path(value))


def _kind(visit: KeptVisit) -> str:
    """Where a visit is, or how many wheels a set has."""
    return f"{visit.wheels} wheels" if visit.wheels else visit.place
