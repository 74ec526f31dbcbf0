"""What raises a caution: answers, likely causes, facts and places."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum

from msgspec import Struct

from vibecheck.knowledge.model import Caution, Seen, Spot, Trigger
from vibecheck.knowledge.words import Level, Place
from vibecheck.session.case_evidence import RealAnswer
from vibecheck.session.inference import Inference
from vibecheck.session.limits import limit_of_tolerance
from vibecheck.session.looks import repaired


class RaisedBy(StrEnum):
    """What can raise a caution; the argument of a `Raised` is in brackets."""

    ANSWER = "answer"  # an answer or reading in force [finding]
    POSSIBLE_CAUSE = "possible_cause"  # [cause]
    LIKELY_CAUSE = "likely_cause"  # named by a cause that is likely [cause]
    NEXT_CHECK = "next_check"  # [check]
    REMEDY = "remedy"  # [remedy]
    PLACE = "place"  # [place]
    FACT = "fact"  # [fact]


class Raised(Struct, frozen=True):
    """One reason why a caution is in force."""

    by: RaisedBy
    spot: Spot


class ActiveCaution(Struct, frozen=True):
    """A caution in force; all of `raised` together raised it."""

    rule: Caution
    raised: tuple[Raised, ...]


# A condition gives its reasons: none where the trigger does not name it, None where it fails.
Reasons = tuple[Raised, ...] | None
Condition = Callable[[Trigger], Reasons]


def stop_cautions(plan: Inference) -> tuple[ActiveCaution, ...]:
    """The cautions in force that stop the car; no step that is only advised raises one."""
    found = []
    for caution in plan.library.cautions.values():
        if caution.level is Level.STOP and (raised := raised_by(plan, caution)):
            found.append(ActiveCaution(caution, raised))
    return tuple(found)


def raised_by(
    plan: Inference, caution: Caution, steps: Sequence[Condition] = ()
) -> tuple[Raised, ...]:
    """What raises a caution now; nothing where no trigger of it is met.

    `steps` are further conditions, about what is to be done next; without them a trigger that
    names a step is not met.
    """
    return next(filter(None, (_met(plan, each, steps) for each in caution.triggers)), ())


def _met(plan: Inference, trigger: Trigger, steps: Sequence[Condition]) -> tuple[Raised, ...]:
    """What meets a trigger; all conditions that it names must hold."""
    if not steps and (trigger.check or trigger.access or trigger.remedy):
        return ()
    reasons: list[Raised] = []
    for condition in (_by_finding, _by_findings, _by_cause, _by_setting):
        found = condition(plan, trigger)
        if found is None:
            return ()
        reasons += found
    for step in steps:
        found = step(trigger)
        if found is None:
            return ()
        reasons += found
    return tuple(reasons)


def _by_finding(plan: Inference, trigger: Trigger) -> Reasons:
    if trigger.finding is None:
        return ()
    return _sees(plan, Seen(finding=trigger.finding, states=trigger.states))


def _by_findings(plan: Inference, trigger: Trigger) -> Reasons:
    """All findings that the trigger names together."""
    found: tuple[Raised, ...] = ()
    for each in trigger.all_of:
        seen = _sees(plan, each)
        if seen is None:
            return None
        found += seen
    return found


def _sees(plan: Inference, seen: Seen) -> Reasons:
    """The answer that says that a finding is as a trigger wants it, at some corner."""
    for spot, standing in plan.case_evidence.standing.items():
        if spot.id != seen.finding:
            continue
        if seen.beyond is not None:
            met = _is_beyond(plan, standing, seen.beyond)
        else:
            met = standing.state in seen.states
        if met:
            return (Raised(RaisedBy.ANSWER, spot),)
    return None


def _is_beyond(plan: Inference, standing: RealAnswer, tolerance: str) -> bool:
    """Whether a reading lies beyond the limit in force of another tolerance than its own."""
    judged = standing.judged
    if judged is None:
        return False
    limit = limit_of_tolerance(
        plan.library, plan.case.limits, plan.facts, tolerance, judged.quantity, judged.unit
    )
    return judged.measured.value > limit.value


def _by_cause(plan: Inference, trigger: Trigger) -> Reasons:
    if trigger.cause is None:
        return ()
    mended = repaired(plan)
    for index in plan.belief.places.get(trigger.cause, []):
        spot = plan.network.causes[index].spot
        if plan.belief.chances[index] >= trigger.above and spot not in mended:
            return (Raised(RaisedBy.POSSIBLE_CAUSE, spot),)
    return None


def _by_setting(plan: Inference, trigger: Trigger) -> Reasons:
    if trigger.place is not None and trigger.place is not plan.place:
        return None
    if trigger.fact is not None:
        known = plan.network.facts.get(trigger.fact) in trigger.values
        return (Raised(RaisedBy.FACT, Spot(trigger.fact)),) if known else None
    return (Raised(RaisedBy.PLACE, Spot(Place(trigger.place).value)),) if trigger.place else ()
