"""Proofs: short cases beside the rules, in which a cause must lead or must not.

They stand in the folder `proofs` of the rules, which the loader passes over. Whether a proof
holds is for the session to find out; here they are read and held against the rules' ids.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from msgspec import Struct

from vibecheck.errors import RuleFault, RulesError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Id, Text
from vibecheck.knowledge.shape import nearest, shape, shown
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.yamltext import survey

FOLDER = "proofs"


class Must(StrEnum):
    """What a cause must do in a proof."""

    LEAD = "lead"
    NOT_LEAD = "not_lead"


class Proof(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One short case: with these `answers` (FINDING[@CORNER]=VALUE) and `facts`, `cause` must
    lead the ranking, at `corner` if one is named, or must not lead it at all."""

    cause: Id
    must: Must
    answers: list[Text]
    why: Text
    corner: Corner | None = None
    facts: dict[Id, Text] = {}


@dataclass(frozen=True)
class PlacedProof:
    """A proof and where it is written."""

    proof: Proof
    file: str
    line: int


def read_proofs(folder: Path, library: Library) -> tuple[PlacedProof, ...]:
    """Every proof of a folder, file by file.

    Raises
    ------
    RulesError : carries every fault, among them causes without both kinds of proof.
    """
    faults: list[RuleFault] = []
    found: list[PlacedProof] = []
    for path in sorted(folder.glob("*.yaml")):
        found += _read_file(path, faults)
    faults += [fault for each in found for fault in _names(each, library)]
    if not faults:
        faults += _missing(found, library, folder)
    if faults:
        raise RulesError(faults)
    return tuple(found)


def _read_file(path: Path, faults: list[RuleFault]) -> list[PlacedProof]:
    text = path.read_text(encoding="utf-8", errors="replace")
    read = survey(text, path.name, texts=True)
    faults += read.faults
    data = read.data
    if not isinstance(data, dict) or [*data] != [FOLDER] or not isinstance(data[FOLDER], list):
        if not read.faults:
            faults.append(RuleFault(path.name, 1, "the file holds no list 'proofs:' alone",
                                    "begin with proofs: and a list below it"))  # fmt: skip
        return []
    found = []
    for index, value in enumerate(data[FOLDER]):
        line = read.lines[FOLDER, index]
        result = shape(Proof, value)
        faults += [
            RuleFault(path.name, read.lines.get((FOLDER, index, *each.path), line), each.what,
                      each.instead)
            for each in result.troubles
        ]  # fmt: skip
        if result.item is not None:
            found.append(PlacedProof(result.item, path.name, line))
    return found


def _names(placed: PlacedProof, library: Library) -> Iterable[RuleFault]:
    proof = placed.proof
    cause = library.causes.get(proof.cause)
    if cause is None:
        hint = nearest(proof.cause, library.causes)
        yield RuleFault(placed.file, placed.line, f"there is no cause {shown(proof.cause)}",
                        f"did you mean '{hint}'?" if hint else "")  # fmt: skip
    elif proof.corner and cause.scope is Scope.VEHICLE:
        yield RuleFault(placed.file, placed.line, f"'{cause.id}' stands at no corner",
                        "leave the corner out")  # fmt: skip
    if not proof.answers:
        yield RuleFault(placed.file, placed.line, "a proof without answers proves nothing",
                        "write answers: [vibration=strong, ...]")  # fmt: skip


def _missing(found: list[PlacedProof], library: Library, folder: Path) -> Iterable[RuleFault]:
    """Causes that lack a proof in which they lead, or one in which they must not."""
    for must in Must:
        proven = {each.proof.cause for each in found if each.proof.must is must}
        for cause in library.causes:
            if cause not in proven:
                spoken = must.value.replace("_", " ")
                yield RuleFault(folder.as_posix(), 1,
                                f"no proof says where '{cause}' must {spoken}",
                                f"add one with must: {must.value}")  # fmt: skip
