"""A result into the case that is open: where it belongs is asked, the case takes it in."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from textual.app import App

from vibecheck.calculators.calculator import Calculator
from vibecheck.errors import VibecheckError
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.report.calculators.pages import calculator_page, headline_of
from vibecheck.report.wording import Wording
from vibecheck.session.intake import take_in
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.attempt import attempt
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.plain import plain
from vibecheck.tui.widgets.choices import Choice

if TYPE_CHECKING:
    from vibecheck.casebook.case import Entry

NO_CASE = (
    "no visit is open, so there is no case to take this in: begin or open one and come back to "
    "this calculator from it (Ctrl+P); what is typed here stays"
)
Then = Callable[[str], None]


def needs_corner(opened: OpenCase, calculator: Calculator, result: Any, surface: str) -> bool:
    """True if what the result yields stands at a corner.

    Raises
    ------
    InputError family : the result cannot be placed at all.
    """
    findings = [each.finding for each in calculator.answers_of(result, surface)]
    known = opened.library.findings
    return any(known[each].scope is Scope.CORNER for each in findings if each in known)


def ask_corner(app: App[None], then: Then, title: str = "At which corner?") -> None:
    """Ask for a corner; nothing happens if the person leaves it."""
    choices = [
        Choice(corner.value, corner.spoken, str(number))
        for number, corner in enumerate(Corner, start=1)
    ]

    def back(chosen: str | None) -> None:
        if chosen is not None:
            then(chosen)

    app.push_screen(
        ChoiceDialog(title, plain("As seen by the driver."), choices), back
    )


def hand_over(
    app: App[None], opened: OpenCase | None, calculator: Calculator, result: Any, wording: Wording,
    corner: str | None, surface: str, ended: Callable[[str, tuple[Entry, ...]], None],
) -> None:
    """Take a result into the case, asking for its corner where that is not known.

    `ended` gets "" and the entries made, or the sentence why nothing was taken.
    """
    if opened is None:
        ended(NO_CASE, ())
        return
    if result is None:
        ended("there is no result yet to take into the case", ())
        return
    wants = False
    try:
        wants = corner is None and needs_corner(opened, calculator, result, surface)
    except VibecheckError as error:
        ended(str(error), ())
        return

    def take(at: str | None) -> None:
        made: list[tuple[Entry, ...]] = []
        headline = headline_of(calculator_page(calculator.name, result, wording))
        refused = attempt(
            lambda: made.append(take_in(opened, calculator, result, headline, at, surface)))
        ended(refused, made[0] if made else ())

    if wants:
        ask_corner(app, take)
    else:
        take(corner)


def spoken_entries(opened: OpenCase, entries: tuple[Entry, ...]) -> str:
    """What went into the case, for a notice."""
    names = []
    for entry in entries:
        finding = opened.library.findings.get(entry.finding or "")
        if finding is None:
            names.append(f"note: {entry.text}")
            continue
        at = f" {Corner(entry.corner).spoken}" if entry.corner else ""
        names.append(f"{finding.name}{at}: {finding.states.get(entry.value, entry.value)}")
    return "Into the case: " + "; ".join(names)
