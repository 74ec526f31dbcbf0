"""The diagnosis that follows from a case: ranking, next checks, remedies, cautions, driving.

Each part is worked out when it is read, and once. It holds values only: the report says them.
"""

from __future__ import annotations

from functools import cached_property

from msgspec import Struct, structs

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Spot
from vibecheck.knowledge.words import Corner, Place
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.belief import anywhere
from vibecheck.reasoning.decide import FITTING, Try
from vibecheck.reasoning.network import CauseNode
from vibecheck.reasoning.nextcheck import Option
from vibecheck.reasoning.reasons import Weight
from vibecheck.session import advice
from vibecheck.session.advice import Conclusion, NextCheck
from vibecheck.session.cautions import active_cautions
from vibecheck.session.driving import DriveWord, Driving, driving
from vibecheck.session.judge import Judged
from vibecheck.session.plan import Plan
from vibecheck.session.raised import ActiveCaution
from vibecheck.session.repair import Repair, repair_of
from vibecheck.session.ruling_out import RuledOut, ruled_out

STANDS_OUT = 2.0  # a corner this many times likelier than the next has a line of its own
LEAST_BITS = 0.1  # reasons below this are not shown
MOST_REASONS = 12
MOST_SETS = 6
LEAST_SET = 0.01
MOST_REMEDIES = 8
PUSHED_BITS = 0.5  # an answer pushed a cause under the threshold if it took at least this


class RankedCause(Struct, frozen=True):
    """A cause at its place, with its probability [unitless]."""

    spot: Spot
    rule: Cause
    probability: float

    @property
    def cause(self) -> str:
        """The cause's id."""
        return self.spot.id

    @property
    def corner(self) -> Corner | None:
        """Where it stands."""
        return self.spot.corner


class RankedFault(RankedCause, frozen=True):
    """A fault wherever it stands; `spot` is its likeliest place.

    `probability` is that of the fault at some corner or another, `corners` those of its live
    places, likeliest first [unitless]. `told_apart` says that evidence names one corner.
    """

    corners: tuple[tuple[Corner, float], ...] = ()

    @property
    def told_apart(self) -> bool:
        """One corner stands out by itself."""
        if not self.corners:
            return True
        first, *others = (chance for _, chance in self.corners)
        return not others or first >= STANDS_OUT * others[0]


class CauseSet(Struct, frozen=True):
    """Causes that together explain the findings; no cause at all is a set as well."""

    causes: tuple[Spot, ...]
    probability: float


class LessLikely(Struct, frozen=True):
    """A cause under the threshold, the answer that put it there, and that answer's check."""

    cause: RankedCause
    weight: Weight
    check: str | None


class Answer(Struct, frozen=True):
    """An answer or reading in force; `judged` for a measured value."""

    spot: Spot
    entry: Entry
    judged: Judged | None

    @property
    def finding(self) -> str:
        """The finding's id."""
        return self.spot.id

    @property
    def corner(self) -> Corner | None:
        """Where it was found."""
        return self.spot.corner

    @property
    def value(self) -> str:
        """The state, or what was typed."""
        return self.entry.value

    @property
    def zone(self) -> Zone | None:
        """Where a reading stands against its limit."""
        return self.judged.zone if self.judged else None


class Why(Struct, frozen=True):
    """One cause explained: its chance now and before any answer, its rank, its reasons."""

    cause: RankedCause
    prior: float
    rank: int
    weights: tuple[Weight, ...]


def _fits(library: Library, node: CauseNode, remedy: Spot) -> bool:
    """Whether a remedy done at its place is a fitting one for a cause."""
    word = node.rule.remedies.get(remedy.id)
    at = remedy.corner in (None, node.spot.corner)
    return word is not None and at and library.strength(word) >= FITTING


