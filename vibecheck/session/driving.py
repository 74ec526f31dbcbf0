"""May the car be driven, as far as is known: the word, and what it rests on.

A value with its reasons: what was seen, what is or was likely enough, what was not looked at, and
what lifted a danger. The sentences for it stand in the report. The laws:

- A danger that was seen stands until the same thing is looked at again and found good, or the
  answer is taken back. "Not sure" and changed facts replace nothing (`CaseEvidence.standing`).
- A danger that was likely enough when an answer made it so (the entry carries it) stands until a
  check that looks at that very part, at that place, speaks against it, or the answer is taken back.
- "Nothing found" needs a real answer to every danger question of this place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum

from msgspec import Struct

from vibecheck.casebook.case import Entry
from vibecheck.casebook.journal import active_steps, all_answers
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import Corner, Danger, Level, Place, Scope
from vibecheck.reasoning.belief import Belief, anywhere
from vibecheck.session.case_evidence import asks
from vibecheck.session.inference import Inference
from vibecheck.session.looks import look_that_lifts, repaired
from vibecheck.session.raised import ActiveCaution, RaisedBy, stop_cautions

CAUTION_ABOVE = 0.3  # a cause to be watched asks for caution from this probability on


class DriveWord(StrEnum):
    """The word on driving."""

    STOP = "stop"
    CAUTION = "caution"
    NOT_CHECKED = "not_checked"
    NOTHING_FOUND = "nothing_found"


class LikelyDanger(Struct, frozen=True):
    """A dangerous cause that is likely enough to count, at its likeliest corner.

    `probability` is that of the cause at some corner or another [unitless].
    """

    spot: Spot
    danger: Danger
    probability: float


class HeldDanger(Struct, frozen=True):
    """A cause that stopped the car when an answer came in, and by which nothing has lifted it yet.

    `probability` is that of now.
    """

    spot: Spot
    entry: Entry
    probability: float


class LiftedDanger(Struct, frozen=True):
    """A danger that no longer stands: what it was, and the answer that lifted it.

    `finding` where it was seen there, `cause` where it was likely.
    """

    entry: Entry
    lifted_by: Entry
    finding: Spot | None = None
    cause: Spot | None = None


class WhyUnchecked(StrEnum):
    """Why a danger question has no answer."""

    NOT_ASKED = "not_asked"
    UNSURE = "unsure"
    SKIPPED = "skipped"
    CANNOT = "cannot"


class Unchecked(Struct, frozen=True):
    """A safety check of this place with questions that have no real answer yet."""

    check: Spot
    findings: tuple[Spot, ...]
    why: WhyUnchecked


class Driving(Struct, frozen=True):
    """The word on driving and its reasons.

    seen : stop cautions in force, with what raised them.
    likely : dangers that are likely enough, those that stop the car first.
    held : dangers that were likely enough before, and that nothing has lifted.
    unchecked : safety checks of this place that are not done.
    lifted : dangers that stood before, each with the answer that lifted it, the newest last.
    """

    seen: tuple[ActiveCaution, ...] = ()
    likely: tuple[LikelyDanger, ...] = ()
    held: tuple[HeldDanger, ...] = ()
    unchecked: tuple[Unchecked, ...] = ()
    lifted: tuple[LiftedDanger, ...] = ()

    @property
    def word(self) -> DriveWord:
        """What the reasons amount to."""
        if self.seen or self.held or any(each.danger is Danger.STOP for each in self.likely):
            return DriveWord.STOP
        if self.likely:
            return DriveWord.CAUTION
        return DriveWord.NOT_CHECKED if self.unchecked else DriveWord.NOTHING_FOUND


def driving(plan: Inference) -> Driving:
    """The word on driving; it rests on no advice, so that the advice can rest on it."""
    mended = repaired(plan)
    likely = tuple(each for each in likely_dangers(plan.belief) if each.spot not in mended)
    seen = stop_cautions(plan)
    held, lifted = _marked(plan, seen)
    return Driving(
        seen=seen,
        likely=likely,
        held=held,
        unchecked=tuple(_unchecked(plan)),
        lifted=tuple(sorted((*_seen_and_lifted(plan), *lifted),
                            key=lambda each: each.lifted_by.at)),
    )


def likely_dangers(belief: Belief) -> tuple[LikelyDanger, ...]:
    """The likeliest cause that stops the car and the likeliest to be watched, if likely enough."""
    stop_above = belief.network.library.settings.stop_driving_above
    return (
        *dangers_above(belief, Danger.STOP, stop_above)[:1],
        *dangers_above(belief, Danger.WATCH, CAUTION_ABOVE)[:1],
    )


def dangers_above(belief: Belief, danger: Danger, least: float) -> list[LikelyDanger]:
    """All causes of this danger that are at least so probable at some corner, likeliest first."""
    network, chances = belief.network, belief.chances
    found = []
    for cause, at in network.dangers.get(danger, {}).items():
        each = [float(chances[network.index[spot]]) for spot in at]
        if sum(each) >= least:  # the chance of any corner is never above the sum over the corners
            best = at[each.index(max(each))]
            found.append(LikelyDanger(best, danger, anywhere(belief, cause)))
    found = [each for each in found if each.probability >= least]
    return sorted(found, key=lambda each: -each.probability)


def new_dangers(plan: Inference) -> tuple[str, ...]:
    """Causes that stop the car now and that no entry carries yet, as entries carry them."""
    carried = {mark.partition("@")[0] for entry in all_answers(plan.case) for mark in entry.dangers}
    stopping = _stopping(plan, stop_cautions(plan))
    return tuple(str(spot) for name, spot in stopping.items() if name not in carried)


def _stopping(plan: Inference, seen: Sequence[ActiveCaution]) -> dict[str, Spot]:
    """Causes likely enough to stop the car, each where it was found so: by the general share, or
    by that of a stop caution in force, which may be lower."""
    least = plan.library.settings.stop_driving_above
    found = {
        raised.spot.id: raised.spot for caution in seen for raised in caution.raised
        if raised.by is RaisedBy.POSSIBLE_CAUSE
    }
    return found | {each.spot.id: each.spot
                    for each in dangers_above(plan.belief, Danger.STOP, least)}


def _marked(
    plan: Inference, seen: Sequence[ActiveCaution]
) -> tuple[tuple[HeldDanger, ...], tuple[LiftedDanger, ...]]:
    """Dangers that entries carry: those that stand, and those that a look has lifted."""
    held: list[HeldDanger] = []
    lifted: list[LiftedDanger] = []
    stopping = _stopping(plan, seen)
    for entry in all_answers(plan.case):
        for mark in entry.dangers:
            name, _, corner = mark.partition("@")
            if name in stopping or name not in plan.library.causes:
                continue  # it is said as likely, or the rules know it no more
            spot = Spot(name, Corner(corner) if corner in Corner.__members__ else None)
            look = look_that_lifts(plan, spot, entry)
            if look is None:
                index = plan.network.index.get(spot)
                now = 0.0 if index is None else float(plan.belief.chances[index])
                held.append(HeldDanger(spot, entry, now))
            else:
                lifted.append(LiftedDanger(entry, look, cause=spot))
    return tuple(held), tuple(lifted)


def _seen_and_lifted(plan: Inference) -> Iterator[LiftedDanger]:
    """Answers that raised a stop caution and were replaced by a later, good answer."""
    dangerous = {
        (trigger.finding, state)
        for caution in plan.library.cautions.values() if caution.level is Level.STOP
        for trigger in caution.triggers if trigger.finding and not trigger.all_of
        for state in trigger.states
    }
    for entry in all_answers(plan.case):
        corner = Corner(entry.corner) if entry.corner else None
        spot = Spot(entry.finding, corner)
        standing = plan.case_evidence.standing.get(spot)
        if (
            (entry.finding, entry.value) in dangerous
            and standing is not None
            and (spot.id, standing.state) not in dangerous
        ):
            yield LiftedDanger(entry, standing.entry, finding=spot)


def _unchecked(plan: Inference) -> Iterator[Unchecked]:
    """The danger questions of this place without a real answer."""
    steps = {entry.check: entry.value for entry in active_steps(plan.case)}
    named = {Spot(rule.id) for rule in plan.library.checks.values() if is_danger_check(plan, rule)}
    for check in sorted({*named, *plan.urgent_checks}, key=str):
        rule = plan.library.checks[check.id]
        open_ones = tuple(
            spot for spot in asks(plan.library, rule, check.corner)
            if spot in plan.network.findings and spot not in plan.case_evidence.standing
        )
        if open_ones:
            yield Unchecked(check, open_ones, _why(plan, open_ones, steps.get(check.id, "")))


def is_danger_check(plan: Inference, rule: Check) -> bool:
    """Whether a check is one of the quick ones on the whole car that belong to every visit."""
    always = rule.safety and rule.scope is Scope.VEHICLE and set(rule.places) == set(Place)
    start = plan.library.access.places[plan.place].start
    return always and rule.access == start


def _why(plan: Inference, findings: tuple[Spot, ...], step: str) -> WhyUnchecked:
    if any(spot in plan.case_evidence.unsure for spot in findings):
        return WhyUnchecked.UNSURE
    return {"skipped": WhyUnchecked.SKIPPED, "cannot": WhyUnchecked.CANNOT}.get(
        step, WhyUnchecked.NOT_ASKED
    )


