"""The surfaces that can be read round the wheel, their limits, and what is asked about them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from textual.app import App

from vibecheck.calculators.reading_sheet import COUNTS, FULL_TURN_DEG
from vibecheck.metrology.units.values import Quantity, show
from vibecheck.session.intake import surfaces
from vibecheck.session.interview import Question
from vibecheck.session.limits import limit_in_force
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.plain import plain, visible
from vibecheck.tui.widgets.choices import Choice

_LIMIT_DIGITS = {"in": 4}
_MOST_DIGIT_KEYS = 9


@dataclass(frozen=True)
class SheetSurface:
    """A surface: the finding that its runout is, and its name."""

    finding: str
    name: str


WITHOUT_CASE = (
    SheetSurface("bead_radial_inboard", "Bead seat, radial, inboard"),
    SheetSurface("bead_radial_outboard", "Bead seat, radial, outboard"),
    SheetSurface("bead_lateral_inboard", "Bead seat, lateral, inboard"),
    SheetSurface("bead_lateral_outboard", "Bead seat, lateral, outboard"),
    SheetSurface("assembly_radial", "Tire on, radial"),
    SheetSurface("assembly_lateral", "Tire on, lateral"),
)


def surfaces_of(opened: OpenCase | None, question: Question | None) -> tuple[SheetSurface, ...]:
    """The surfaces of the check in hand; else all that the rules know."""
    if opened is None:
        return WITHOUT_CASE
    known = surfaces(opened.library)
    asked = opened.library.checks[question.check.check].yields if question else ()
    wanted = [name for name in known if name in asked] or list(known)
    return tuple(SheetSurface(name, opened.library.findings[name].name) for name in wanted)


def limit_mm(opened: OpenCase | None, surface: SheetSurface) -> float | None:
    """The limit in force for a surface [mm]."""
    if opened is None:
        return None
    known = opened.diagnosis
    measure = known.library.findings[surface.finding].measure
    if measure is None or measure.quantity != Quantity.LENGTH.value:
        return None
    found = limit_in_force(
        known.library, known.case.limits, known.facts, measure, Quantity.LENGTH
    )
    return None if found is None else found.value


def limit_of(opened: OpenCase | None, surface: SheetSurface, unit: str = "mm") -> str:
    """The limit in force for a surface as a typed value, "" without one."""
    found = limit_mm(opened, surface)
    return "" if found is None else show(found, Quantity.LENGTH, unit, _LIMIT_DIGITS.get(unit))


def ask_surface(
    app: App[None], known: Sequence[SheetSurface], now: SheetSurface,
    then: Callable[[SheetSurface], None],
) -> None:
    """Ask for a surface."""
    by_finding = {each.finding: each for each in known}
    choices = [
        Choice(each.finding, each.name, str(number) if number <= _MOST_DIGIT_KEYS else "",
               "(in hand)" if each == now else "")
        for number, each in enumerate(known, start=1)
    ]

    def back(chosen: str | None) -> None:
        if chosen in by_finding:
            then(by_finding[chosen])

    app.push_screen(
        ChoiceDialog("Which surface is read?", plain("Each has a sheet of its own."), choices),
        back,
    )


def ask_count(app: App[None], now: int, then: Callable[[int], None]) -> None:
    """Ask how many readings go round the turn."""
    choices = [
        Choice(str(count), f"{count} readings, one every {FULL_TURN_DEG / count:g} deg",
               str(number), "(now)" if count == now else "")
        for number, count in enumerate(COUNTS, start=1)
    ]

    def back(chosen: str | None) -> None:
        if chosen is not None:
            then(int(chosen))

    app.push_screen(
        ChoiceDialog("How many readings round the turn?",
                     plain("18 or more tell three orders and show a sharp bend."), choices), back
    )


def ask_unit(
    app: App[None], texts: Sequence[str], units: Sequence[str], why: str,
    then: Callable[[str], None],
) -> None:
    """Ask which unit bare readings are in; the first of `units` is the one shown now."""
    shown = visible(next((text for text in texts if text.strip("0., ")), texts[0]), 20)
    choices = [
        Choice(unit, f"{shown} {unit}", str(number), "as it stands" if number == 1 else "")
        for number, unit in enumerate(units, start=1)
    ]

    def back(chosen: str | None) -> None:
        if chosen is not None:
            then(chosen)

    app.push_screen(
        ChoiceDialog("Is the unit right?",
                     plain(f"A reading of {shown} {units[0]}? {why} Which unit was meant?"),
                     choices), back
    )
