"""What to advise: the next checks to show, whether to go on asking, and how long it may take."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

import numpy as np
from msgspec import Struct

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.model import Check, Finding, Spot
from vibecheck.knowledge.words import Corner, Level, Place
from vibecheck.reasoning.decide import Stopping, worth_asking
from vibecheck.reasoning.nextcheck import NEAR_TIE, Option
from vibecheck.session.case_evidence import asks
from vibecheck.session.judge import Judged
from vibecheck.session.plan import Plan, own_checks, proof
from vibecheck.session.raised import ActiveCaution

MOST_CHECKS = 10
TELLING_REPEAT = 0.01  # bit that a reading taken again must tell to be shown then
MOST_CAUSES_NAMED = 3  # as the reason for a check
PAYS = 1.0  # minutes won per minute from which a check here is done before going elsewhere
LONGEST_SEARCH = 240.0  # minutes; an estimate goes no further
ENOUGH_OF_IT = 0.5  # share of the uncertainty that must go for the low estimate


class Asked(Struct, frozen=True):
    """One finding that a check asks for, as this place should hear it."""

    spot: Spot
    rule: Finding
    question: str
    entry: Entry | None

    @property
    def finding(self) -> str:
        """The finding's id."""
        return self.spot.id

    @property
    def corner(self) -> Corner | None:
        """Where it is looked for."""
        return self.spot.corner

    @property
    def quantity(self) -> str | None:
        """The quantity of a measured finding."""
        return self.rule.measure.quantity if self.rule.measure else None

    @property
    def unit(self) -> str | None:
        """The unit of a measured finding in the rules."""
        return self.rule.measure.unit if self.rule.measure else None


class CheckReason(StrEnum):
    """Why a check is proposed."""

    SAFETY = "safety"
    CONFIRMS = "confirms"  # likely causes name it
    SEPARATES = "separates"  # it tells several causes apart


class NextCheck(Struct, frozen=True):
    """A check that could be done next.

    also_at : other corners at which it is worth nearly the same.
    causes : the likeliest causes that name it.
    undecided : readings too close to call that it would take again.
    asked : what it asks for on this vehicle.
    """

    option: Option
    also_at: tuple[Corner, ...]
    reason: CheckReason
    causes: tuple[Spot, ...]
    undecided: tuple[tuple[Spot, Judged], ...]
    asked: tuple[Asked, ...]

    @property
    def spot(self) -> Spot:
        """The check and its corner."""
        return self.option.spot

    @property
    def rule(self) -> Check:
        """The check's rule."""
        return self.option.rule

    @property
    def check(self) -> str:
        """The check's id."""
        return self.option.spot.id

    @property
    def corner(self) -> Corner | None:
        """Where it is done."""
        return self.option.spot.corner


class ConclusionKind(StrEnum):
    """What follows: what stops the car, what is done and where, or that more must be known."""

    STOP = "stop"
    FIX = "fix"
    TRIAL = "trial"  # a remedy that is itself the quickest test of its cause
    BAY = "bay"
    SHOP = "shop"
    NO_FAULT = "no_fault"
    GO_ON = "go_on"


class GoOn(StrEnum):
    """Why it is not decided yet.

    NOTHING_FITS : the likeliest cause's own check speaks against it, and no other check is left.
    NOTHING_LEFT : no check is left that would tell more, and the likeliest cause is not shown.
    """

    NOT_ENOUGH = "not_enough"
    NOTHING_FITS = "nothing_fits"
    NOTHING_LEFT = "nothing_left"
    NEXT = "next"
    CONFIRM_FIRST = "confirm_first"
    ELSEWHERE = "elsewhere"


class Conclusion(Struct, frozen=True):
    """Whether to go on asking, and why.

    caution : the stop caution, for `STOP`. remedy, verdict : what is decided, and on what ground.
    go_on, check : what is missing, and the check that comes next.
    """

    kind: ConclusionKind
    decided: bool
    caution: ActiveCaution | None = None
    remedy: Spot | None = None
    verdict: Stopping | None = None
    go_on: GoOn | None = None
    check: Option | None = None


def next_checks(plan: Plan) -> tuple[NextCheck, ...]:
    """The best checks, and all that would decide an undecided reading.

    Corners at which one check is worth the same are told together. Once it is decided what to
    do, only those are left that are still worth their minutes; once it is proven, no other check.
    """
    shown = together(plan, [option for option in plan.checks if _open(plan, option)])
    return (
        *shown[:MOST_CHECKS],
        *(each for each in shown[MOST_CHECKS:] if each.option.repeats),
    )


def together(plan: Plan, options: Iterable[Option]) -> tuple[NextCheck, ...]:
    """Checks with the corners at which each is worth nearly the same, told once."""
    options = list(options)
    grouped: dict[str, list[Option]] = {}
    for option in options:
        grouped.setdefault(option.rule.id, []).append(option)
    shown = []
    for option in options:
        best = grouped[option.rule.id][0]
        if option is not best and not option.repeats and _alike(option, best):
            continue
        also = tuple(
            other.spot.corner
            for other in grouped[option.rule.id][1:]
            if option is best and other.spot.corner and _alike(other, option)
        )
        shown.append(next_check(plan, option, also))
    return tuple(shown)


def once_each(plan: Plan, options: Iterable[Option]) -> tuple[NextCheck, ...]:
    """Each check once, at its best corner, with the others where it is worth nearly the same."""
    grouped: dict[str, list[Option]] = {}
    for option in options:
        grouped.setdefault(option.rule.id, []).append(option)
    return tuple(
        next_check(plan, best, tuple(
            each.spot.corner for each in others
            if each.spot.corner and each.score >= NEAR_TIE * best.score
        ))
        for best, *others in grouped.values()
    )


