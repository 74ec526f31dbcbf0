"""The ways from a visit to other screens, and what comes back from there."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, cast, get_args

from vibecheck.casebook.case import PlaceName
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.interview_page import why_asked_page
from vibecheck.report.names import check_name
from vibecheck.session.opening import chosen
from vibecheck.tui.answers import AnswersScreen
from vibecheck.tui.attempt import attempt
from vibecheck.tui.block_text import block_text
from vibecheck.tui.calculators.catalog import shown_for
from vibecheck.tui.car import CarScreen
from vibecheck.tui.cause import CauseScreen
from vibecheck.tui.dialogs import ChoiceDialog, NoteDialog, TextDialog
from vibecheck.tui.facts import FactsScreen
from vibecheck.tui.finish import FinishScreen
from vibecheck.tui.folders import fresh_path
from vibecheck.tui.opening import MeaningsDialog, OpeningScreen, heard_anew
from vibecheck.tui.phrases import PLACES
from vibecheck.tui.plain import plain, sentence, visible
from vibecheck.tui.ranking import RankingScreen
from vibecheck.tui.sheets import SheetScreen
from vibecheck.tui.tools import ToolsScreen
from vibecheck.tui.widgets.choices import Choice

if TYPE_CHECKING:
    from vibecheck.tui.visit import VisitScreen

Call = Callable[[], object]


def why(visit: VisitScreen) -> None:
    """Why the question in hand is asked, with what it is expected to tell."""
    if visit.question is None:
        return
    found = visit.opened.diagnosis
    page = why_asked_page(found, visit.question, visit.vibecheck.wording)
    name = check_name(found.library, visit.question.check.spot)
    visit.app.push_screen(TextDialog(f"Why: {name}", block_text(page)))


def leading(visit: VisitScreen) -> None:
    """The leading cause explained."""
    ranking = visit.opened.diagnosis.ranking
    if ranking:
        explain(visit, ranking[0].cause, ranking[0].corner)
    else:
        visit.say("no cause stands out that could be explained")


def explain(visit: VisitScreen, cause: str, corner: str | None) -> None:
    """One cause explained."""
    visit.app.push_screen(CauseScreen(visit.opened, cause, corner))


def answers(visit: VisitScreen) -> None:
    """All answers; one may be chosen to be changed."""

    def back(chosen: tuple[str, str | None] | None) -> None:
        if chosen is not None:
            visit.interview.jump(*chosen)
        visit.show_all()

    visit.app.push_screen(AnswersScreen(visit.opened), back)


def ranking(visit: VisitScreen) -> None:
    """The whole ranking; another check may be chosen to be done now."""

    def back(chosen: tuple[str, str | None] | None) -> None:
        if chosen is not None:
            visit.do(lambda: visit.interview.choose(*chosen))

    visit.app.push_screen(RankingScreen(visit.opened), back)


def note(visit: VisitScreen) -> None:
    """A note, and the answers that it suggests."""

    def back(result: tuple[bool, str] | None) -> None:
        keep, text = result or (False, visit.note_draft)
        visit.keep_note_draft(text)
        if not keep or not text.strip():
            return
        if visit.do(lambda: visit.opened.note(text)):
            visit.keep_note_draft("")
            visit.app.notify("The note is kept.", markup=False)
            _suggest(visit, text)

    visit.app.push_screen(NoteDialog(visit.note_draft, visit.keep_note_draft), back)


def _suggest(visit: VisitScreen, text: str) -> None:
    """Offer the answers that a note may mean; none is taken unasked."""
    said = heard_anew(visit.opened, text, visit.vibecheck.wording.unit(Quantity.SPEED))
    if not said.meanings:
        return

    def back(ticked: set[int] | None) -> None:
        answers = chosen(said, set(range(len(said.meanings))) - (ticked or set()), ticked or ())
        if answers:
            visit.do(lambda: visit.opened.answer(answers))

    visit.app.push_screen(MeaningsDialog(visit.opened.library, said), back)


def opening(visit: VisitScreen) -> None:
    """The customer's words first, then the questions."""

    def back(_: None) -> None:
        visit.show_all()
        visit.ask_for_tools()

    visit.app.push_screen(
        OpeningScreen(visit.opened, visit.note_draft, visit.keep_note_draft), back)


def car(visit: VisitScreen) -> None:
    """The car from above."""
    visit.app.push_screen(CarScreen(visit.opened))


def facts(visit: VisitScreen) -> None:
    """Vehicle facts and limits."""
    visit.app.push_screen(FactsScreen(visit.opened), lambda _: visit.show_all())


def tools(visit: VisitScreen) -> None:
    """The tools at hand."""
    visit.app.push_screen(ToolsScreen(visit.opened), lambda _: visit.show_all())


def move(visit: VisitScreen) -> None:
    """Another place for the case."""
    choices = [
        Choice(place, PLACES[place], str(number),
               remark="(here now)" if place == visit.opened.case.place else "")
        for number, place in enumerate(get_args(PlaceName), start=1)
    ]

    def back(chosen: str | None) -> None:
        if chosen is not None and chosen != visit.opened.case.place:
            visit.moved(cast("PlaceName", chosen))

    visit.app.push_screen(
        ChoiceDialog("Where is the case from now on?", plain("The answers go with it."), choices),
        back,
    )


def instrument(visit: VisitScreen) -> None:
    """The calculator that works out the reading in hand; its result goes into the case."""
    if visit.question is None:
        return
    question = visit.question
    calculator = shown_for(question.check.rule.calculator)
    if calculator is None:
        return

    def back(taken: bool | None) -> None:
        if taken:
            visit.interview.forward_to_end()
            visit.show_all()

    visit.app.push_screen(calculator.make(visit.opened, question), back)


def sheet(visit: VisitScreen) -> None:
    """The sheet for the people at this place."""
    made: list[SheetScreen] = []
    word = attempt(lambda: made.append(SheetScreen(visit.opened)))
    if made:
        visit.app.push_screen(made[0])
    else:
        visit.say(visible(word))


def finish(visit: VisitScreen) -> None:
    """How the visit ended; the end page shows it afterwards."""

    def back(kept: bool | None) -> None:
        if kept:
            visit.action_end()

    visit.app.push_screen(FinishScreen(visit.opened), back)


def file_replaced(visit: VisitScreen, word: str) -> None:
    """The file holds another visit by now: ask what is meant; nothing is shown in its place."""
    path = visit.opened.path
    if path is None:
        return

    def back(chosen: str | None) -> None:
        if chosen == "other":
            visit.vibecheck.leave_visit()
            visit.vibecheck.open_visit(path)
        elif chosen == "this":
            fresh = fresh_path(path.parent, visit.opened.case.title)
            if visit.do(lambda: visit.opened.keep(fresh)):
                visit.app.notify(visible(f"kept as {fresh}"), markup=False)

    visit.app.push_screen(
        ChoiceDialog("Another visit stands in this file now",
                     plain(f"{sentence(word)}. Until you choose, nothing more is saved."),
                     [Choice("other", "Open the visit that the file holds now", "1"),
                      Choice("this", "Keep the visit on this screen under a new name", "2")]),
        back,
    )


WAYS: dict[str, Callable[[VisitScreen], None]] = {
    "why": why, "answers": answers, "ranking": ranking, "note": note, "explain": leading,
    "car": car, "facts": facts, "tools": tools, "move": move, "instrument": instrument,
    "sheet": sheet, "finish": finish,
}
