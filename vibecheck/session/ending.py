"""How an interview ends: what it comes to, what it rests on, and what exactly to ask for."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from vibecheck.knowledge.words import Place
from vibecheck.reasoning.decide import Try
from vibecheck.session.advice import ConclusionKind
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord

MOST_REQUESTS = 3
WORTH_NAMING = 0.3  # a remedy below this chance of cure is not put on the end page


class EndingKind(StrEnum):
    """What an interview comes to."""

    STOP = "stop"
    FIX = "fix"
    TRIAL = "trial"
    WATCH = "watch"
    SHOP = "shop"
    BAY = "bay"
    GO_ON = "go_on"


_ASKS_ELSEWHERE = (EndingKind.SHOP, EndingKind.STOP, EndingKind.BAY)
_WITH_REMEDY = (EndingKind.FIX, EndingKind.TRIAL, EndingKind.SHOP, EndingKind.BAY)


class Ending(Struct, frozen=True):
    """The end of an interview.

    requests : what to ask for, in the rules' words; None where nothing is asked of anybody.
    remedy : the remedy to try first, unless it is hardly likelier than others.
    bay_minutes : the time of the diagnosis in the bay [min], told at the counter.
    """

    kind: EndingKind
    requests: tuple[str, ...] | None
    remedy: Try | None
    bay_minutes: tuple[float, float] | None


def ending(found: Diagnosis, *, nothing_left: bool = False) -> Ending:
    """The end of the interview as it stands; `nothing_left` if no question here would tell more."""
    kind = _kind(found, nothing_left)
    counter = found.place is Place.COUNTER
    return Ending(
        kind=kind,
        requests=_requests(found) if kind in _ASKS_ELSEWHERE else None,
        remedy=_remedy(found) if kind in _WITH_REMEDY or _repaired_here(found) else None,
        bay_minutes=found.in_the_bay.minutes_expected if counter else None,
    )


def _repaired_here(found: Diagnosis) -> bool:
    """Whether a car that must not be driven stands where it is put right, and enough is known."""
    return found.place is Place.BAY and found.ruling.decided and found.confirmation.enough


def remedy_of_the_lead(found: Diagnosis) -> Try | None:
    """The remedy to try first if the leading fault is what it turns out to be."""
    lead = found.faults[0].cause if found.faults else ""
    return next((each for each in found.remedies
                 if any(spot.id == lead for spot in each.cures)), None)  # fmt: skip


def decided_remedy(found: Diagnosis) -> Try | None:
    """The remedy that was decided on, for a sheet that says what to do.

    That a car must not be driven decides no remedy by itself: one that is hardly likelier than
    others, or stands at one corner of several that are alike, is none.
    """
    first = _first(found) if found.conclusion.decided else None
    stopped = found.conclusion.kind is ConclusionKind.STOP
    return None if first is None or stopped and first.chance < WORTH_NAMING else first


def _remedy(found: Diagnosis) -> Try | None:
    first = _first(found)
    return first if first is not None and first.chance >= WORTH_NAMING else None


def _first(found: Diagnosis) -> Try | None:
    """The remedy that was decided on, or else the one that would be tried first."""
    decided = found.ruling.remedy if found.ruling.decided else None
    chosen = (each for each in found.tries if each.spot == decided)
    return next(chosen, found.remedies[0] if found.remedies else None)


def _kind(found: Diagnosis, nothing_left: bool) -> EndingKind:
    kind = found.conclusion.kind
    if kind is ConclusionKind.STOP or found.driving.word is DriveWord.STOP:
        return EndingKind.STOP
    if kind in (ConclusionKind.FIX, ConclusionKind.TRIAL, ConclusionKind.BAY, ConclusionKind.SHOP):
        return EndingKind(kind.value)
    if kind is ConclusionKind.NO_FAULT:
        return EndingKind.WATCH
    if nothing_left and found.place is Place.DRIVEWAY:
        watch = found.driving.word is DriveWord.NOTHING_FOUND
        return EndingKind.WATCH if watch else EndingKind.SHOP
    if nothing_left and found.place is Place.COUNTER:
        return EndingKind.BAY
    return EndingKind.GO_ON


def _requests(found: Diagnosis) -> tuple[str, ...]:
    """What to ask for, in the words a shop understands, the most telling first."""
    requests: list[str] = []
    first = decided_remedy(found)
    if first is not None:
        requests.append(found.library.remedies[first.spot.id].shop_request)
    requests += [each.rule.shop_request for each in found.next_checks if not each.option.here]
    return tuple(dict.fromkeys(filter(None, requests)))[:MOST_REQUESTS]
