"""Which check to do next: what it is expected to tell and to save, per minute.

For every check that a live cause names, all outcomes it can have are weighed: how much the
uncertainty about the set of causes falls (mutual information, [bit]) and how much the expected
cost to resolve falls ([min]). Both are divided by the check's own minutes plus the way to its
access state. Checks marked `safety` come first whatever they are worth (see `_is_urgent`); then
an undecided reading that can be taken again at once.

Outcomes are taken as states of the findings; a check with many findings is judged by those that
tell most, up to `MOST_OUTCOMES` combinations, so its worth is never overstated.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Corner, Danger, Place, Scope
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief
from vibecheck.reasoning.cure import Cures, cost_of_each, cost_to_resolve
from vibecheck.reasoning.outlook import Outlook, entropy, outlook

Array = NDArray[np.float64]

MINUTES_PER_BIT = 6.0  # what a bit is worth beside the minutes it saves at once
LEAST_MINUTES = 1.0  # even a question takes this long
MOST_OUTCOMES = 36
CLOSELY_WEIGHED = 48  # checks for which the saving in minutes is worked out
HARDLY_EVER = 1e-3  # an outcome that comes less often is not planned for
NEAR_TIE = 0.85
NEGLIGIBLE_BITS = 0.002
FOUND = 0.9  # a dangerous cause this probable has stopped the car already


class Situation(Struct, frozen=True):
    """Where the person stands and what is done already.

    ways : the access graph from the present position.
    done : checks that are finished, skipped, or cannot be done here.
    closed : findings that have an answer, or of which the person is not sure.
    unsure : of the latter, the check at which the person was not sure ("" if not known).
    again : measured findings whose reading is undecided, to be measured again, with the
        likelihood of the present reading, shape (states,).
    tools : tools at hand; None means all.
    prune_below : probability under which a cause is no longer live [unitless].
    """

    ways: Ways
    done: Collection[Spot] = ()
    closed: Collection[Spot] = ()
    unsure: Mapping[Spot, str] = field(default_factory=dict)
    again: Mapping[Spot, Array] = field(default_factory=dict)
    tools: Collection[str] | None = None
    prune_below: float = 0.01

    @property
    def place(self) -> Place:
        """Where the person stands."""
        return self.ways.place


class Option(Struct, frozen=True):
    """A check that could be done next; gains in [bit] and [min], score in [min per min]."""

    spot: Spot
    rule: Check
    asks: tuple[Spot, ...]
    repeats: tuple[Spot, ...]
    minutes: float
    access_minutes: float
    here: bool
    gain: float
    saves: float
    score: float
    urgent: bool = False
    near_tie: bool = False

    @property
    def cost(self) -> float:
        """Minutes including the way to it."""
        return self.minutes + self.access_minutes


def options(belief: Belief, cures: Cures, situation: Situation) -> tuple[Option, ...]:
    """All checks worth doing, best first; safety checks before all others."""
    predictor, rough = _looked_over(belief, situation, _candidates(belief, situation))
    ready = [option for option in rough.values() if not _must_wait(option, rough, belief)]
    ready.sort(key=lambda option: (-option.gain / max(option.cost, LEAST_MINUTES)))
    always = [option for option in ready if option.urgent or option.repeats]
    others = [option for option in ready if not (option.urgent or option.repeats)]
    weighed = _weigh(predictor, cures, [*always, *others[:CLOSELY_WEIGHED]])
    weighed.sort(key=_order)
    return _mark_ties(weighed)


def urgent_checks(belief: Belief, situation: Situation) -> frozenset[Spot]:
    """The checks that `options` calls urgent, without what the others would tell."""
    library = belief.network.library
    asked = {rule.id for rule in library.checks.values() if rule.safety}
    asked |= {before for each in asked for before in library.checks[each].ask_after}
    some = [(spot, rule) for spot, rule in _candidates(belief, situation) if rule.id in asked]
    _, rough = _looked_over(belief, situation, some)
    return frozenset(
        option.spot for option in rough.values()
        if option.urgent and not _must_wait(option, rough, belief)
    )


def _looked_over(
    belief: Belief, situation: Situation, candidates: Iterable[tuple[Spot, Check]]
) -> tuple[_Predictor, dict[Spot, Option]]:
    """The candidates that are worth a closer look, by spot, and what predicts them."""
    asks = {spot: _asked(belief, situation, spot, rule) for spot, rule in candidates}
    predictor = _Predictor(belief, situation, {each for some in asks.values() for each in some})
    found = {
        spot: _rough(predictor, spot, belief.network.library.checks[spot.id], some, situation)
        for spot, some in asks.items() if some
    }
    return predictor, {spot: option for spot, option in found.items() if option is not None}


def _asked(
    belief: Belief, situation: Situation, spot: Spot, rule: Check
) -> tuple[Spot, ...]:
    """The findings that a check may still tell; none where it can be done nowhere from here."""
    here = situation.place in rule.places and _has_tools(rule, situation)
    if not here and (Place.BAY not in rule.places or situation.place is Place.BAY):
        return ()
    return tuple(
        each
        for each in belief.network.asks[spot]
        if each not in situation.closed
        or each in situation.again
        or may_still_tell(rule, situation.unsure.get(each))
    )


def _order(option: Option) -> tuple[bool, bool, bool, float, float, str]:
    """Urgent ones first, of them those of the whole car and the quickest before, since they may
    clear the others; then what can be decided at once, then by score."""
    at_once = bool(option.repeats) and option.here and option.access_minutes == 0.0
    narrow = option.urgent and option.spot.corner is not None
    quick = option.cost if option.urgent else 0.0
    return (not option.urgent, not at_once, narrow, quick, -option.score, str(option.spot))


def _candidates(belief: Belief, situation: Situation) -> list[tuple[Spot, Check]]:
    """Checks that a live cause names, those they have to wait for, safety checks, questions."""
    library = belief.network.library
    named: dict[str, set[Corner | None]] = {}
    for node, chance in zip(belief.network.causes, belief.chances, strict=True):
        if chance >= situation.prune_below:
            for check in node.rule.confirm_by:
                _name(library, named, check, node.spot.corner)
    found = []
    for rule in library.checks.values():
        at = named.get(rule.id, set())
        always = rule.kind is CheckKind.QUESTION
        for spot in belief.network.checks[rule.id]:
            wanted = always or (bool(at) and (
                spot.corner is None or None in at or spot.corner in at)) or (
                rule.safety and spot.corner is None)
            if spot not in situation.done and (wanted or any(
                each in situation.again for each in belief.network.asks[spot])):
                found.append((spot, rule))
    return found


def _name(
    library: Library, named: dict[str, set[Corner | None]], check: str, corner: Corner | None
) -> None:
    """Name a check at a corner, and with it all that it has to wait for."""
    corners = named.setdefault(check, set())
    if corner not in corners:
        corners.add(corner)
        for before in library.checks[check].ask_after:
            _name(library, named, before, corner)


def _must_wait(option: Option, offered: Mapping[Spot, Option], belief: Belief) -> bool:
    """True while a check that has to come first is itself worth doing at this place."""
    return any(
        other in offered and offered[other].here
        for before in option.rule.ask_after
        for other in belief.network.checks[before]
        if option.spot.corner is None or other.corner in (None, option.spot.corner)
    )


class _Predictor:
    """Outlooks of checks: those of their findings, and of readings that are taken again."""

    def __init__(self, belief: Belief, situation: Situation, asked: Collection[Spot]) -> None:
        self.belief = belief
        self.weights = belief.weights
        self._known = dict(belief.outlooks(asked))
        for spot in asked:
            if spot in situation.again:
                chances = self._known[spot].chances * situation.again[spot]
                chances = chances / chances.sum(axis=1, keepdims=True)
                self._known[spot] = outlook(self.weights, chances)

    def telling(self, asks: tuple[Spot, ...]) -> list[Outlook]:
        """The findings of a check that tell most, as many as can be weighed together."""
        looks = [self._known[spot] for spot in sorted(asks, key=str)]
        looks.sort(key=lambda look: -look.bits)
        chosen, size = looks[:1], looks[0].chances.shape[1]
        for look in looks[1:]:
            more = size * look.chances.shape[1]
            if more <= MOST_OUTCOMES and look.bits >= NEGLIGIBLE_BITS:
                chosen.append(look)
                size = more
        return chosen

    def joint(self, asks: tuple[Spot, ...]) -> Array:
        """Chance of each kept set together with each outcome of a check, shape (k, o)."""
        joint: Array = self.weights[:, None] * _outcomes(self.telling(asks))
        return joint

    def gain(self, asks: tuple[Spot, ...]) -> float:
        """Mutual information of a check and the set of causes [bit]."""
        looks = self.telling(asks)
        if len(looks) == 1 or looks[0].bits < NEGLIGIBLE_BITS:
            return looks[0].bits
        overall = self.weights @ _outcomes(looks)
        return max(float(entropy(overall)) - sum(look.blur for look in looks), 0.0)


def _outcomes(looks: list[Outlook]) -> Array:
    """(k, o) chances of the combined states: given the set, findings are independent."""
    table = looks[0].chances
    for look in looks[1:]:
        table = (table[:, :, None] * look.chances[:, None, :]).reshape(len(table), -1)
    return table


def _rough(
    predictor: _Predictor, spot: Spot, rule: Check, asks: tuple[Spot, ...], situation: Situation
) -> Option | None:
    gain = predictor.gain(asks)
    repeats = tuple(each for each in asks if each in situation.again)
    here = situation.place in rule.places and _has_tools(rule, situation)
    way = situation.ways.to(rule.access, spot.corner, here=here)
    # A question is asked wherever the car stands.
    minutes = 0.0 if here and rule.kind is CheckKind.QUESTION else way.minutes
    urgent = way.here and _is_urgent(predictor.belief, spot, rule, situation, minutes)
    if gain < NEGLIGIBLE_BITS and not urgent and not repeats:
        return None
    return Option(
        spot, rule, asks, repeats, rule.minutes, minutes, way.here, gain, 0.0, 0.0, urgent
    )


def _is_urgent(
    belief: Belief, spot: Spot, rule: Check, situation: Situation, way_minutes: float
) -> bool:
    """Whether a safety check comes before all others now.

    One that needs the car put together first can wait: it cannot be driven as it stands. One that
    can be done at every place on the whole car as it stands always comes first; any other while a
    cause that it proves at its corner, and that stops the car, lives, and none such is found yet.
    One that waits for a safety check of the whole car is cleared by it where nothing was seen.
    """
    ways = situation.ways
    if not rule.safety or (ways.position.corner is not None and way_minutes > 0.0):
        return False
    start = belief.network.library.access.places[situation.place].start
    at_once = rule.access == start and rule.kind is not CheckKind.MEASUREMENT
    if at_once and spot.corner is None and set(rule.places) == set(Place):
        return True
    if _cleared(belief, rule):
        return False
    stopping = [
        (node, chance)
        for node, chance in zip(belief.network.causes, belief.chances, strict=True)
        if node.rule.danger is Danger.STOP and chance >= situation.prune_below
    ]
    return all(chance < FOUND for _, chance in stopping) and any(
        rule.id in node.rule.confirm_by
        and (spot.corner is None or node.spot.corner in (None, spot.corner))
        for node, _ in stopping
    )


def _cleared(belief: Belief, rule: Check) -> bool:
    """Whether a look at the whole car, which comes before this check, has found nothing."""
    checks, findings = belief.network.library.checks, belief.network.findings
    whole = (
        checks[name] for name in rule.ask_after
        if checks[name].safety and checks[name].scope is Scope.VEHICLE
    )
    return any(
        all(
            spot in belief.evidence and int(np.argmax(belief.evidence[spot])) == 0
            for spot in map(Spot, before.yields) if spot in findings
        )
        for before in whole
    )


def may_still_tell(rule: Check, unsure_at: str | None) -> bool:
    """Whether a check may still tell what a person was not sure of at the check `unsure_at`.

    That closes all questions and the check itself; a look, a measurement or a trial may tell.
    """
    return unsure_at is not None and rule.kind is not CheckKind.QUESTION and rule.id != unsure_at


def _has_tools(rule: Check, situation: Situation) -> bool:
    return situation.tools is None or all(tool in situation.tools for tool in rule.tools)


def _weigh(predictor: _Predictor, cures: Cures, chosen: list[Option]) -> list[Option]:
    """Work out the expected saving in minutes and the score of each option."""
    mass = cures.masses(predictor.weights[:, None])[0]
    each = cost_of_each(mass, cures.kinds, cures.efforts)
    after = [cures.masses(predictor.joint(option.asks)) for option in chosen]
    then = _costs(np.concatenate([np.zeros((0, len(mass))), *after]), each, cures)
    ends = np.cumsum([len(masses) for masses in after])
    weighed = []
    for option, masses, end in zip(chosen, after, ends, strict=True):
        saves = max(float(mass @ each - then[end - len(masses) : end].sum()), 0.0)
        score = (saves + MINUTES_PER_BIT * option.gain) / max(option.cost, LEAST_MINUTES)
        weighed.append(replace(option, saves=saves, score=score))
    return weighed


def _costs(masses: Array, each: Array, cures: Cures) -> Array:
    """Cost to resolve after outcomes, each times its chance, (n,) [min]; `each` as it would be
    without the check. What hardly ever comes out changes nothing that is done."""
    costs: Array = masses @ each
    likely = masses.sum(axis=1) >= HARDLY_EVER
    found = cost_to_resolve(masses[likely], cures.kinds, cures.efforts)
    costs[likely] = np.minimum(costs[likely], found)
    return costs


def _mark_ties(ordered: list[Option]) -> tuple[Option, ...]:
    """Mark the options whose score is nearly that of the best of their rank."""
    marked: list[Option] = []
    for urgent in (True, False):
        group = [option for option in ordered if option.urgent is urgent]
        edge = NEAR_TIE * max((option.score for option in group), default=0.0)
        several = sum(option.score >= edge for option in group) > 1
        marked += [
            replace(option, near_tie=several and option.score >= edge) for option in group
        ]
    return tuple(marked)
