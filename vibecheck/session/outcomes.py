"""What became of the visits of a folder: which outcomes are confirmed, and what came before them.

An outcome is confirmed if the fault written down at the end is one that the rules know and this car
can have, a remedy of that fault was done, what was found before was measured, looked at or driven
again after it, all of it was fixed, and nobody came back with a complaint. What people write about
an outcome in free words counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from vibecheck.casebook.archive import Archive, Search
from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import retracted_ids
from vibecheck.casebook.store import load
from vibecheck.errors import VibecheckError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import ON_THE_ROAD, Cause, Spot
from vibecheck.knowledge.words import Corner, Parts, Place, Scope
from vibecheck.reasoning.network import spots
from vibecheck.session import physics
from vibecheck.session.case_evidence import check_case, check_values, gather
from vibecheck.session.facts import read_facts
from vibecheck.session.inference import complaint_of, network_of
from vibecheck.session.repair import Change, Repair, as_found, repair_of

NO_COMPLAINT = "none"  # the kind of complaint of somebody who came without one
_EVERY = 1_000_000  # visits; more than a folder holds
Array = NDArray[np.float64]


class OutcomeStanding(StrEnum):
    """Whether an outcome counts, or why it does not."""

    CONFIRMED = "confirmed"
    NOT_FINISHED = "not_finished"
    NO_SUCH_FAULT = "no_such_fault"
    NOT_ITS_REMEDY = "not_its_remedy"
    NOT_LOOKED_AGAIN = "not_looked_again"
    PARTLY_LOOKED_AGAIN = "partly_looked_again"
    NOT_FIXED = "not_fixed"
    CAME_BACK = "came_back"
    TWICE = "twice"
    INVENTED = "invented"
    UNREADABLE = "unreadable"


@dataclass(frozen=True)
class Closed:
    """A visit that came to an end, or that came back from one.

    complaint : its kind, None if nobody told it.
    cause : the fault written down, None where the rules do not know it.
    facts : as the rules use them, with what follows from them.
    evidence : what was found before any remedy, finding -> likelihood over its states.
    attempts : times that remedies were done with something looked at in between.
    minutes : of the checks before the first remedy, by the rules [min].
    held : whether the first remedies held; None where that was not looked at.
    came_back : whether a later visit with a complaint follows this one.
    """

    id: str
    standing: OutcomeStanding
    complaint: str | None = None
    cause: Spot | None = None
    facts: Mapping[str, str] = field(default_factory=dict)
    evidence: Mapping[Spot, Array] = field(default_factory=dict)
    attempts: int = 0
    minutes: float = 0.0
    held: bool | None = None
    came_back: bool = False
    follows: str = ""


@dataclass(frozen=True)
class Visits:
    """A folder's visits: how many in all, and those that were closed or came back."""

    every: int
    closed: tuple[Closed, ...]

    @property
    def standings(self) -> dict[OutcomeStanding, int]:
        """How many visits stand how; the open ones are not finished."""
        found = dict.fromkeys(OutcomeStanding, 0)
        for visit in self.closed:
            found[visit.standing] += 1
        found[OutcomeStanding.NOT_FINISHED] += self.every - len(self.closed)
        return {standing: count for standing, count in found.items() if count}

    @property
    def confirmed(self) -> tuple[Closed, ...]:
        """The visits that count."""
        return tuple(each for each in self.closed if each.standing is OutcomeStanding.CONFIRMED)


def read_visits(folder: Path, library: Library, *, invented: bool = False) -> Visits:
    """The visits of a folder, by their files.

    Parameters
    ----------
    invented : count visits that are marked as invented, too.

    Raises
    ------
    ArchiveError : the folder or its index cannot be used.
    """
    with Archive.beside(folder) as archive:
        archive.refresh(folder)
        listed = archive.search(Search(archived=True), folder, _EVERY)
        every = archive.count(folder)
    closed: list[Closed] = []
    cases: list[Case] = []
    for visit in sorted(listed, key=lambda each: each.path):
        if visit.complaint:
            closed.append(Closed(visit.path, OutcomeStanding.UNREADABLE))
        elif visit.fault or visit.follows:
            try:
                cases.append(load(Path(visit.path)).case)
            except VibecheckError:  # changed since the look
                closed.append(Closed(visit.path, OutcomeStanding.UNREADABLE))
    return Visits(every, (*closed, *closed_visits(cases, library, invented=invented)))


