"""How a visit ended: what was found, what was done, and what confirmed that it holds."""

from __future__ import annotations

from vibecheck.casebook.case import Outcome
from vibecheck.casebook.journal import Draft
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Scope
from vibecheck.session.answers import corner_named
from vibecheck.session.inference import Inference

MOST_MINUTES = 10_000
LONGEST_CONFIRMED = 20_000  # characters, as the case file holds


def read_outcome(
    inference: Inference, cause: str, corner: str, remedy: str, confirmed: str
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
        inference.cause_spot(cause, at)
        if at is None and inference.library.causes[cause].scope is Scope.CORNER:
            raise InputError(f"'{cause}' stands at a corner", "", f"write {cause}@LF, RF, LR or RR")
    if remedy and remedy not in inference.library.remedies:
        known = inference.library.causes[cause].remedies if cause else ()
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


def read_repair(
    library: Library, remedy: str, corner: str | None, minutes: str, text: str
) -> Draft:
    """A remedy that was done, as typed, checked.

    Raises
    ------
    InputError : no such remedy, a corner missing or out of place, minutes that cannot be.
    """
    rule = library.remedies.get(remedy)
    if rule is None:
        raise InputError(
            f"there is no remedy '{remedy[:60]}'", "", "see 'vibecheck rank', or the rules"
        )
    at = corner_named(corner) if corner else None
    if at is None and rule.scope is Scope.CORNER:
        raise InputError(f"'{remedy}' is done at a corner", "", f"write {remedy}@LF, RF, LR or RR")
    if at is not None and rule.scope is Scope.VEHICLE:
        raise InputError(f"'{remedy}' stands at no corner", "", f"write {remedy}")
    spent = minutes.strip()
    if spent and not (spent.isascii() and spent.isdigit() and int(spent) <= MOST_MINUTES):
        raise InputError(f"'{spent[:40]}' is no count of minutes", "minutes", "write it as 80")
    return Draft(kind="remedy", remedy=remedy, corner=at, minutes=spent, parts=rule.parts.value,
                 text=text.strip())
