"""The workbench: a case and the rules in; ranking, next check, remedies, cautions and word out.

A workbench never changes: an answer makes a new case, and the new case a new workbench. The rule
graph of a vehicle depends on its facts alone, so it is built once for them and kept.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from functools import cached_property

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
from vibecheck.reasoning.network import Network, build
from vibecheck.reasoning.nextcheck import Option, Situation, options
from vibecheck.reasoning.reasons import Weights, weights
from vibecheck.session import physics, present
from vibecheck.session.answers import corner_named
from vibecheck.session.facts import read_facts, read_limit
from vibecheck.session.gather import Gathered, check_case, gather
from vibecheck.session.proof import Proof, proof_of
from vibecheck.session.safety import Outlook
from vibecheck.session.views import SessionView, WhyView
from vibecheck.session.wording import answer_text

_KEPT_NETWORKS = 8
_Key = tuple[str, tuple[tuple[str, str], ...], str | None]
_networks: OrderedDict[_Key, Network] = OrderedDict()


class Workbench:
    """One case at one moment.

    Parameters
    ----------
    case : the case.
    library : checked rules.
    where : the case's file, for messages.

    Raises
    ------
    VehicleError : a fact or limit that cannot be.
    CaseDamagedError : an entry that the rules do not know.
    """

    def __init__(self, case: Case, library: Library, where: str = "") -> None:
        self.case = case
        self.library = library
        self.facts = read_facts(library, case.facts, where)
        for name, value in case.limits.items():
            read_limit(library, name, value, where)
        check_case(library, case, where or case.id)
        self.place = Place(case.place)

    @cached_property
    def network(self) -> Network:
        """The rule graph of this vehicle."""
        return network_of(self.library, self.facts, complaint_of(self.library, self.case))

    @cached_property
    def gathered(self) -> Gathered:
        """The journal as evidence."""
        return gather(self.network, self.case, self.facts, self.place)

    @cached_property
    def belief(self) -> Belief:
        """The posterior."""
        return believe(self.network, self.gathered.evidence)

    @cached_property
    def prior(self) -> Belief:
        """What is believed before any answer."""
        return believe(self.network, {})

    @cached_property
    def ways(self) -> Ways:
        """The ways from where the car stands now."""
        return Ways(self.library, self.place, self.gathered.position)

    @cached_property
    def cures(self) -> Cures:
        """Remedies against sets."""
        return cures(self.belief, self.ways)

    @cached_property
    def weighed(self) -> tuple[Option, ...]:
        """All checks worth doing, by what they tell and save, best first."""
        return options(self.belief, self.cures, self.situation)

    @cached_property
    def proof(self) -> Proof:
        """How the proof of the cause behind the remedy decided on stands."""
        return proof_of(self)

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """All checks worth doing, best first; safety, then what proves, then all others."""
        proof = self.proof.check
        if proof is None:
            return self.weighed
        others = [option for option in self.weighed if option.spot != proof.spot]
        urgent = [option for option in others if option.urgent]
        calm = [option for option in others if not option.urgent]
        return (*urgent, proof, *calm)

    @property
    def decided(self) -> bool:
        """Whether it is decided what to do, with nothing to prove and no safety check before."""
        waiting = any(option.urgent for option in self.weighed)
        proven = self.proof == Proof()
        return self.ruling.decided and proven and not waiting

    @cached_property
    def situation(self) -> Situation:
        """Where the person stands and what is done."""
        return Situation(
            ways=self.ways,
            done=self.gathered.done,
            closed=self.gathered.closed,
            unsure=self.gathered.unsure,
            again=self.gathered.again,
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
        return rule(self.belief, self.tries, self.weighed, self.library.settings.agree_above)

    @cached_property
    def texts(self) -> dict[Spot, str]:
        """Every answer in force, in words."""
        found = self.gathered.entries
        return {spot: answer_text(self.network, self.gathered, spot) for spot in found}

    @cached_property
    def reasons(self) -> Weights:
        """Weights of evidence for every cause."""
        return weights(self.belief)

    @property
    def outlook(self) -> Outlook:
        """What the cautions and the word on driving depend on."""
        return Outlook(
            self.network, self.belief, self.gathered, self.options, self.tries, self.place
        )

    @cached_property
    def _view(self) -> SessionView:
        return present.session_view(self)

    def view(self) -> SessionView:
        """Everything a person sees."""
        return self._view

    def why(self, cause: str, corner: str | None = None) -> WhyView:
        """One cause explained.

        Raises
        ------
        InputError : no such cause on this vehicle.
        """
        return present.why_view(self, self.cause_spot(cause, corner))

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
