"""What follows from a case by reasoning: network, posterior, ways, cures, checks, stopping rule.

It never changes: an answer makes a new case, and the new case a new inference. The rule graph of a
vehicle depends on its facts and the kind of complaint alone, so it is built once for them and kept;
so is the posterior of the last few sets of evidence, since a note, another place or an entry's mark
changes nothing of it.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from functools import cached_property

import numpy as np

from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import active_entries
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Place
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.cure import Cures, cures
from vibecheck.reasoning.decide import Ruling, Try, rule, tries
from vibecheck.reasoning.evidence import Evidence
from vibecheck.reasoning.network import Network, build
from vibecheck.reasoning.nextcheck import Option, Situation, options, urgent_checks
from vibecheck.reasoning.reasons import Weights, weights
from vibecheck.session import physics
from vibecheck.session.answers import corner_named
from vibecheck.session.case_evidence import CaseEvidence, gather
from vibecheck.session.judge import Judged

_KEPT_NETWORKS = 8
_KEPT_BELIEFS = 6
_Key = tuple[str, tuple[tuple[str, str], ...], str | None]
_networks: OrderedDict[_Key, Network] = OrderedDict()
_BeliefKey = tuple[int, tuple[tuple[Spot, bytes], ...]]
_beliefs: OrderedDict[_BeliefKey, Belief] = OrderedDict()  # each holds its network: ids stay apart


class Inference:
    """What follows from one case at one moment, by reasoning alone; each part when it is read.

    Parameters
    ----------
    case : the case, held against the rules already (`case_evidence.check_case`).
    library : checked rules.
    facts : the vehicle's facts as the rules use them.
    judged : readings judged before with the same facts and limits, by entry id.
    """

    def __init__(
        self, case: Case, library: Library, facts: Mapping[str, str],
        judged: dict[str, Judged] | None = None,
    ) -> None:
        self.case = case
        self.library = library
        self.facts = facts
        self.judged = {} if judged is None else judged
        self.place = Place(case.place)

    @cached_property
    def network(self) -> Network:
        """The rule graph of this vehicle."""
        return network_of(self.library, self.facts, complaint_of(self.library, self.case))

    @cached_property
    def case_evidence(self) -> CaseEvidence:
        """The journal as evidence."""
        return gather(self.network, self.case, self.facts, self.place, self.judged)

    @cached_property
    def belief(self) -> Belief:
        """The posterior."""
        return belief_of(self.network, self.case_evidence.evidence)

    @cached_property
    def prior(self) -> Belief:
        """What is believed before any answer."""
        return belief_of(self.network, {})

    @cached_property
    def ways(self) -> Ways:
        """The ways from where the car stands now."""
        return Ways(self.library, self.place, self.case_evidence.position)

    @cached_property
    def cures(self) -> Cures:
        """Remedies against sets."""
        return cures(self.belief, self.ways)

    @cached_property
    def weighed_checks(self) -> tuple[Option, ...]:
        """All checks worth doing, by what they tell and save, best first."""
        return options(self.belief, self.cures, self.situation)

    @cached_property
    def urgent_checks(self) -> frozenset[Spot]:
        """Those of the weighed checks that come first whatever they tell."""
        if "weighed_checks" in self.__dict__:
            return frozenset(each.spot for each in self.weighed_checks if each.urgent)
        return urgent_checks(self.belief, self.situation)

    @cached_property
    def situation(self) -> Situation:
        """Where the person stands and what is done."""
        return Situation(
            ways=self.ways,
            done=self.case_evidence.done,
            closed=self.case_evidence.closed,
            unsure=self.case_evidence.unsure,
            again=self.case_evidence.again,
            tools=self._tools(),
            prune_below=self.library.settings.prune_below,
        )

    @cached_property
    def tries(self) -> tuple[Try, ...]:
        """Remedies in the order to try."""
        return tries(self.belief, self.cures)

    @cached_property
    def ruling(self) -> Ruling:
        """The stopping rule's word."""
        return rule(self.belief, self.tries, self.weighed_checks, self.library.settings.agree_above)

    @cached_property
    def reasons(self) -> Weights:
        """Weights of evidence for every cause."""
        return weights(self.belief)

    @property
    def by_chance(self) -> list[int]:
        """Indices of the causes, likeliest first."""
        chances = self.belief.chances
        return [int(each) for each in np.argsort(-np.round(chances, 12), kind="stable")]

    def cause_spot(self, cause: str, corner: str | None = None) -> Spot:
        """The cause a person means; without a corner, the likeliest corner.

        Raises
        ------
        InputError : no such cause, or not on this vehicle, or not at this corner.
        """
        if cause not in self.library.causes:
            raise InputError(
                f"there is no cause '{cause[:60]}'", "", "list them with 'vibecheck rules list'"
            )
        found = [spot for spot in self.network.index if spot.id == cause]
        if not found:
            raise InputError(f"this vehicle cannot have '{cause}'", "", "see its facts")
        if corner is None:
            return max(found, key=lambda spot: float(self.belief.chances[self.network.index[spot]]))
        spot = Spot(cause, Corner(corner_named(corner)))
        if spot not in self.network.index:
            raise InputError(f"'{cause}' does not stand at {corner}", "", f"write {found[0]}")
        return spot

    def _tools(self) -> frozenset[str] | None:
        """Tools at hand: all in the bay, the ticked or usual ones in the driveway."""
        if self.place is not Place.DRIVEWAY:
            return None
        if self.case.tools:
            return frozenset(self.case.tools)
        return frozenset(tool.id for tool in self.library.tools.values() if tool.home)


def complaint_of(library: Library, case: Case) -> str | None:
    """The kind of complaint that a case holds, None if nobody has told it."""
    finding = library.complaint
    if finding is None:
        return None
    told = [entry.value for entry in active_entries(case) if entry.finding == finding]
    return told[-1] if told and told[-1] in library.findings[finding].states else None


def network_of(library: Library, facts: Mapping[str, str], complaint: str | None = None) -> Network:
    """The rule graph for these facts and this kind of complaint, built once and kept."""
    key = (library.digest, tuple(sorted(facts.items())), complaint)
    if key not in _networks:
        _networks[key] = build(
            library, physics.with_derived(library, facts), physics.rows(library, facts), complaint
        )
        while len(_networks) > _KEPT_NETWORKS:
            _networks.popitem(last=False)
    _networks.move_to_end(key)
    return _networks[key]


def belief_of(network: Network, evidence: Evidence) -> Belief:
    """The posterior for this evidence, worked out once and kept."""
    key = (id(network), tuple((spot, row.tobytes()) for spot, row in evidence.items()))
    found = _beliefs.get(key)
    if found is None:
        found = _beliefs[key] = believe(network, evidence)
        while len(_beliefs) > _KEPT_BELIEFS:
            _beliefs.popitem(last=False)
    else:
        _beliefs.move_to_end(key)
    return found
