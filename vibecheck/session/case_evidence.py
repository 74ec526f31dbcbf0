"""A case's journal as evidence: what is known, closed and done, and where the car stands."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray

from vibecheck.casebook.case import Case, Entry
from vibecheck.casebook.journal import (
    active_entries,
    active_steps,
    all_answers,
    ordered,
    readings_together,
)
from vibecheck.casebook.store import place_of
from vibecheck.errors import CaseDamagedError, InputError, ReadingError, VehicleError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import Corner, FindingKind, Place, Scope
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.access import Position, Ways
from vibecheck.reasoning.evidence import hard
from vibecheck.reasoning.network import Network, finding_spots
from vibecheck.reasoning.nextcheck import may_still_tell
from vibecheck.session.answers import UNSURE, Assignment, draft_of
from vibecheck.session.facts import read_fact, read_limit
from vibecheck.session.judge import SEVERAL_SURFACES, Judged, judge_entries
from vibecheck.session.repair import as_found

Array = NDArray[np.float64]
_SAID = (FindingKind.COMPLAINT, FindingKind.HISTORY)


class RealAnswer(Struct, frozen=True):
    """A real answer: its entry, the likeliest state it says, and the reading as judged."""

    entry: Entry
    state: str
    judged: Judged | None = None


class CaseEvidence(Struct, frozen=True):
    """What the journal says.

    evidence : likelihood over the states of each observed finding.
    closed : findings with an answer, or of which the person is not sure.
    unsure : of the latter, the check at which the person was not sure ("" if not known).
    again : undecided readings, to be measured again, with their likelihood.
    unrepeated : readings that stand, and of whose repeat the person was not sure.
    entries, judged : the entry in force and the judged reading of a finding.
    standing : the newest real answer to each finding, also where the person was not sure later
        or where a changed fact says that this car has no such part: by these a danger stands.
    done : checks finished, skipped, or impossible here.
    position : how far the car is opened up.
    minutes : time spent so far [min].
    """

    evidence: dict[Spot, Array]
    closed: frozenset[Spot]
    unsure: dict[Spot, str]
    again: dict[Spot, Array]
    unrepeated: frozenset[Spot]
    entries: dict[Spot, Entry]
    judged: dict[Spot, Judged]
    done: frozenset[Spot]
    position: Position
    minutes: float
    standing: dict[Spot, RealAnswer]


def check_case(library: Library, case: Case, where: str) -> None:
    """Hold every entry in force against the rules.

    Raises
    ------
    CaseDamagedError : an entry names a finding, corner, value or check that cannot be.
    """
    for entry in active_entries(case):
        at = f"{where}: entry {entry.id}"
        try:
            draft_of(
                library, {}, Assignment(entry.finding, entry.value, entry.corner), where=at
            )
        except InputError as error:
            raise CaseDamagedError(error.what, error.where or at, error.instead) from None
    for entry in active_steps(case):
        if entry.check not in library.checks:
            raise CaseDamagedError(
                f"there is no check '{entry.check[:60]}'",
                f"{where}: entry {entry.id}",
                "see 'vibecheck rules list'",
            )


def check_values(library: Library, case: Case, where: str) -> None:
    """Hold facts and limits against the rules; of one in a file say where it stands.

    Raises
    ------
    VehicleError : no such fact or limit, or not a value of it.
    ReadingError : not a reading.
    """
    for key, read, values in (
        ("facts", read_fact, case.facts), ("limits", read_limit, case.limits)
    ):
        for name, value in values.items():
            try:
                read(library, name, value)
            except VehicleError as error:
                raise VehicleError(error.what, place_of(where, key, name), error.instead) from None
            except ReadingError as error:
                raise ReadingError(error.what, place_of(where, key, name), error.instead) from None


def gather(
    network: Network, case: Case, facts: Mapping[str, str], place: Place,
    known: dict[str, Judged] | None = None,
) -> CaseEvidence:
    """Turn the entries in force into evidence for this vehicle.

    Parameters
    ----------
    case : what came after a remedy is no evidence of what was wrong; it counts for `standing`.
    known : readings judged before with the same facts and limits, by entry id; those judged now
        are added, so that no reading is parsed twice while a case is open.
    """
    known = {} if known is None else known
    library = network.library
    whole, unrepeated = _readings_stand(case)
    case = as_found(whole)
    evidence: dict[Spot, Array] = {}
    again: dict[Spot, Array] = {}
    entries: dict[Spot, Entry] = {}
    judged: dict[Spot, Judged] = {}
    closed: set[Spot] = set()
    unsure: dict[Spot, str] = {}
    groups = repeats_of(library, case)
    for entry in active_entries(case):
        spot = _spot(entry)
        node = network.findings.get(spot)
        if node is None:
            continue
        closed.add(spot)
        entries[spot] = entry
        if entry.value == UNSURE:
            unsure[spot] = entry.check
            continue
        if entry.value in node.states:
            evidence[spot] = hard(node, entry.value)
            continue
        result = _judged(library, case, facts, entry, groups, known)
        judged[spot] = result
        if not result.says_nothing:
            evidence[spot] = result.likelihood
        undecided = result.decision is not None and result.decision.zone is Zone.UNDECIDED
        if undecided and spot not in unrepeated:
            again[spot] = result.likelihood
    done = _done(network, case, closed, unsure, set(again))
    position, minutes = _trail(library, case, place)
    return CaseEvidence(
        evidence=evidence,
        closed=frozenset(closed),
        unsure=unsure,
        again=again,
        unrepeated=unrepeated,
        entries=entries,
        judged=judged,
        done=frozenset(done),
        position=position,
        minutes=minutes,
        standing=_standing(library, whole, facts, known),
    )


def _readings_stand(case: Case) -> tuple[Case, frozenset[Spot]]:
    """The case without each "not sure" that came after a reading, and where that was.

    It says nothing, so it replaces no reading; it only tells that there will be no repeat.
    """
    idle: set[str] = set()
    last: dict[Spot, str] = {}  # is it a reading, and was there a "not sure" after it
    if any(entry.value == UNSURE for entry in case.entries):
        for entry in all_answers(case):
            spot = _spot(entry)
            if entry.value != UNSURE:
                last[spot] = entry.kind
            elif last.get(spot) in ("reading", UNSURE):
                last[spot] = UNSURE
                idle.add(entry.id)
    kept = [entry for entry in case.entries if entry.id not in idle]
    unrepeated = frozenset(spot for spot, word in last.items() if word == UNSURE)
    return (structs.replace(case, entries=kept) if idle else case), unrepeated


def repeats_of(library: Library, case: Case) -> dict[str, tuple[Entry, ...]]:
    """The readings that count together, under the id of the newest of them.

    What people say is no measurement: a new word on it stands in for the old one.
    """
    found = {}
    for (finding, _), entries in readings_together(case).items():
        rule = library.findings.get(finding)
        alone = rule is None or rule.kind in _SAID or finding in SEVERAL_SURFACES
        found[entries[-1].id] = entries[-1:] if alone else entries
    return found


def _judged(
    library: Library, case: Case, facts: Mapping[str, str], entry: Entry,
    groups: Mapping[str, tuple[Entry, ...]], known: dict[str, Judged],
) -> Judged:
    """A reading judged together with its repeats; only once while the case is open."""
    entries = groups.get(entry.id, (entry,))
    key = " ".join(each.id for each in entries)
    if key not in known:
        rule = library.findings[entry.finding]
        known[key] = judge_entries(library, case.limits, facts, rule, entries)
    return known[key]


def _standing(
    library: Library, case: Case, facts: Mapping[str, str], known: dict[str, Judged]
) -> dict[Spot, RealAnswer]:
    """The newest real answer to every finding: "not sure" says nothing, so it replaces nothing."""
    found: dict[Spot, RealAnswer] = {}
    groups = repeats_of(library, case)
    for entry in all_answers(case):
        rule = library.findings.get(entry.finding)
        if entry.value == UNSURE or rule is None:
            continue
        if entry.value in rule.states:
            found[_spot(entry)] = RealAnswer(entry, entry.value)
            continue
        result = _judged(library, case, facts, entry, groups, known)
        state = list(rule.states)[int(np.argmax(result.likelihood))]
        found[_spot(entry)] = RealAnswer(entry, state, result)
    return found


def asks(library: Library, check: Check, corner: Corner | None) -> tuple[Spot, ...]:
    """All findings that a check at a corner yields."""
    return tuple(
        spot
        for finding in check.yields
        for spot in finding_spots(library.findings[finding], corner)
    )


def _spot(entry: Entry) -> Spot:
    return Spot(entry.finding, Corner(entry.corner) if entry.corner else None)


def _done(
    network: Network, case: Case, closed: set[Spot], unsure: Mapping[Spot, str], again: set[Spot]
) -> set[Spot]:
    """Checks that were passed over, or that have nothing left to tell."""
    passed = {
        Spot(entry.check, Corner(entry.corner) if entry.corner else None)
        for entry in active_steps(case)
    }
    checks = network.library.checks
    over = closed - again
    finished = {
        spot
        for spot in {check for each in over for check in network.askers.get(each, ())}
        if over.issuperset(network.asks[spot])
        and not any(may_still_tell(checks[spot.id], unsure.get(each))
                    for each in network.asks[spot])
    }
    return passed | finished


def _trail(library: Library, case: Case, place: Place) -> tuple[Position, float]:
    """Walk through the checks done: where the car stands now, and the minutes it took."""
    position = Position(library.access.places[place].start)
    minutes, seen = 0.0, set()
    for entry in ordered([*active_entries(case), *active_steps(case)]):
        check = _check_of(library, entry)
        if check is None or (entry.kind == "step" and entry.value != "done"):
            continue
        corner = Corner(entry.corner) if entry.corner and check.scope is Scope.CORNER else None
        key = (check.id, corner)
        if key in seen:
            continue
        seen.add(key)
        at = Place(entry.place)
        here = position if at is place else Position(library.access.places[at].start)
        way = Ways(library, at, here).to(check.access, corner)
        minutes += check.minutes + (way.minutes if way.here else 0.0)
        if at is place and way.here:
            position = _position(library, check.access, corner)
    return position, minutes


def _position(library: Library, access: str, corner: Corner | None) -> Position:
    """The position of an access state; its corner counts only where the state has corners."""
    state = next(each for each in library.access.states if each.id == access)
    if state.scope is Scope.VEHICLE:
        return Position(access)
    return Position(access, corner or Corner.LF)


def _check_of(library: Library, entry: Entry) -> Check | None:
    """The check an entry came from; the cheapest one that yields its finding if none is named."""
    if entry.check in library.checks:
        return library.checks[entry.check]
    yielding = [
        library.checks[each] for each in library.checks_yielding.get(entry.finding, ())
    ]
    here = [check for check in yielding if entry.place in check.places] or yielding
    return min(here, key=lambda check: (check.minutes, check.id), default=None)
