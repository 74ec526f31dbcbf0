"""How likely a cause is on this vehicle before anything is said: its rate, given the facts.

While a fact is not known the rate is the mean over its values, weighted by the share of the cars
that have each: a cause that one car in four can have counts a quarter. Once the fact is known it
counts fully or not at all.

Assumptions: unknown facts are independent of each other unless `given` in the rules says
otherwise; a fact without shares in the rules takes nothing from a cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Fits, RateCase
from vibecheck.knowledge.words import Axle, Corner, Scope, Where

DRIVE = "drive"
_DRIVEN = {True: ("front", "all"), False: ("rear", "all")}


def fits(needs: Fits, facts: Mapping[str, str], corner: Corner | None = None) -> bool:
    """False only where a known fact excludes the thing.

    At a corner, a fact of the other axle ("rear_brake" at the front) says nothing.
    """
    other = {None: None, True: "rear_", False: "front_"}[corner.front if corner else None]
    return all(
        fact not in facts or facts[fact] in values
        for fact, values in needs.items()
        if other is None or not fact.startswith(other)
    )


def rate(
    library: Library, cause: Cause, facts: Mapping[str, str], corner: Corner | None = None
) -> float:
    """Chance that a car with these facts has this fault now, there [unitless].

    Parameters
    ----------
    facts : what is known of the vehicle.
    corner : where the cause stands; None for one of the whole vehicle.
    """
    return sum(
        share * _rate_of(library, cause, known, corner)
        for share, known in _cars(library, _involved(library, cause, facts), facts)
    )


def _involved(library: Library, cause: Cause, facts: Mapping[str, str]) -> list[str]:
    """The unknown facts that the rate depends on and of which the shares are known."""
    names = {*cause.fits, *(fact for case in cause.rates for fact in case.when)}
    if cause.scope is Scope.CORNER and cause.where is Where.DRIVEN:
        names.add(DRIVE)
    return [name for name in library.fleet if name in names and name not in facts]


def _cars(
    library: Library, unknown: list[str], facts: Mapping[str, str]
) -> Iterator[tuple[float, dict[str, str]]]:
    """Every sort of car there is with these facts: its share, and its facts."""
    if not unknown:
        yield 1.0, dict(facts)
        return
    first, *others = unknown
    fleet = library.fleet[first]
    given = (case.shares for case in fleet.given if _holds(case.when, facts))
    for value, share in next(given, fleet.shares).items():
        if share > 0.0:
            for rest, known in _cars(library, others, {**facts, first: value}):
                yield share * rest, known


def _rate_of(
    library: Library, cause: Cause, facts: Mapping[str, str], corner: Corner | None
) -> float:
    if not fits(cause.fits, facts, corner) or not _driven(cause, facts, corner):
        return 0.0
    case = next((case for case in cause.rates if _applies(case, facts, corner)), None)
    return library.rate(case.rate if case else cause.rate)


def _driven(cause: Cause, facts: Mapping[str, str], corner: Corner | None) -> bool:
    if cause.where is not Where.DRIVEN or corner is None or DRIVE not in facts:
        return True
    return facts[DRIVE] in _DRIVEN[corner.front]


def _applies(case: RateCase, facts: Mapping[str, str], corner: Corner | None) -> bool:
    if case.axle is not None and (corner is None or corner.front is not (case.axle is Axle.FRONT)):
        return False
    return _holds(case.when, facts)


def _holds(when: Fits, facts: Mapping[str, str]) -> bool:
    return all(facts.get(fact) in values for fact, values in when.items())
