"""A calculator's result into a case: its findings as answers, or its headline as a note.

What two readings of one wheel say of the same finding (the shape of a bend, the oval share) must
not cancel: a milder word from another surface leaves the graver one in force.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from vibecheck.calculators.calculator import Calculator, FindingAnswer
from vibecheck.calculators.runout import BEAD
from vibecheck.casebook.case import Entry, Role
from vibecheck.casebook.journal import active_entries
from vibecheck.errors import ReadingError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Scope
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.answers import Assignment, corner_named, corner_of, finding_named
from vibecheck.session.open_case import OpenCase

SHARED = ("bead_oval", "local_bend_shape")  # one finding for several surfaces of one wheel
GRAVITY = ("none", "dip_and_bulge", "wide_and_deep")


def surfaces(library: Library) -> tuple[str, ...]:
    """The findings that a runout can be read as."""
    return tuple(dict.fromkeys(
        finding for check in library.checks.values() if check.calculator == "runout"
        for finding in check.yields
        if library.findings[finding].measure is not None and finding not in SHARED
    ))


def check_place(
    library: Library, calculator: Calculator, corner: str | None, surface: str
) -> None:
    """Refuse a corner or surface that cannot be, before any long work.

    Raises
    ------
    InputError family : no such corner or surface.
    """
    if corner:
        corner_named(corner, "corner")
    if not calculator.takes_surface:
        return
    known = surfaces(library)
    if surface not in known:
        raise ReadingError(
            f"a runout cannot be read as '{surface[:60]}'" if surface
            else "a runout alone does not say where it was read",
            "surface", f"write one of {', '.join(known)}",
        )
    corner_of(finding_named(library, surface, "surface"), corner or None, "corner")


def setup_text(library: Library, surface: str) -> str:
    """From one setting-up to the next, as the rules have it for a surface; "" for none."""
    finding = library.findings.get(surface)
    if finding is None or finding.measure is None:
        return ""
    return f"{finding.measure.smear:.9g} {finding.measure.unit}"


def take_in(
    opened: OpenCase, calculator: Calculator, result: Any, headline: str, corner: str | None = None,
    surface: str = "", by: Role | None = None,
) -> tuple[Entry, ...]:
    """Add a result to the open case; all of it is saved, or nothing.

    A corner is used by the findings that have one, and passed over by the others. `headline` is
    kept as a note where the result answers no finding.

    Raises
    ------
    InputError family : a corner or surface is missing or wrong. CaseError family : not saved.
    """
    check_place(opened.library, calculator, corner, surface)
    typed = [_placed(opened.library, each, corner)
             for each in calculator.answers_of(result, surface)]
    kept = [each for each in typed if not _milder_elsewhere(opened, each, surface)]
    if not kept:
        return (opened.note(f"{calculator.name}: {headline}", by=by),)
    return opened.answer(kept, by=by, check=_check_of(opened.library, calculator.name, kept))


def _placed(library: Library, answer: FindingAnswer, corner: str | None) -> Assignment:
    """Without the corner where the finding belongs to the whole vehicle."""
    at = corner if finding_named(library, answer.finding).scope is Scope.CORNER else None
    return Assignment(answer.finding, answer.text, at, answer.readings, answer.angles)


def _check_of(library: Library, calculator: str, kept: Sequence[Assignment]) -> str:
    """The check of this calculator that yields all of the findings, "" where none does."""
    wanted = {each.finding for each in kept}
    for check in library.checks.values():
        if check.calculator == calculator and wanted <= set(check.yields):
            return check.id
    return ""


def _milder_elsewhere(opened: OpenCase, fresh: Assignment, surface: str) -> bool:
    """Whether another surface of this wheel has given a graver word on a shared finding."""
    if fresh.finding not in SHARED or fresh.corner is None:
        return False
    corner = corner_named(fresh.corner)
    here = [each for each in active_entries(opened.case) if each.corner == corner]
    before = next((each for each in here if each.finding == fresh.finding), None)
    if before is None:
        return False
    same = any(
        each.finding == surface and each.readings == before.readings for each in here
        if each.finding.startswith(BEAD)
    )
    return not same and _gravity(before.value) > _gravity(fresh.value)


def _gravity(value: str) -> float:
    if value in GRAVITY:
        return float(GRAVITY.index(value))
    try:
        return parse(value, Quantity.LENGTH).value
    except ReadingError:
        return -1.0
