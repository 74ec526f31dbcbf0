"""Cautions in force, each with what raised it."""

from __future__ import annotations

from functools import partial

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Caution, Check, Remedy, Trigger
from vibecheck.knowledge.words import Level, Place
from vibecheck.reasoning.decide import Try
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.plan import Plan
from vibecheck.session.raised import (
    ActiveCaution,
    Raised,
    RaisedBy,
    Reasons,
    raised_by,
    stop_cautions,
)

LIKELY_ENOUGH = 0.2  # a cause's own cautions are shown from this probability on
REMEDY_NEAR = 0.4  # the first remedy's own cautions are shown from this chance of cure on
_RANK = {Level.STOP: 0, Level.WORK: 1, Level.NOTE: 2}


def active_cautions(plan: Plan) -> tuple[ActiveCaution, ...]:
    """Every caution in force, the loudest first."""
    named = _named(plan)
    active = list(stop_cautions(plan))
    for caution in plan.library.cautions.values():
        if caution.level is Level.STOP:
            continue
        raised = raised_by(plan, caution, [partial(_by_step, plan)]) or named.get(caution.id)
        if raised:
            active.append(ActiveCaution(caution, raised))
    return tuple(sorted(active, key=lambda each: _RANK[each.rule.level]))


def step_cautions(library: Library, place: Place, rule: Check | Remedy) -> tuple[Caution, ...]:
    """The cautions that a check or a remedy carries wherever it is shown.

    Those it names, and those of its access state: what is raised or has a wheel off is never
    shown without them.
    """
    by_access = (
        caution.id
        for caution in library.cautions.values() if caution.level is not Level.STOP
        for trigger in caution.triggers
        if trigger.access == rule.access and trigger.place in (None, place)
        and not (trigger.finding or trigger.all_of or trigger.cause or trigger.fact)
    )
    return tuple(library.cautions[id_] for id_ in dict.fromkeys((*rule.cautions, *by_access)))


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


def _by_step(plan: Plan, trigger: Trigger) -> Reasons:
    """The step that is about to be done, if the trigger names one."""
    check, remedy = coming_check(plan), coming_remedy(plan)
    if not (trigger.check or trigger.remedy or trigger.access):
        return ()
    if check is not None and (
        trigger.check == check.spot.id
        or (not (trigger.check or trigger.remedy) and trigger.access == check.rule.access)
    ):
        return (Raised(RaisedBy.NEXT_CHECK, check.spot),)
    if remedy is not None and (
        trigger.remedy == remedy.spot.id
        or (not (trigger.check or trigger.remedy)
            and trigger.access == plan.library.remedies[remedy.spot.id].access)
    ):
        return (Raised(RaisedBy.REMEDY, remedy.spot),)
    return None
