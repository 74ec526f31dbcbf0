"""How a visit ended: what was found, what was done, and what confirmed that it holds."""

from __future__ import annotations

from vibecheck.casebook.case import Outcome
from vibecheck.errors import InputError
from vibecheck.knowledge.words import Scope
from vibecheck.session.answers import corner_named
from vibecheck.session.inference import Inference

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