def closed_visits(
    cases: Sequence[Case], library: Library, *, invented: bool = False
) -> tuple[Closed, ...]:
    """What became of each of these visits, in their order."""
    returned = _returned(cases, library)
    seen: set[str] = set()
    found = []
    for case in cases:
        if case.id in seen:
            found.append(Closed(case.id, OutcomeStanding.TWICE))
        elif case.invented and not invented:
            found.append(Closed(case.id, OutcomeStanding.INVENTED))
        else:
            found.append(_closed(case, library, case.id in returned))
        seen.add(case.id)
    return tuple(found)


def _returned(cases: Iterable[Case], library: Library) -> frozenset[str]:
    """Ids of the visits that somebody came back from with a complaint."""
    return frozenset(
        case.follows for case in cases
        if case.follows and complaint_of(library, as_found(case)) != NO_COMPLAINT
    )


def _closed(case: Case, library: Library, came_back: bool) -> Closed:
    try:
        check_values(library, case, case.id)
        check_case(library, case, case.id)
        facts = physics.with_derived(library, read_facts(library, case.facts))
        repair = repair_of(library, case, facts)
        before = as_found(case)
        complaint = complaint_of(library, before)
        told = gather(network_of(library, {}), case, facts, Place(case.place))
    except (VibecheckError, ValueError):
        return Closed(case.id, OutcomeStanding.UNREADABLE)
    cause = _cause(case, library, facts)
    attempts = _attempts(case)
    return Closed(
        id=case.id, standing=_standing(case, library, cause, repair, came_back),
        complaint=complaint, cause=cause, facts=facts, evidence=told.evidence,
        attempts=attempts, minutes=told.minutes, held=_held(repair, attempts, came_back),
        came_back=came_back, follows=case.follows,
    )


def _cause(case: Case, library: Library, facts: Mapping[str, str]) -> Spot | None:
    """The fault written down, if the rules know it and this car can have it there."""
    ended = case.outcome
    rule = library.causes.get(ended.cause) if ended else None
    if ended is None or rule is None:
        return None
    corner = Corner(ended.corner) if ended.corner else None
    spot = Spot(rule.id, corner if rule.scope is Scope.CORNER else None)
    return spot if spot in spots(rule, facts) else None


def _standing(
    case: Case, library: Library, cause: Spot | None, repair: Repair | None, came_back: bool
) -> OutcomeStanding:
    if case.outcome is None or not case.outcome.cause:
        return OutcomeStanding.NOT_FINISHED
    if cause is None:
        return OutcomeStanding.NO_SUCH_FAULT
    if repair is None or not _is_its_remedy(library.causes[cause.id], cause, repair):
        return OutcomeStanding.NOT_ITS_REMEDY
    if came_back:
        return OutcomeStanding.CAME_BACK
    if repair.change is None:
        return OutcomeStanding.NOT_LOOKED_AGAIN
    if repair.change is Change.FIXED:
        return OutcomeStanding.CONFIRMED
    return OutcomeStanding.PARTLY_LOOKED_AGAIN if _only_fixed(repair) else OutcomeStanding.NOT_FIXED


def _is_its_remedy(rule: Cause, cause: Spot, repair: Repair) -> bool:
    return any(
        entry.remedy in rule.remedies
        and (entry.corner is None or cause.corner is None or entry.corner == cause.corner.value)
        for entry in repair.remedies
    )


def _only_fixed(repair: Repair) -> bool:
    return all(each.change is Change.FIXED for each in repair.compared)


def _held(repair: Repair | None, attempts: int, came_back: bool) -> bool | None:
    """Whether the first remedies held: none after them, all looked at again fixed, no return."""
    if repair is None:
        return None
    if came_back or attempts > 1:
        return False
    if repair.change is None or (repair.change is not Change.FIXED and _only_fixed(repair)):
        return None
    return repair.change is Change.FIXED


def _attempts(case: Case) -> int:
    """Times that remedies were done; those with nothing looked at in between are one."""
    gone = retracted_ids(case)
    kinds = [entry.kind for entry in case.in_order if entry.id not in gone
             and entry.kind in ("remedy", "answer", "reading")]  # fmt: skip
    return sum(
        kind == "remedy" and (place == 0 or kinds[place - 1] != "remedy")
        for place, kind in enumerate(kinds)
    )


def can_be_put_right(library: Library, cause: Cause) -> bool:
    """False for what no remedy changes on the car, so that no outcome of it is ever confirmed.

    Such a cause has only remedies that open nothing and need no part: a talk, a drive.
    """
    return any(
        library.remedies[name].access != ON_THE_ROAD
        or library.remedies[name].parts is not Parts.NONE
        for name in cause.remedies
    )
