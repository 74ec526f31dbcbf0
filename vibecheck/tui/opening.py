"""The opening of a visit: the customer's words, what they may mean, and the kind of complaint."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Button, Input, OptionList, Static
from textual.widgets.option_list import Option

from vibecheck.knowledge.library import Library
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.opening_page import ASKS, NOTHING, meaning_text
from vibecheck.session.driving import DriveWord
from vibecheck.session.open_case import OpenCase
from vibecheck.session.opening import KIND, Understood, take, understand
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.phrases import DRIVE_SHAPES, PLACES
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.entry import PlainInput
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.window import Window

LONGEST_SAID = 2000  # characters of the field; a case holds more
HOW_TO_TICK = "Space unticks, Enter takes what is ticked"
OTHER_UNIT = "F3: mph or km/h"
CLASHES = "Some contradict each other and are not ticked: tick what was meant."
_INDENT = "    "  # as wide as a tick
_LEAST_ROOM = 20  # columns
_WORDS, _TICKS, _KIND = "words", "ticks", "kind"


class WordsInput(PlainInput):
    """The customer's words."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "submit", "Go on", key_display="Enter"),
    ]

    def __init__(self, value: str) -> None:
        super().__init__(value, name_id="said", most=LONGEST_SAID,
                         placeholder="in free words; left empty, the questions begin")
        self.select_on_focus = False  # what is typed next is added, not put in place of the words


class TickList(OptionList):
    """Meanings, each with the words it came from, to be ticked or not."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "select", "Tick or untick", key_display="Space"),
        Binding("enter", "screen.go_on", "Take what is ticked", key_display="Enter"),
        Binding("escape", "screen.back", "Back", key_display="Esc"),
    ]

    def __init__(self, library: Library, said: Understood | None = None) -> None:
        super().__init__(id="meanings", markup=False, compact=True)
        self._library = library
        self.said = said or Understood("", (), None)
        self.ticked = {at for at, each in enumerate(self.said.meanings) if each.ticked}
        self._drawn_for = 0  # columns

    def on_mount(self) -> None:
        """Show what there is."""
        self._draw()
        self.highlighted = 0 if self.said.meanings else None

    def show(self, said: Understood) -> None:
        """Show what was understood; what a person ticked stays where the words are the same."""
        asked = {(each.offer.finding, each.words): at in self.ticked
                 for at, each in enumerate(self.said.meanings)}
        same = said.text == self.said.text
        self.said = said
        self.ticked = {
            at for at, each in enumerate(said.meanings)
            if (asked.get((each.offer.finding, each.words), each.ticked) if same else each.ticked)
        }
        self._draw()
        self.highlighted = 0 if said.meanings else None

    def _draw(self) -> None:
        before = self.highlighted
        self._drawn_for = self._room if self.is_attached else 0
        self.clear_options()
        self.add_options([Option(self._row(at)) for at in range(len(self.said.meanings))])
        self.highlighted = before

    def _row(self, at: int) -> Content:
        meaning = self.said.meanings[at]
        mark = f"{DRIVE_SHAPES[DriveWord.STOP]} danger  " if meaning.offer.danger else ""
        said = line(f'"{meaning.words}"')
        text = joined(mark, line(meaning_text(self._library, meaning)))
        room = max(self._room - len(_INDENT), _LEAST_ROOM)
        if len(text.plain) + len(said.plain) + 2 <= room:
            lines = [joined(text, "  ", said.stylize("$text-muted"))]
        else:
            lines = [*text.wrap(room), *(each.stylize("$text-muted") for each in said.wrap(room))]
        whole = Content(f"\n{_INDENT}").join(lines)
        return joined(
            Content.styled(f"[{'x' if at in self.ticked else ' '}] ", "bold $accent"),
            whole.stylize("bold $text-error", 0, len(mark)) if mark else whole,
        )

    @property
    def _room(self) -> int:
        """Columns of a row."""
        return self.scrollable_content_region.width or self.app.size.width

    def on_resize(self) -> None:
        """Break the rows for the width there is."""
        if self._room != self._drawn_for:
            self._draw()

    def toggle(self, at: int) -> None:
        """Tick or untick; of meanings that contradict each other at most one is ticked."""
        if at in self.ticked:
            self.ticked.discard(at)
        else:
            here = self.said.meanings[at].offer
            self.ticked -= {
                other for other, each in enumerate(self.said.meanings)
                if (each.offer.finding, each.offer.corner) == (here.finding, here.corner)
            }
            self.ticked.add(at)
        self._draw()

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.toggle(event.option_index)

    @property
    def left_out(self) -> set[int]:
        """Places of the meanings that are not ticked."""
        return set(range(len(self.said.meanings))) - self.ticked


def hint(said: Understood, more: str = "") -> str:
    """What a person can do with the meanings."""
    clash = any(each.offer.clash for each in said.meanings)
    return ("; ".join([HOW_TO_TICK, *([more] if more else [])])
            + (f"\n{CLASHES}" if clash else ""))


class KindList(ChoiceList):
    """The kinds of complaint, to choose one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Choose", key_display="Enter"),
    ]


