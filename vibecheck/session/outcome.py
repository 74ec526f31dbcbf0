"""How a visit ended: what was found, what was done, and what confirmed that it holds."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.casebook.case import Outcome
from vibecheck.errors import InputError
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.session.answers import corner_named
from vibecheck.session.wording import cause_name
from vibecheck.session.workbench import Workbench

LONGEST_CONFIRMED = 20_000  # characters, as the case file holds


def read_outcome(
    bench: Workbench, cause: str, corner: str, remedy: str, confirmed: str
) -> Outcome:
    """How a visit ended, as typed, checked.

    Raises
    ------
    InputError : no such cause or remedy, a corner missing, unknown or out of place, or nothing
        said at all.
    """
    if not (cause or remedy or confirmed.strip()):
        raise InputError("nothing is said of how it ended", "", "give a cause, remedy or proof")
    if corner and not cause:
        raise InputError("a corner without a cause says nothing", "", "give the cause as well")
    at = corner_named(corner) if corner else None
    if cause:
        bench.cause_spot(cause, at)
        if at is None and bench.library.causes[cause].scope is Scope.CORNER:
            raise InputError(f"'{cause}' stands at a corner", "", f"write {cause}@LF, RF, LR or RR")
    if remedy and remedy not in bench.library.remedies:
        known = bench.library.causes[cause].remedies if cause else ()
        raise InputError(
            f"there is no remedy '{remedy[:60]}'", "",
            f"for this cause: {', '.join(known)}" if known else "write its id from the rules",
        )
    if len(confirmed) > LONGEST_CONFIRMED:
        raise InputError(
            f"{len(confirmed)} letters on how it was confirmed are too many", "",
            f"write {LONGEST_CONFIRMED} at most",
        )
    return Outcome(cause=cause, corner=at, remedy=remedy, confirmed=confirmed.strip())


def outcome_lines(bench: Workbench) -> Iterator[tuple[str, str]]:
    """What was written down, as caption and text; nothing where the visit is not finished."""
    outcome = bench.case.outcome
    if outcome is None:
        return
    if outcome.cause:
        yield "Cause", _cause(bench, outcome)
    if outcome.remedy:
        remedy = bench.library.remedies.get(outcome.remedy)
        yield "Remedy", remedy.name if remedy else outcome.remedy
    if outcome.confirmed:
        yield "Confirmed by", outcome.confirmed


def _cause(bench: Workbench, outcome: Outcome) -> str:
    try:
        spot = bench.cause_spot(outcome.cause, outcome.corner)
    except InputError:  # rules of today know it no more, or the car cannot have it
        at = f", {Corner(outcome.corner).spoken}" if outcome.corner else ""
        return f"{outcome.cause}{at}"
    if outcome.corner is None:
        return bench.library.causes[outcome.cause].name
    return cause_name(bench.library, spot)
