"""What to do and in which order: the checks, with the one that must confirm a cause before parts.

Answers, and readings that several causes share, can make a cause all but certain. What people say
can be mistaken, though, and parts are dear: so the check that a cause names first to confirm it
comes before the remedy, unless the remedy is hardly more work than the check.
"""

from __future__ import annotations

from functools import cached_property

from msgspec import Struct

from vibecheck.casebook.journal import active_steps
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Corner, Danger, Place, Scope
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.decide import Stopping
from vibecheck.reasoning.nextcheck import NEAR_TIE, Option
from vibecheck.reasoning.search import Effort
from vibecheck.session.case_evidence import asks
from vibecheck.session.inference import Inference

LEADS = 0.5  # chance of a fault, over all corners, from which its own check comes first
# Chance from which that check comes before what is weighed; in the bay car and gauges are there.
PROVE_ABOVE = {Place.BAY: LEADS, Place.COUNTER: 0.8, Place.DRIVEWAY: 0.8}
FAR_MORE = 8.0  # a look or reading worth so many times as much a minute comes first all the same
TELLS = 0.1  # minutes won per minute without which a check proves nothing any more
# A search that gives every chance to within some .015 in an eighth of the time, and how far a sum
# over four corners may then be off [unitless].
SHORT = Effort(cut=1e-4, surely=30, worth=30.0, most_branches=100)
SHORT_IS_OFF = 0.1
DEARER = 2.0  # a remedy this many times the work of the check waits for the check


class Confirmation(Struct, frozen=True):
    """How the confirmation of the cause behind the remedy decided on stands.

    done : the cause's own check was done at its place and speaks for it.
    trial : the remedy is hardly more work than the check, so that it may be tried at once; what
        comes of it is the test.
    check : the check that has to come before the remedy, or None.
    failed : the check that should have shown the cause speaks against it.
    """

    done: bool = False
    trial: bool = False
    check: Option | None = None
    failed: bool = False

    @property
    def enough(self) -> bool:
        """Whether the remedy may be done now."""
        return self.done or self.trial


class Plan(Inference):
    """An inference with the order of work that follows from it."""

    @cached_property
    def confirmation(self) -> Confirmation:
        """What has to be shown before the remedy that was decided on is done."""
        return _confirmation(self)

    @cached_property
    def checks(self) -> tuple[Option, ...]:
        """All checks worth doing, best first; safety, then what confirms, then all others.

        The leading fault's own check comes before others that are worth about the same. Where the
        fault is likely enough to be proven at this place, or stops the car, it comes before what
        could still be asked, and before what is not worth far more.
        """
        confirming = self.confirmation.check
        if confirming is None:
            return _leader_first(self)
        others = [option for option in self.weighed_checks if option.spot != confirming.spot]
        urgent = [option for option in others if option.urgent]
        unhurried = [option for option in others if not option.urgent]
        return (*urgent, confirming, *unhurried)

    @property
    def decided(self) -> bool:
        """Whether it is decided what to do, with nothing to confirm and no safety check before."""
        waiting = bool(self.urgent_checks)
        known = self.ruling.verdict is Stopping.NO_FAULT or self.confirmation.enough
        return self.ruling.decided and known and not waiting


def _leader_first(plan: Inference) -> tuple[Option, ...]:
    """The weighed checks with the leading fault's own check as far ahead as it deserves."""
    checks = list(plan.weighed_checks)
    own = _own_check(plan)
    place = next((k for k, each in enumerate(checks) if own and each.spot == own), None)
    if place is None or checks[place].urgent or checks[place].repeats:
        return tuple(checks)
    option, better = checks[place], checks[:place]
    proves = option.spot == proof(plan) and option.score >= TELLS
    ahead = [
        each for each in better
        if each.urgent or each.repeats or not _goes_before(option, each, proves=proves)
    ]
    return (*ahead, option, *(each for each in better if each not in ahead), *checks[place + 1:])


