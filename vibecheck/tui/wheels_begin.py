"""The two questions before a new set of wheels: new or used, and what bare numbers count in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from vibecheck.calculators.wheel_row import written
from vibecheck.casebook.case import PlaceName
from vibecheck.report.wheel_words import DIALS
from vibecheck.session.wheel_set import OpenSet
from vibecheck.tui.attempt import attempt
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.folders import fresh_path, make_folder
from vibecheck.tui.plain import plain, visible
from vibecheck.tui.widgets.choices import Choice

if TYPE_CHECKING:
    from vibecheck.tui.wizard import Wizard

_CONDITIONS = {  # words by state and whether a carrier brought them
    "new yes": "New, came by carrier", "new no": "New, did not come by carrier",
    "used no": "Used", " ": "Not said yet",
}
_TITLES = {"new yes": "New wheels", "new no": "New wheels", "used no": "Used wheels", " ": "Wheels"}


def begin(app: Wizard, place: PlaceName) -> None:
    """Ask, then begin the set on disk and show it; nothing is begun where a question is left."""
    choices = [Choice(value, words, str(number))
               for number, (value, words) in enumerate(_CONDITIONS.items(), start=1)]

    def back(chosen: str | None) -> None:
        if chosen is not None:
            _ask_dial(app, place, chosen)

    app.push_screen(ChoiceDialog(
        "What wheels are these?",
        plain("Four wheels, tires off, named 1 to 4; names and number can be changed (e)."),
        choices), back)


def _ask_dial(app: Wizard, place: PlaceName, condition: str) -> None:
    choices = [Choice(name, f"{words[0].upper()}{words[1:]}: 14 is {written('14', name)}",
                      str(number)) for number, (name, words) in enumerate(DIALS.items(), start=1)]

    def back(dial: str | None) -> None:
        if dial is not None:
            _begin(app, place, condition, dial)

    app.push_screen(ChoiceDialog(
        "What do bare numbers count in?",
        plain("As the dial is read. A unit written behind a number counts before this."),
        choices), back)


def _begin(app: Wizard, place: PlaceName, condition: str, dial: str) -> None:
    state, _, shipped = condition.partition(" ")
    title = _TITLES[condition]
    path = fresh_path(app.cases, title)
    made: list[OpenSet] = []
    word = attempt(lambda: make_folder(app.cases)) or attempt(lambda: made.append(OpenSet.new(
        path, title=title, state=state, shipped=shipped, dial=dial, place=place,
        rules=app.rules)))
    if word:
        app.tell(visible(word))
    else:
        app.show_wheels(made[0])
