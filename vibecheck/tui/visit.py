"""The visit: one question at a time, and beside it where the visit stands.

A screen it leads to is loaded when it is wanted: a case is seen earlier for it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, cast, get_args

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import ContentSwitcher

from vibecheck.calculators.written_units import with_unit
from vibecheck.casebook.case import PlaceName
from vibecheck.errors import CaseReplacedError
from vibecheck.metrology.units.choice import Units
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.names import check_name
from vibecheck.report.sentences import bare_unit, driving_reasons, limit_text
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import ending
from vibecheck.session.interview import Ended, Interview, Question
from vibecheck.session.open_case import OpenCase
from vibecheck.session.opening import chosen, wants_opening
from vibecheck.session.typed import doubts
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.block_text import block_text
from vibecheck.tui.calculators.catalog import shown_for
from vibecheck.tui.dialogs import ChoiceDialog, TextDialog, doubt_choices, doubt_text
from vibecheck.tui.folders import fresh_path
from vibecheck.tui.phrases import PLACES
from vibecheck.tui.plain import line, plain, sentence, visible
from vibecheck.tui.widgets.aside import Aside
from vibecheck.tui.widgets.asking import MOST_KEYS, Asking
from vibecheck.tui.widgets.choices import Choice
from vibecheck.tui.widgets.endpage import EndPage
from vibecheck.tui.widgets.keyline import KeyLine
from vibecheck.tui.widgets.standing import StandingPane
from vibecheck.tui.widgets.topbar import TopBar

_WATCH_FILE_S = 4.0
_CHANGING_KEYS = ("unsure", "go_on", "other_corner", "instrument")


class VisitScreen(BaseScreen[None]):
    """One case being worked on."""

    ABOUT_TITLE = "the visit"
    ABOUT = (
        "One question at a time stands on the left. Choose an answer by its number, with the "
        "arrow keys and Enter, or by a click. Where a value is asked for, type it and press "
        "Enter: 0.49, 18 thou and 0.49 mm +/- 0.02 all work. A bare number counts in the unit "
        "beside the field. On the right: minutes, the causes that are possible now, and the "
        "cautions in force. Choose a cause there to have it explained. Every answer is on disk "
        "before the ranking changes. Any answer can be changed later; nothing has to be confirmed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("u", "unsure", "Not sure"),
        Binding("c", "cannot", "Can't here"),
        Binding("s", "skip", "Skip"),
        Binding("b", "back", "Back"),
        Binding("w", "why", "Why"),
        Binding("a", "answers", "Answers"),
        Binding("r", "ranking", "Ranking"),
        Binding("n", "note", "Note"),
        Binding("x", "explain", "Explain cause", show=False),
        Binding("k", "car", "Car"),
        Binding("f", "facts", "Facts, limits"),
        Binding("t", "tools", "Tools", show=False),
        Binding("m", "move", "Move place", show=False),
        Binding("e", "end", "End page", show=False),
        Binding("h", "finish", "Write down how it ended", show=False),
        Binding("g", "go_on", "Ask on"),
        Binding("o", "other_corner", "Other corner"),
        Binding("i", "instrument", "Calculator"),
        Binding("p", "sheet", "Sheet"),
        Binding("escape", "to_now", "To the question now", show=False),
        Binding("pageup", "words(-8)", "Scroll up", show=False),
        Binding("pagedown", "words(8)", "Scroll down", show=False),
        Binding("q", "leave", "To the start"),
        *(
            Binding(str(number), f"choose({number})", "Choose", show=False)
            for number in range(1, MOST_KEYS + 1)
        ),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened
        self.interview = Interview(opened)
        self.question: Question | None = None
        self._ended_on: Ended | None = None
        self._disk_word = ""
        self._before: Diagnosis | None = None
        self._keys: tuple[bool | None, ...] = ()

    def compose(self) -> ComposeResult:
        """The word on driving above, question and ranking side by side."""
        yield TopBar()
        with Horizontal(id="visit-body"):
            with ContentSwitcher(initial="asking", id="left"):
                yield Asking()
                yield EndPage(id="ended")
            yield StandingPane()
            yield Aside()
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the first question."""
        self.show_all()
        self.set_interval(_WATCH_FILE_S, self.check_file)
        if wants_opening(self.opened):
            self._opening()
        else:
            self.ask_for_tools()

    def ask_for_tools(self) -> None:
        """At home, what can be looked at depends on the tools there are."""
        if self.opened.case.place == "driveway" and not self.opened.case.tools:
            self.action_tools()

    @property
    def units(self) -> Units:
        """The units chosen."""
        return self.vibecheck.units

    @property
    def note_draft(self) -> str:
        """A note that is half typed; it outlives its window, and the program."""
        return self.vibecheck.drafts.get(self._note_key, {}).get("text", "")

    def keep_note_draft(self, text: str) -> None:
        """Keep a note as far as it is typed; "" where it is done."""
        self.vibecheck.drafts[self._note_key] = {"text": text}

    @property
    def _note_key(self) -> str:
        return f"note/{self.opened.case.id}/"

    def show_all(self) -> None:
        """Show the visit as it is now."""
        found, wording = self.opened.diagnosis, self.vibecheck.wording
        self.question = self.interview.current()
        reason = driving_reasons(found, wording)[0]
        self.query_one(TopBar).show(found, self.units, self.opened.path is not None, reason)
        self.query_one(StandingPane).show(found, wording, self._before)
        self.query_one(Aside).show(found, wording)
        if self.question is not None:
            self._ended_on = None
            self._show_question(self.question)
        else:
            self._show_end(self.interview.ended or Ended.NOTHING)
        self._refresh_keys()

    def _refresh_keys(self) -> None:
        """Let the foot of the screen follow, where other keys count than before."""
        keys = tuple(self.check_action(name, ()) for name in _CHANGING_KEYS)
        if keys != self._keys:
            self._keys = keys
            self.refresh_bindings()

    def _show_question(self, question: Question) -> None:
        asking = self.query_one(Asking)
        asking.show(self.opened.diagnosis, question, self.vibecheck.wording)
        self.query_one("#left", ContentSwitcher).current = "asking"
        asking.focus_answer()

    def _show_end(self, ended: Ended) -> None:
        self._ended_on = ended
        page = self.query_one(EndPage)
        found = self.opened.diagnosis
        end = ending(found, nothing_left=ended is not Ended.DECIDED)
        page.refuse("")
        page.show(found, end, ended, self.vibecheck.wording)
        self.query_one("#left", ContentSwitcher).current = "ended"
        page.focus_answer()

    def _unit(self, question: Question) -> str:
        return bare_unit(question.field, self.vibecheck.wording)

    # Answers

    @on(Asking.Answered)
    def _answered(self, event: Asking.Answered) -> None:
        question = self.question
        if question is None:
            return
        field = question.field
        if not event.typed or field.quantity is None:
            self.give(event.value)
            return
        unit = self._unit(question)
        value = with_unit(event.value, Quantity(field.quantity), unit)
        others = doubts(self.opened.diagnosis, field.finding, event.value, unit)
        if not others:
            self.give(value)
            return
        limit = limit_text(self.opened.diagnosis, field.finding, self.vibecheck.wording)
        asked = ChoiceDialog(
            "Is the unit right?", doubt_text(value, limit), doubt_choices(value, others)
        )
        self.app.push_screen(asked, self._unit_told)

    def _unit_told(self, value: str | None) -> None:
        if value is not None:
            self.give(value)

    def give(
        self, value: str, readings: tuple[str, ...] = (), angles: tuple[str, ...] = ()
    ) -> bool:
        """Answer the question in hand; False, with the reason on the screen, if refused."""
        return self.do(lambda: self.interview.answer(value, readings, angles))

    def do(self, call: Callable[[], object]) -> bool:
        """Run something that changes the case, and show what came of it."""
        before = self.opened.diagnosis
        refused = attempt(call)
        if refused:
            self.say(refused)
            return False
        self._before = before
        self.show_all()
        return True

    def say(self, sentence: str) -> None:
        """Say why something was not done, and leave it there to be read."""
        if self._ended_on is None:
            self.query_one(Asking).refuse(sentence)
        else:
            self.query_one(EndPage).refuse(sentence)

    @on(Asking.Pressed)
    @on(EndPage.Chosen)
    async def _pressed(self, event: Asking.Pressed | EndPage.Chosen) -> None:
        await self.run_action(event.action)

    @on(StandingPane.Asked)
    def _asked(self, event: StandingPane.Asked) -> None:
        self.explain(event.cause, event.corner)

    def action_choose(self, number: int) -> None:
        """Take the answer with this number."""
        if self.question is not None:
            self.query_one(Asking).choose(number)

    def action_unsure(self) -> None:
        """The person cannot say."""
        if self.question is not None:
            self.do(self.interview.unsure)

    def action_skip(self) -> None:
        """Pass over the check in hand."""
        if self.question is not None:
            self.do(self.interview.skip)

    def action_cannot(self) -> None:
        """The check in hand cannot be done here."""
        if self.question is not None:
            self.do(self.interview.cannot)

    def action_back(self) -> None:
        """Show the answer before."""
        if self.interview.back():
            self.show_all()
        else:
            self.say("there is no earlier answer")

    def action_to_now(self) -> None:
        """Leave an earlier answer as it is."""
        self.interview.forward_to_end()
        self.show_all()

    def action_go_on(self) -> None:
        """Ask on although the interview has ended."""
        self.interview.go_on()
        self.show_all()

    def action_other_corner(self) -> None:
        """Do the same check at another corner first."""
        if self.question is not None and self.question.check.also_at:
            check, corner = self.question.check.check, self.question.check.also_at[0].value
            self.do(lambda: self.interview.choose(check, corner))

    def action_words(self, lines: int) -> None:
        """Scroll the words of the question, or of the ending."""
        scroller = "#words" if self.question is not None else "#outcome"
        self.query_one(scroller).scroll_relative(y=lines, animate=False)

    # To other screens

    def action_why(self) -> None:
        """Why the question in hand is asked, with what it is expected to tell."""
        from vibecheck.report.interview_page import why_asked_page

        if self.question is None:
            return
        found = self.opened.diagnosis
        page = why_asked_page(found, self.question, self.vibecheck.wording)
        name = check_name(found.library, self.question.check.spot)
        self.app.push_screen(TextDialog(f"Why: {name}", block_text(page)))

    def action_explain(self) -> None:
        """The leading cause explained."""
        ranking = self.opened.diagnosis.ranking
        if ranking:
            self.explain(ranking[0].cause, ranking[0].corner)
        else:
            self.say("no cause stands out that could be explained")

    def explain(self, cause: str, corner: str | None) -> None:
        """One cause explained."""
        from vibecheck.tui.cause import CauseScreen

        self.app.push_screen(CauseScreen(self.opened, cause, corner))

    def action_answers(self) -> None:
        """All answers; one may be chosen to be changed."""
        from vibecheck.tui.answers import AnswersScreen

        def back(chosen: tuple[str, str | None] | None) -> None:
            if chosen is not None:
                self.interview.jump(*chosen)
            self.show_all()

        self.app.push_screen(AnswersScreen(self.opened), back)

    def action_ranking(self) -> None:
        """The whole ranking; another check may be chosen to be done now."""
        from vibecheck.tui.ranking import RankingScreen

        def back(chosen: tuple[str, str | None] | None) -> None:
            if chosen is not None:
                self.do(lambda: self.interview.choose(*chosen))

        self.app.push_screen(RankingScreen(self.opened), back)

    def action_note(self) -> None:
        """A note, and the answers that it suggests."""
        from vibecheck.tui.note_dialog import NoteDialog

        def back(result: tuple[bool, str] | None) -> None:
            keep, text = result or (False, self.note_draft)
            self.keep_note_draft(text)
            if not keep or not text.strip():
                return
            if self.do(lambda: self.opened.note(text)):
                self.keep_note_draft("")
                self.app.notify("The note is kept.", markup=False)
                self._suggest(text)

        self.app.push_screen(NoteDialog(self.note_draft, self.keep_note_draft), back)

    def _suggest(self, text: str) -> None:
        """Offer the answers that a note may mean; none is taken unasked."""
        from vibecheck.tui.opening import MeaningsDialog, heard_anew

        said = heard_anew(self.opened, text, self.vibecheck.wording.unit(Quantity.SPEED))
        if not said.meanings:
            return

        def back(ticked: set[int] | None) -> None:
            answers = chosen(said, set(range(len(said.meanings))) - (ticked or set()), ticked or ())
            if answers:
                self.do(lambda: self.opened.answer(answers))

        self.app.push_screen(MeaningsDialog(self.opened.library, said), back)

    def _opening(self) -> None:
        """The customer's words first, then the questions."""
        from vibecheck.tui.opening import OpeningScreen

        def back(_: None) -> None:
            self.show_all()
            self.ask_for_tools()

        self.app.push_screen(
            OpeningScreen(self.opened, self.note_draft, self.keep_note_draft), back)

    def action_car(self) -> None:
        """The car from above."""
        from vibecheck.tui.car import CarScreen

        self.app.push_screen(CarScreen(self.opened))

    def action_facts(self) -> None:
        """Vehicle facts and limits."""
        from vibecheck.tui.facts import FactsScreen

        self.app.push_screen(FactsScreen(self.opened), lambda _: self.show_all())

    def action_tools(self) -> None:
        """The tools at hand."""
        from vibecheck.tui.tools import ToolsScreen

        self.app.push_screen(ToolsScreen(self.opened), lambda _: self.show_all())

    def action_move(self) -> None:
        """Another place for the case."""
        choices = [
            Choice(place, PLACES[place], str(number),
                   remark="(here now)" if place == self.opened.case.place else "")
            for number, place in enumerate(get_args(PlaceName), start=1)
        ]

        def back(chosen: str | None) -> None:
            if chosen is not None and chosen != self.opened.case.place:
                self.moved(cast("PlaceName", chosen))

        self.app.push_screen(
            ChoiceDialog("Where is the case from now on?",
                         plain("The answers go with it."), choices),
            back,
        )

    def action_instrument(self) -> None:
        """The calculator that works out the reading in hand; its result goes into the case."""
        if self.question is None:
            return
        question = self.question
        calculator = shown_for(question.check.rule.calculator)
        if calculator is None:
            return

        def back(taken: bool | None) -> None:
            if taken:
                self.interview.forward_to_end()
                self.show_all()

        self.app.push_screen(calculator.make(self.opened, question), back)

    def action_sheet(self) -> None:
        """The sheet for the people at this place."""
        from vibecheck.tui.sheets import SheetScreen

        made: list[SheetScreen] = []
        word = attempt(lambda: made.append(SheetScreen(self.opened)))
        if made:
            self.app.push_screen(made[0])
        else:
            self.say(visible(word))

    def action_finish(self) -> None:
        """How the visit ended; the end page shows it afterwards."""
        from vibecheck.tui.finish import FinishScreen

        def back(kept: bool | None) -> None:
            if kept:
                self.action_end()

        self.app.push_screen(FinishScreen(self.opened), back)

    def _file_replaced(self, word: str) -> None:
        """The file holds another visit by now: ask what is meant; nothing is shown in its place."""
        path = self.opened.path
        if path is None:
            return

        def back(chosen: str | None) -> None:
            if chosen == "other":
                self.vibecheck.leave_visit()
                self.vibecheck.open_visit(path)
            elif chosen == "this":
                fresh = fresh_path(path.parent, self.opened.case.title)
                if self.do(lambda: self.opened.keep(fresh)):
                    self.app.notify(visible(f"kept as {fresh}"), markup=False)

        self.app.push_screen(
            ChoiceDialog("Another visit stands in this file now",
                         plain(f"{sentence(word)}. Until you choose, nothing more is saved."),
                         [Choice("other", "Open the visit that the file holds now", "1"),
                          Choice("this", "Keep the visit on this screen under a new name", "2")]),
            back,
        )

    def action_end(self) -> None:
        """The end page as it would be now."""
        self.interview.forward_to_end()
        self.question = None
        self._show_end(self.interview.ended or Ended.ASKED)

    def action_leave(self) -> None:
        """Back to the start; everything is saved."""
        self.vibecheck.leave_visit()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Which keys count now."""
        if action in ("unsure", "cannot", "skip", "why"):
            return self.question is not None
        if action == "go_on":
            return self.question is None and self._ended_on is not Ended.NOTHING
        if action == "other_corner":
            return self.question is not None and bool(self.question.check.also_at)
        if action == "instrument":
            calculator = self.question.check.rule.calculator if self.question else ""
            return shown_for(calculator) is not None
        return True

    # What happens around the visit

    def units_changing(self, old: Units) -> None:
        """Keep a bare number in the field what it was, before the unit changes."""
        asking = self.query_one(Asking)
        question = self.question
        if question is None or question.field.quantity is None:
            return
        unit = bare_unit(question.field, Wording(old))
        asking.entry.value = with_unit(
            asking.entry.value, Quantity(question.field.quantity), unit
        )

    def units_changed(self) -> None:
        """Show values in the other unit."""
        if self.is_mounted:
            self.show_all()

    def moved(self, place: PlaceName) -> None:
        """Take the case to another place."""
        if self.do(lambda: self.opened.move(place)):
            self.interview.moved()
            self.show_all()
            self.app.notify(line(f"The case is at the {place} now.").plain, markup=False)

    def check_file(self) -> None:
        """Take in what somebody else wrote into the case; never another visit's in its place."""
        changed: list[bool] = []
        replaced: list[CaseReplacedError] = []

        def look() -> None:
            try:
                changed.append(self.opened.reload())
            except CaseReplacedError as error:
                replaced.append(error)
                raise

        word = attempt(look)
        if word and word != self._disk_word:
            self.say(word)
            if replaced:
                self._file_replaced(replaced[0].what)
        self._disk_word = word
        if any(changed):
            self.interview.forward_to_end()
            self.show_all()
            self.app.notify("The case file changed on disk and was read again.", markup=False)