def _goes_before(own: Option, other: Option, *, proves: bool) -> bool:
    """Whether the leading fault's own check comes before another that is worth more a minute."""
    if proves and other.rule.kind is CheckKind.QUESTION:
        return True
    return own.score * (FAR_MORE if proves else 1.0 / NEAR_TIE) >= other.score


def proof(plan: Inference) -> Spot | None:
    """The leading fault's own check where the fault is so likely, or so dangerous, that it is
    proven before what is weighed: what else could be asked would hardly change what is looked at.
    """
    fault = _leader(plan)
    sure = _chances_by_fault(plan)[fault] >= PROVE_ABOVE[plan.place]
    stops = plan.library.causes[fault].danger is Danger.STOP
    return _own_check(plan) if sure or stops else None


def own_checks(plan: Inference) -> tuple[Spot, ...]:
    """The looks and readings, but no trials, that the likeliest cause names, at its place."""
    first = next(iter(plan.belief.likeliest), None)
    named = _confirming(plan, first) if first is not None else ()
    return tuple(each for each in named
                 if plan.library.checks[each.id].kind is not CheckKind.TRIAL)


def _own_check(plan: Inference) -> Spot | None:
    """The leading fault's own check that is still open, if the fault is likelier than all others
    together: the first that it names, then those that see the fault itself, at the corner where
    it is likeliest."""
    fault = _leader(plan)
    if _chances_by_fault(plan)[fault] < LEADS:
        return None
    named = next(_confirming(plan, spot) for spot in plan.belief.likeliest if spot.id == fault)
    seen_as = set(plan.library.causes[fault].seen_as)
    seeing = [each for each in named[1:] if seen_as & set(plan.library.checks[each.id].yields)]
    first = _first_open(plan, [*named[:1], *seeing])
    return None if first is None else first.spot


def _leader(plan: Inference) -> str:
    chances = _chances_by_fault(plan)
    return max(chances, key=lambda name: chances[name])


def _chances_by_fault(plan: Inference) -> dict[str, float]:
    """Chance of each fault over all corners [unitless]."""
    chances: dict[str, float] = {}
    for spot, index in plan.network.index.items():
        chances[spot.id] = chances.get(spot.id, 0.0) + float(plan.belief.chances[index])
    return chances


def _confirmation(plan: Inference) -> Confirmation:
    """What has to be shown before the remedy that was decided on is done.

    The first check (questions aside) that the likeliest cause names confirms it; one further down
    the list only where those before it can tell nothing any more (skipped, or not here). Where it
    speaks against what the remedy cures, the next one that is open is asked for.
    """
    remedy = plan.ruling.remedy
    if not plan.ruling.decided or remedy is None:
        return Confirmation()
    index = plan.network.index
    tried = next(each for each in plan.tries if each.spot == remedy)
    cause = max(tried.cures, key=lambda spot: float(plan.belief.chances[index[spot]]))
    checks = _confirming(plan, cause)
    first = next((each for each in checks if _yielded(plan, each) or _open(plan, each)), None)
    if first is not None and _yielded(plan, first):
        if _speaks_for(plan, tried.cures, _yielded(plan, first)):
            single = _read_once(plan, first)
            again = _repeat(plan, first, single) if single else None
            return Confirmation(done=again is None, check=again)
        rest = [each for each in checks if each != first]
        return Confirmation(check=_first_open(plan, rest), failed=True)
    if _is_trial(plan, remedy, checks):
        return Confirmation(trial=True)
    return Confirmation(check=_first_open(plan, checks))


def _is_trial(plan: Inference, remedy: Spot, checks: list[Spot]) -> bool:
    """Whether a remedy is hardly more work than the check that would confirm its cause.

    A cause that no check of the bay can confirm is left to the trial of its remedy as well.
    """
    cure = plan.library.remedies[remedy.id]
    work = cure.minutes + plan.library.access.parts_minutes.get(cure.parts, 0.0)
    if not checks:
        return True
    return work < DEARER * plan.library.checks[checks[0].id].minutes