class Diagnosis(Plan):
    """Everything that follows from one case at one moment."""

    @cached_property
    def ranking(self) -> tuple[RankedCause, ...]:
        """Live causes, likeliest first; causes that no answer touches are ranked by their rate."""
        live = self.belief.chances >= self.library.settings.prune_below
        return tuple(self.ranked(index) for index in self.by_chance if live[index])

    @cached_property
    def faults(self) -> tuple[RankedFault, ...]:
        """Live faults, likeliest first, each with its corners inside."""
        places: dict[str, list[RankedCause]] = {}
        for each in self.ranking:
            places.setdefault(each.cause, []).append(each)
        found = []
        for cause, at in places.items():
            corners = tuple((each.corner, each.probability) for each in at if each.corner)
            chance = at[0].probability if len(at) == 1 else anywhere(self.belief, cause)
            found.append(RankedFault(at[0].spot, at[0].rule, chance, corners))
        return tuple(sorted(found, key=lambda each: -round(each.probability, 12)))

    def ranked(self, index: int) -> RankedCause:
        """One cause of the network, by its index."""
        node = self.network.causes[index]
        return RankedCause(node.spot, node.rule, float(self.belief.chances[index]))

    def weights(self, cause: Spot) -> tuple[Weight, ...]:
        """The findings that speak for or against a cause and are worth showing, heaviest first."""
        found = (each for each in self.reasons[cause] if abs(each.bits) >= LEAST_BITS)
        return tuple(found)[:MOST_REASONS]

    def why(self, cause: str, corner: str | None = None) -> Why:
        """One cause explained.

        Raises
        ------
        InputError : no such cause on this vehicle.
        """
        spot = self.cause_spot(cause, corner)
        index = self.network.index[spot]
        return Why(
            cause=self.ranked(index),
            prior=float(self.prior.chances[index]),
            rank=self.by_chance.index(index) + 1,
            weights=self.weights(spot),
        )

    @cached_property
    def sets(self) -> tuple[CauseSet, ...]:
        """The heaviest sets of causes."""
        weights = self.belief.sets.weights[:MOST_SETS]
        return tuple(
            CauseSet(self.belief.set_spots(row), float(weight))
            for row, weight in enumerate(weights)
            if weight >= LEAST_SET
        )

    @cached_property
    def ruled_out(self) -> tuple[RuledOut, ...]:
        """Causes that a look or a measurement of that very part spoke against, by 20 to 1."""
        return ruled_out(self)

    @cached_property
    def less_likely(self) -> tuple[LessLikely, ...]:
        """Causes under the threshold that an answer put there, and that answer's check.

        Those that are ruled out are not named again.
        """
        found = []
        gone = {each.cause for each in self.ruled_out}
        for index in self.by_chance:
            if self.belief.chances[index] >= self.library.settings.prune_below:
                continue
            if self.network.causes[index].spot in gone:
                continue
            worst = self.reasons.heaviest_against(self.network.causes[index].spot)
            if worst is not None and worst.bits <= -PUSHED_BITS:
                check = self.check_behind(worst.finding)
                found.append(LessLikely(self.ranked(index), worst, check))
        return tuple(found)

    def check_behind(self, finding: Spot) -> str | None:
        """The check that gave a finding, or the first one that could have."""
        entry = self.case_evidence.entries[finding]
        if entry.check in self.library.checks:
            return entry.check
        return next(iter(self.library.checks_yielding.get(finding.id, ())), None)

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """All answers and readings in force, in the order given."""
        evidence = self.case_evidence
        return tuple(
            Answer(spot, entry, evidence.judged.get(spot))
            for spot, entry in evidence.entries.items()
        )

    @property
    def readings(self) -> tuple[Answer, ...]:
        """All measured values."""
        return tuple(each for each in self.answers if each.judged is not None)

    @cached_property
    def next_checks(self) -> tuple[NextCheck, ...]:
        """The checks to show, best first."""
        return advice.next_checks(self)

    @property
    def remedies(self) -> tuple[Try, ...]:
        """Remedies in the order to try."""
        return self.tries[:MOST_REMEDIES]

    @cached_property
    def cautions(self) -> tuple[ActiveCaution, ...]:
        """Every caution in force, the loudest first."""
        return active_cautions(self)

    @cached_property
    def driving(self) -> Driving:
        """May the car be driven, as far as is known?"""
        return driving(self)

    @cached_property
    def repair(self) -> Repair | None:
        """What the remedies done have changed; None before any remedy."""
        return repair_of(self.library, self.case, self.facts)

    @cached_property
    def work_left(self) -> tuple[RankedCause, ...]:
        """The causes in the order that counts once the remedies done have not cured it.

        Each set is weighed by the chance that none of those remedies would have cured it, and a
        cause for which one of them is fitting is done with.
        """
        done = {} if self.repair is None else {
            Spot(entry.remedy, Corner(entry.corner) if entry.corner else None): entry
            for entry in self.repair.remedies
        }
        weights = self.belief.weights.copy()
        for column, spot in enumerate(self.cures.spots):
            if spot in done:
                weights *= 1.0 - self.cures.cures[:, column]
        total = float(weights.sum())
        if not total > 0.0:
            return ()
        chances = (weights / total) @ self.belief.has
        order = sorted(zip(self.belief.table.active, chances, strict=True),
                       key=lambda each: -each[1])
        nodes = self.network.causes
        return tuple(
            RankedCause(nodes[int(index)].spot, nodes[int(index)].rule, float(chance))
            for index, chance in order
            if chance >= self.library.settings.prune_below
            and not any(_fits(self.library, nodes[int(index)], each) for each in done)
        )

    @property
    def stopped(self) -> bool:
        """Whether the car must not be driven now."""
        return self.driving.word is DriveWord.STOP

    @cached_property
    def checks(self) -> tuple[Option, ...]:
        """All checks worth doing, best first; under a stop none that moves the car."""
        found = super().checks
        return tuple(each for each in found if not (self.stopped and each.rule.moves_car))

    @cached_property
    def tries(self) -> tuple[Try, ...]:
        """Remedies in the order to try; under a stop none that moves the car."""
        rules = self.library.remedies
        return tuple(
            each for each in super().tries
            if not (self.stopped and rules[each.spot.id].moves_car)
        )

    @cached_property
    def conclusion(self) -> Conclusion:
        """Whether to go on asking, and why."""
        return advice.conclusion(self, self.cautions)

    @cached_property
    def minutes_expected(self) -> tuple[float, float]:
        """Rough range of the diagnostic time still needed [min]."""
        return advice.minutes_expected(self)

    @cached_property
    def in_the_bay(self) -> Diagnosis:
        """The same case as it would be in the bay."""
        if self.place is Place.BAY:
            return self
        case = structs.replace(self.case, place=Place.BAY.value)
        return Diagnosis(case, self.library, self.facts, self.judged)

    @property
    def same_rules(self) -> bool:
        """Whether the case was begun with the rules that rank it now."""
        used = self.case.rules
        return used is None or used.hash == self.library.digest