class OpeningScreen(BaseScreen[None]):
    """Words first, then what they may mean, then the kind of complaint where it was not heard."""

    ABOUT_TITLE = "the opening"
    ABOUT = (
        "Write what is said in free words: what is felt or heard, where, at what speed, since "
        "when. Enter shows what was understood, each answer with the words it came from. Space "
        "unticks what was not meant; Enter takes the rest, and nothing of it is asked again. The "
        "words themselves are kept as a note. An empty field, or Esc, goes on to the questions."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"kind({n})", "Choose", show=False) for n in range(1, 10)),
        Binding("escape", "leave", "To the questions", key_display="Esc"),
    ]

    def __init__(self, opened: OpenCase, draft: str, keep_draft: Callable[[str], None]) -> None:
        super().__init__()
        self.opened = opened
        self._draft, self._keep_draft = " ".join(draft.split())[:LONGEST_SAID], keep_draft
        self._stage = _WORDS

    def compose(self) -> ComposeResult:
        """The words above, what comes of them below."""
        case = self.opened.case
        title = joined(": ", line(case.title, "bold")) if case.title else Content("")
        yield Static(joined("New visit, ", line(PLACES[case.place]), title),
                     classes="screen-title", id="opening-title")
        with Vertical(id="opening"):
            yield Static(plain(ASKS[self.opened.diagnosis.place], "bold"), id="opening-asks")
            yield WordsInput(self._draft)
            yield Static(id="opening-word")
            yield Static(id="opening-lead")
            yield TickList(self.opened.library)
            yield KindList(name_id="kinds")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Go on (Enter)"), id="go-on", variant="primary", compact=True)
            yield Button(plain("To the questions (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The words take the keys; the buttons are for the mouse."""
        for button in self.query(Button):
            button.can_focus = False
        self._to_words()

    @property
    def ticks(self) -> TickList:
        """What was understood."""
        return self.query_one(TickList)

    @property
    def _said(self) -> Input:
        return self.query_one("#said", WordsInput)

    def _show_stage(self, stage: str, lead: Content) -> None:
        self._stage = stage
        self._say("")
        self.query_one("#opening-lead", Static).update(lead)
        self.ticks.display = stage == _TICKS
        self.query_one("#kinds").display = stage == _KIND
        self._said.disabled = stage == _KIND
        self.query_one("#leave", Button).label = plain(
            "Back to the words (Esc)" if stage == _TICKS else "To the questions (Esc)")
        self.refresh_bindings()

    def _say(self, sentence: str) -> None:
        word = self.query_one("#opening-word", Static)
        word.update(joined("! ", plain(sentence)) if sentence else "")
        word.display = bool(sentence)

    # Words

    def _to_words(self) -> None:
        self._show_stage(_WORDS, Content(""))
        self._said.focus()
        self._said.cursor_position = len(self._said.value)

    @on(Input.Changed, "#said")
    def _typed(self, event: Input.Changed) -> None:
        """Keep what is typed; what was understood of other words no longer counts."""
        if self._stage == _KIND:
            return
        self._keep_draft(event.value)
        if self._stage == _TICKS and event.value != self.ticks.said.text:
            self._show_stage(_WORDS, Content(""))

    @on(Input.Submitted, "#said")
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._hear()

    def _hear(self) -> None:
        text = self._said.value
        if not text.strip():
            self.dismiss(None)
            return
        unit = self.vibecheck.wording.unit(Quantity.SPEED)
        heard: list[Understood] = []
        word = attempt(lambda: heard.append(understand(self.opened.library, text, unit)))
        if word:
            self._say(word)
            return
        self.ticks.show(heard[0])
        if heard[0].meanings:
            bare = any(each.offer.speed and each.offer.speed.bare for each in heard[0].meanings)
            self._show_stage(_TICKS, joined(
                plain("I understood", "bold"),
                plain(f"   {hint(heard[0], OTHER_UNIT if bare else '')}", "$text-muted")))
            self._said.cursor_position = 0  # shows how the words begin
            self.ticks.focus()
        else:
            self._take()

    def units_changed(self) -> None:
        """Read a speed without a unit in the unit that counts now."""
        if self._stage == _TICKS:
            self._hear()

    # What they mean

    def action_back(self) -> None:
        """Back to the words, to write them otherwise."""
        self._to_words()

    @on(Button.Pressed, "#go-on")
    def action_go_on(self) -> None:
        """One step on from where it stands."""
        if self._stage == _WORDS:
            self._hear()
        elif self._stage == _TICKS:
            self._take()
        else:
            self.query_one("#kinds", KindList).action_select()

    def _take(self) -> None:
        ticks = self.ticks
        word = attempt(
            lambda: take(self.opened, ticks.said, ticks.left_out, ticks.ticked)
        )
        if word:
            self._say(word)
            return
        self._keep_draft("")
        known = KIND in self.opened.library.findings
        if not known or any(spot.id == KIND for spot in self.opened.diagnosis.case_evidence.closed):
            self.dismiss(None)
        else:
            self._ask_kind()

    # The kind of complaint

    def _ask_kind(self) -> None:
        rule = self.opened.library.findings[KIND]
        nothing = plain(f"{NOTHING}\n\n", "$text-muted") if not self.ticks.said.meanings else ""
        kinds = self.query_one("#kinds", KindList)
        kinds.show([Choice(state, text, str(number))
                    for number, (state, text) in enumerate(rule.states.items(), 1)])
        self._show_stage(_KIND, joined(nothing, plain(rule.ask.plain, "bold")))
        kinds.focus()

    def action_kind(self, number: int) -> None:
        """Take the kind with this number."""
        shown = self.query_one("#kinds", KindList).shown
        if number > len(shown):
            return
        word = attempt(lambda: self.opened.answer([f"{KIND}={shown[number - 1].value}"]))
        if word:
            self._say(word)
        else:
            self.dismiss(None)

    @on(OptionList.OptionSelected, "#kinds")
    def _kind_selected(self, event: OptionList.OptionSelected) -> None:
        self.action_kind(event.option_index + 1)

    # The end

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """On to the questions; words not taken wait as a note half typed."""
        if self._stage == _TICKS:
            self._to_words()
        else:
            self.dismiss(None)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Which keys count now."""
        return self._stage == _KIND if action == "kind" else True


class MeaningsDialog(Window[set[int] | None]):
    """What a note may mean; gives the places of what is ticked, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "Leave it")]

    def __init__(self, library: Library, said: Understood) -> None:
        super().__init__()
        self._library, self._said = library, said

    def compose(self) -> ComposeResult:
        """Title, the meanings, the keys."""
        with Vertical(classes="window"):
            yield Static("Do these words mean these answers?", classes="window-title")
            yield TickList(self._library, self._said)
            yield Static(plain(hint(self._said)), classes="quiet", id="meanings-hint")
            with Horizontal(classes="window-buttons"):
                yield Button(plain("Take what is ticked (Enter)"), id="go-on",
                             variant="primary", compact=True)
                yield Button(plain("None (Esc)"), id="leave", compact=True)

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one(TickList).focus()

    @on(Button.Pressed, "#go-on")
    def action_go_on(self) -> None:
        """Give what is ticked."""
        self.dismiss(self.query_one(TickList).ticked)

    @on(Button.Pressed, "#leave")
    def action_back(self) -> None:
        """Take none."""
        self.dismiss(None)


def heard_anew(opened: OpenCase, text: str, speed_unit: str) -> Understood:
    """What a note may mean, without what is answered already and what this car cannot have."""
    found = opened.diagnosis
    said = understand(opened.library, text, speed_unit)
    known = {(each.finding, each.corner) for each in found.answers}
    there = {(spot.id, spot.corner.value if spot.corner else None)
             for spot in found.network.findings}
    spots = [(each.offer.finding, each.offer.corner) for each in said.meanings]
    return replace(said, meanings=tuple(
        each for spot, each in zip(spots, said.meanings, strict=True)
        if spot in there and spot not in known
    ))