def _confirming(plan: Inference, cause: Spot) -> list[Spot]:
    """The checks that confirm a cause; not those by corner for a cause of the whole vehicle."""
    found = []
    for name in plan.network.causes[plan.network.index[cause]].rule.confirm_by:
        rule = plan.library.checks[name]
        at = cause.corner if rule.scope is Scope.CORNER else None
        if rule.kind is not CheckKind.QUESTION and (at or rule.scope is Scope.VEHICLE):
            found.append(Spot(name, at))
    return found


def _yielded(plan: Inference, check: Spot) -> set[Spot]:
    """What a check, or another that yields the same, has yielded so far."""
    asked = asks(plan.library, plan.library.checks[check.id], check.corner)
    return {spot for spot in asked if spot in plan.case_evidence.evidence}


def _read_once(plan: Inference, check: Spot) -> tuple[Spot, ...]:
    """Runouts of a check that rest on one reading, neither repeated nor read round a turn."""
    judged = plan.case_evidence.judged
    return tuple(
        spot for spot in sorted(_yielded(plan, check), key=str)
        if spot in judged and judged[spot].runouts and not judged[spot].repeated
        and judged[spot].zone is not Zone.WITHIN
        and spot not in plan.case_evidence.unrepeated
    )


def _repeat(plan: Inference, check: Spot, wanted: tuple[Spot, ...]) -> Option | None:
    """The check once more, for the readings that stand alone; None where it was passed over."""
    if check in {Spot(each.check, Corner(each.corner) if each.corner else None)
                 for each in active_steps(plan.case)}:
        return None
    rule = plan.library.checks[check.id]
    tools = plan.situation.tools
    here = plan.place in rule.places and (
        tools is None or all(tool in tools for tool in rule.tools))
    way = plan.ways.to(rule.access, check.corner, here=here)
    return Option(check, rule, wanted, wanted, rule.minutes, way.minutes, way.here, 0.0, 0.0, 0.0)


def _speaks_for(plan: Inference, causes: tuple[Spot, ...], yielded: set[Spot]) -> bool:
    """Whether findings, taken together, make the causes that the remedy cures likelier.

    A short search without them tells, unless it comes close.
    """
    rest = {spot: row for spot, row in plan.case_evidence.evidence.items() if spot not in yielded}
    places = [plan.network.index[cause] for cause in causes]
    now = float(plan.belief.chances[places].sum())
    before = float(believe(plan.network, rest, SHORT).chances[places].sum())
    if abs(now - before) < SHORT_IS_OFF:
        before = float(believe(plan.network, rest).chances[places].sum())
    return now > before


def _first_open(plan: Inference, checks: list[Spot]) -> Option | None:
    """The first of these checks that is not done, skipped or answered."""
    return next((option for check in checks if (option := _open(plan, check))), None)


def _open(plan: Inference, check: Spot) -> Option | None:
    """A check that is not done, skipped or answered."""
    if check in plan.case_evidence.done:
        return None
    known = next((option for option in plan.weighed_checks if option.spot == check), None)
    return known or _unweighed(plan, plan.library.checks[check.id], check)


def _unweighed(plan: Inference, rule: Check, spot: Spot) -> Option | None:
    """A check that is expected to tell nothing new, as an option."""
    open_ones = tuple(
        each
        for each in asks(plan.library, rule, spot.corner)
        if each in plan.network.findings and each not in plan.case_evidence.closed
    )
    if not open_ones:
        return None
    tools = plan.situation.tools
    here = plan.place in rule.places and (
        tools is None or all(tool in tools for tool in rule.tools)
    )
    way = plan.ways.to(rule.access, spot.corner, here=here)
    return Option(
        spot, rule, open_ones, (), rule.minutes, way.minutes, way.here, 0.0, 0.0, 0.0
    )
