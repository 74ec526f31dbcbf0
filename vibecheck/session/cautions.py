"""Cautions in force, each with what raised it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from vibecheck.knowledge.model import Caution, Seen, Spot, Trigger
from vibecheck.knowledge.words import Level, Place
from vibecheck.reasoning.decide import Try
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.limits import limit_of_tolerance
from vibecheck.session.plan import Plan

LIKELY_ENOUGH = 0.2  # a cause's own cautions are shown from this probability on
REMEDY_NEAR = 0.4  # the first remedy's own cautions are shown from this chance of cure on
_RANK = {Level.STOP: 0, Level.WORK: 1, Level.NOTE: 2}


class RaisedBy(StrEnum):
    """What can raise a caution; the argument of a `Raised` is in brackets."""

    ANSWER = "answer"  # an answer or reading in force [finding]
    POSSIBLE_CAUSE = "possible_cause"  # [cause]
    LIKELY_CAUSE = "likely_cause"  # named by a cause that is likely [cause]
    NEXT_CHECK = "next_check"  # [check]
    REMEDY = "remedy"  # [remedy]
    PLACE = "place"  # [place]
    FACT = "fact"  # [fact]


@dataclass(frozen=True)
class Raised:
    """One reason why a caution is in force."""

    by: RaisedBy
    spot: Spot


@dataclass(frozen=True)
class ActiveCaution:
    """A caution in force; all of `raised` together raised it."""

    rule: Caution
    raised: tuple[Raised, ...]


def active_cautions(plan: Plan) -> tuple[ActiveCaution, ...]:
    """Every caution in force, the loudest first."""
    named = _named(plan)
    active: list[ActiveCaution] = []
    for caution in plan.library.cautions.values():
        raised = _raised(plan, caution) or named.get(caution.id)
        if raised:
            active.append(ActiveCaution(caution, raised))
    return tuple(sorted(active, key=lambda each: _RANK[each.rule.level]))


def coming_check(plan: Plan) -> Option | None:
    """The check to do next."""
    return plan.checks[0] if plan.checks else None


def coming_remedy(plan: Plan) -> Try | None:
    """The remedy to try first, once it is likely enough to be near."""
    near = plan.tries and plan.tries[0].chance >= REMEDY_NEAR
    return plan.tries[0] if near else None


def _named(plan: Plan) -> dict[str, tuple[Raised, ...]]:
    """Cautions that likely causes, the next check and the first remedy name themselves."""
    library, named = plan.library, dict[str, tuple[Raised, ...]]()
    for node, chance in zip(plan.network.causes, plan.belief.chances, strict=True):
        if chance >= LIKELY_ENOUGH:
            for caution in node.rule.cautions:
                named.setdefault(caution, (Raised(RaisedBy.LIKELY_CAUSE, node.spot),))
    check, remedy = coming_check(plan), coming_remedy(plan)
    if check is not None:
        for caution in check.rule.cautions:
            named.setdefault(caution, (Raised(RaisedBy.NEXT_CHECK, check.spot),))
    if remedy is not None:
        for caution in library.remedies[remedy.spot.id].cautions:
            named.setdefault(caution, (Raised(RaisedBy.REMEDY, remedy.spot),))
    return {id_: why for id_, why in named.items() if library.cautions[id_].level is not Level.STOP}


def _raised(plan: Plan, caution: Caution) -> tuple[Raised, ...]:
    """What raises a caution now; nothing where no trigger of it is met."""
    return next(filter(None, (_met(plan, trigger) for trigger in caution.triggers)), ())


def _met(plan: Plan, trigger: Trigger) -> tuple[Raised, ...]:
    """What meets a trigger; all conditions that it names must hold."""
    reasons: list[Raised] = []
    for condition in (_by_finding, _by_findings, _by_cause, _by_step, _by_setting):
        found = condition(plan, trigger)
        if found is None:
            return ()
        reasons += found
    return tuple(reasons)


# Each condition gives its reasons: none where the trigger does not name it, None where it fails.
Reasons = tuple[Raised, ...] | None


def _by_finding(plan: Plan, trigger: Trigger) -> Reasons:
    if trigger.finding is None:
        return ()
    return _sees(plan, Seen(finding=trigger.finding, states=trigger.states))


def _by_findings(plan: Plan, trigger: Trigger) -> Reasons:
    """All findings that the trigger names together."""
    found: tuple[Raised, ...] = ()
    for each in trigger.all_of:
        seen = _sees(plan, each)
        if seen is None:
            return None
        found += seen
    return found


def _sees(plan: Plan, seen: Seen) -> Reasons:
    """The answer that says that a finding is as a trigger wants it, at some corner."""
    for spot, likelihood in plan.case_evidence.evidence.items():
        if spot.id != seen.finding or spot not in plan.network.findings:
            continue
        if seen.beyond is not None:
            met = _is_beyond(plan, spot, seen.beyond)
        else:
            states = plan.network.findings[spot].states
            met = states[int(np.argmax(likelihood))] in seen.states
        if met:
            return (Raised(RaisedBy.ANSWER, spot),)
    return None


def _is_beyond(plan: Plan, spot: Spot, tolerance: str) -> bool:
    """Whether a reading lies beyond the limit in force of another tolerance than its own."""
    judged = plan.case_evidence.judged.get(spot)
    if judged is None:
        return False
    limit = limit_of_tolerance(
        plan.library, plan.case.limits, plan.facts, tolerance, judged.quantity, judged.unit
    )
    return judged.measured.value > limit.value


def _by_cause(plan: Plan, trigger: Trigger) -> Reasons:
    if trigger.cause is None:
        return ()
    for node, chance in zip(plan.network.causes, plan.belief.chances, strict=True):
        if node.spot.id == trigger.cause and chance >= trigger.above:
            return (Raised(RaisedBy.POSSIBLE_CAUSE, node.spot),)
    return None


def _by_step(plan: Plan, trigger: Trigger) -> Reasons:
    check, remedy = coming_check(plan), coming_remedy(plan)
    if trigger.check is not None or (trigger.remedy is None and trigger.access is not None):
        wanted = trigger.check or trigger.access
        if check is None or wanted != (check.spot.id if trigger.check else check.rule.access):
            return None
        return (Raised(RaisedBy.NEXT_CHECK, check.spot),)
    if trigger.remedy is not None:
        if remedy is None or remedy.spot.id != trigger.remedy:
            return None
        return (Raised(RaisedBy.REMEDY, remedy.spot),)
    return ()


def _by_setting(plan: Plan, trigger: Trigger) -> Reasons:
    if trigger.place is not None and trigger.place is not plan.place:
        return None
    if trigger.fact is not None:
        known = plan.network.facts.get(trigger.fact) in trigger.values
        return (Raised(RaisedBy.FACT, Spot(trigger.fact)),) if known else None
    return (Raised(RaisedBy.PLACE, Spot(Place(trigger.place).value)),) if trigger.place else ()