def next_check(plan: Plan, option: Option, also_at: tuple[Corner, ...] = ()) -> NextCheck:
    """One check with the reason for it and what it asks for."""
    causes = () if option.urgent else _named_by(plan, option)
    named = CheckReason.CONFIRMS if causes else CheckReason.SEPARATES
    judged = plan.case_evidence.judged
    return NextCheck(
        option=option,
        also_at=also_at,
        reason=CheckReason.SAFETY if option.urgent else named,
        causes=causes,
        undecided=tuple((spot, judged[spot]) for spot in option.repeats if spot in judged),
        asked=asked_by(plan, option.spot),
    )


def asked_by(plan: Plan, check: Spot) -> tuple[Asked, ...]:
    """What a check asks for on this vehicle."""
    return tuple(
        asked(plan, spot)
        for spot in asks(plan.library, plan.library.checks[check.id], check.corner)
        if spot in plan.network.findings
    )


def asked(plan: Plan, spot: Spot) -> Asked:
    """One finding, with the question as this place should hear it."""
    rule = plan.network.findings[spot].rule
    own = {
        Place.COUNTER: rule.ask.counter,
        Place.BAY: rule.ask.bay,
        Place.DRIVEWAY: rule.ask.driveway,
    }[plan.place]
    return Asked(spot, rule, own or rule.ask.plain, plan.case_evidence.entries.get(spot))


def _open(plan: Plan, option: Option) -> bool:
    """Whether a check is still worth showing."""
    if not plan.decided or option.urgent:
        return True
    if option.repeats and option.gain >= TELLING_REPEAT:
        return True
    if plan.confirmation.done and option.spot not in own_checks(plan):
        return False
    return bool(plan.tries) and worth_asking(plan.belief, option, plan.tries[0])


def _alike(one: Option, other: Option) -> bool:
    return other.score > 0 and NEAR_TIE <= one.score / other.score <= 1.0 / NEAR_TIE


def _named_by(plan: Plan, option: Option) -> tuple[Spot, ...]:
    """The likeliest causes that name a check."""
    named = [
        (-float(plan.belief.chances[plan.network.index[node.spot]]), str(node.spot), node.spot)
        for node in plan.network.confirmed_by.get(option.rule.id, ())
        if option.spot.corner in (None, node.spot.corner)
    ]
    return tuple(spot for _, _, spot in sorted(named)[:MOST_CAUSES_NAMED])


def conclusion(plan: Plan, cautions: Iterable[ActiveCaution]) -> Conclusion:
    """Whether to go on asking, and why."""
    stop = next((each for each in cautions if each.rule.level is Level.STOP), None)
    if stop is not None:
        return Conclusion(ConclusionKind.STOP, True, caution=stop)
    ruling = plan.ruling
    if ruling.verdict is Stopping.NO_FAULT:
        return Conclusion(ConclusionKind.NO_FAULT, ruling.decided, verdict=ruling.verdict)
    if not plan.case_evidence.evidence or ruling.remedy is None:
        return Conclusion(ConclusionKind.GO_ON, False, go_on=GoOn.NOT_ENOUGH)
    if plan.decided:
        return Conclusion(_where_fixed(plan, ruling.remedy), True, remedy=ruling.remedy,
                          verdict=ruling.verdict)
    if not plan.checks:
        why = GoOn.NOTHING_FITS if plan.confirmation.failed else GoOn.NOTHING_LEFT
        return Conclusion(ConclusionKind.GO_ON, False, remedy=ruling.remedy, go_on=why)
    best = plan.checks[0]
    if not best.here and best is not plan.confirmation.check and proof(plan) is None:
        best = next((each for each in plan.checks if each.here and each.score >= PAYS), best)
    if not best.here:
        kind = ConclusionKind.BAY if plan.place is Place.COUNTER else ConclusionKind.SHOP
        return Conclusion(kind, False, go_on=GoOn.ELSEWHERE, check=best)
    confirms = best is plan.confirmation.check and not plan.confirmation.failed
    go_on = GoOn.CONFIRM_FIRST if confirms else GoOn.NEXT
    return Conclusion(ConclusionKind.GO_ON, False, remedy=ruling.remedy, go_on=go_on, check=best)


def _where_fixed(plan: Plan, remedy: Spot) -> ConclusionKind:
    if any(each.here for each in plan.tries if each.spot == remedy):
        return ConclusionKind.FIX if plan.confirmation.done else ConclusionKind.TRIAL
    return ConclusionKind.BAY if plan.place is Place.COUNTER else ConclusionKind.SHOP


def minutes_expected(plan: Plan) -> tuple[float, float]:
    """Rough range of the diagnostic time still needed [min].

    The checks are taken in their order until half, or all, of the uncertainty that they can
    remove is used up; no further than `LONGEST_SEARCH`.
    """
    if plan.decided:
        return 0.0, 0.0
    weights = plan.belief.weights
    open_bits = float(-(weights * np.log2(np.maximum(weights, 1e-300))).sum())
    known, spent, low = 0.0, 0.0, None
    seen: set[str] = set()
    for option in plan.checks:
        if option.rule.id in seen:
            continue
        seen.add(option.rule.id)
        known += option.gain
        spent += option.cost
        if low is None and known >= ENOUGH_OF_IT * open_bits:
            low = spent
        if known >= open_bits or spent >= LONGEST_SEARCH:
            break
    high = min(spent, LONGEST_SEARCH)
    return (min(low, high) if low is not None else high), high
