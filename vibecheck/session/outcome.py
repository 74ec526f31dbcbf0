"""How a visit ended: what was found, what was done, and what confirmed that it holds."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.casebook.case import Outcome
from vibecheck.errors import InputError
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.session.answers import corner_named
from vibecheck.session.desk import Desk
from vibecheck.session.wording import cause_name

LONGEST_CONFIRMED = 20_000  # characters, as the case file holds


def finish(
    desk: Desk, *, cause: str = "", corner: str = "", remedy: str = "", confirmed: str = ""
) -> Outcome:
    """Write down how a visit ended; what was written before is replaced.

    Raises
    ------
    InputError : no such cause or remedy, a corner missing, unknown or out of place, or nothing
        said at all. CaseError family : it is not saved.
    """
    if not (cause or remedy or confirmed.strip()):
        raise InputError("nothing is said of how it ended", "", "give a cause, remedy or proof")
    if corner and not cause:
        raise InputError("a corner without a cause says nothing", "", "give the cause as well")
    at = corner_named(corner) if corner else None
    if cause:
        desk.workbench.cause_spot(cause, at)
        if at is None and desk.library.causes[cause].scope is Scope.CORNER:
            raise InputError(f"'{cause}' stands at a corner", "", f"write {cause}@LF, RF, LR or RR")
    if remedy and remedy not in desk.library.remedies:
        known = desk.library.causes[cause].remedies if cause else ()
        raise InputError(
            f"there is no remedy '{remedy[:60]}'", "",
            f"for this cause: {', '.join(known)}" if known else "write its id from the rules",
        )
    if len(confirmed) > LONGEST_CONFIRMED:
        raise InputError(
            f"{len(confirmed)} letters on how it was confirmed are too many", "",
            f"write {LONGEST_CONFIRMED} at most",
        )
    outcome = Outcome(cause=cause, corner=at, remedy=remedy, confirmed=confirmed.strip())
    desk.finish(outcome)
    return outcome


def outcome_lines(desk: Desk) -> Iterator[tuple[str, str]]:
    """What was written down, as caption and text; nothing where the visit is not finished."""
    outcome = desk.case.outcome
    if outcome is None:
        return
    if outcome.cause:
        yield "Cause", _cause(desk, outcome)
    if outcome.remedy:
        remedy = desk.library.remedies.get(outcome.remedy)
        yield "Remedy", remedy.name if remedy else outcome.remedy
    if outcome.confirmed:
        yield "Confirmed by", outcome.confirmed


def _cause(desk: Desk, outcome: Outcome) -> str:
    try:
        spot = desk.workbench.cause_spot(outcome.cause, outcome.corner)
    except InputError:  # rules of today know it no more, or the car cannot have it
        at = f", {Corner(outcome.corner).spoken}" if outcome.corner else ""
        return f"{outcome.cause}{at}"
    if outcome.corner is None:
        return desk.library.causes[outcome.cause].name
    return cause_name(desk.library, spot)
