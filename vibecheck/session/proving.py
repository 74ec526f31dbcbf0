"""Whether the proofs beside the rules hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import append
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.proofs import Must, PlacedProof, Proof
from vibecheck.session.answers import drafts, parse_assignment
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.facts import read_facts


@dataclass(frozen=True)
class Tried:
    """What a proof gave: the ranking as (cause, probability [unitless]), likeliest first."""

    placed: PlacedProof
    ranking: tuple[tuple[Spot, float], ...]

    @property
    def holds(self) -> bool:
        """Whether the cause did what it must."""
        proof = self.placed.proof
        leader, _ = self.ranking[0]
        if proof.must is Must.NOT_LEAD:
            return leader.id != proof.cause
        return leader.id == proof.cause and proof.corner in (None, leader.corner)

    def __str__(self) -> str:
        proof = self.placed.proof
        first = ", ".join(f"{spot} {chance:.2f}" for spot, chance in self.ranking[:4])
        at = f"{self.placed.file}:{self.placed.line}"
        return f"{at}: {proof.cause} must {proof.must.value.replace('_', ' ')}, but: {first}"


def diagnosis_of(
    library: Library, facts: dict[str, str], answers: Sequence[str]
) -> Diagnosis:
    """The diagnosis of facts and answers that belong to no case on disk.

    Raises
    ------
    InputError family : a fact or an answer that cannot be used.
    """
    typed = [parse_assignment(each) for each in answers]
    case = Case(id="short", title="short", place="bay", facts=facts)
    known = read_facts(library, facts)
    return Diagnosis(append(case, drafts(library, known, typed))[0], library, known)


def try_proof(library: Library, placed: PlacedProof) -> Tried:
    """Rank the causes for one proof.

    Raises
    ------
    InputError family : a fact or an answer that cannot be used.
    """
    proof: Proof = placed.proof
    found = diagnosis_of(library, proof.facts, proof.answers)
    chances = found.belief.chances
    order = sorted(range(len(chances)), key=lambda index: -chances[index])
    ranking = ((found.network.causes[index].spot, float(chances[index])) for index in order)
    return Tried(placed, tuple(ranking))


def try_proofs(library: Library, placed: Sequence[PlacedProof]) -> tuple[Tried, ...]:
    """Every proof, in the order written; those of like facts share a network."""
    order = sorted(range(len(placed)), key=lambda index: sorted(placed[index].proof.facts.items()))
    tried = {index: try_proof(library, placed[index]) for index in order}
    return tuple(tried[index] for index in range(len(placed)))
