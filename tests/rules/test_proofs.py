"""The proofs beside the rules hold, and a proof that cannot be used is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.errors import InputError, RulesError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.proofs import FOLDER, Must, PlacedProof, Proof, read_proofs
from vibecheck.knowledge.words import Corner
from vibecheck.session.proving import try_proof, try_proofs

GOOD = """proofs:
  - cause: imbalance
    must: lead
    answers: [vibration=strong]
    why: because
"""


@pytest.fixture(scope="module")
def proofs(rules: Path, library: Library) -> tuple[PlacedProof, ...]:
    return read_proofs(rules / FOLDER, library)


def faults_of(tmp_path: Path, library: Library, text: str) -> list[str]:
    (tmp_path / "own.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        read_proofs(tmp_path, library)
    return [str(fault) for fault in caught.value.faults]


def test_every_proof_holds(library: Library, proofs: tuple[PlacedProof, ...]) -> None:
    failed = [str(tried) for tried in try_proofs(library, proofs) if not tried.holds]

    assert [] == failed


def test_every_cause_has_both_kinds(library: Library, proofs: tuple[PlacedProof, ...]) -> None:
    for must in Must:
        assert set(library.causes) == {
            each.proof.cause for each in proofs if each.proof.must is must
        }


def test_a_proof_can_fail(library: Library) -> None:
    """The runner is not blind: the opposite of what holds does not hold."""
    answers = ["vibration=strong", "wheel_crack@RR=yes"]
    good = Proof(cause="cracked_wheel", must=Must.LEAD, answers=answers, why="seen")
    wrong_corner = Proof(cause="cracked_wheel", must=Must.LEAD, answers=answers, why="seen",
                         corner=Corner.LF)  # fmt: skip
    opposite = Proof(cause="cracked_wheel", must=Must.NOT_LEAD, answers=answers, why="seen")
    held = [try_proof(library, PlacedProof(each, "own.yaml", 1)) for each in
            (good, wrong_corner, opposite)]  # fmt: skip

    assert [True, False, False] == [each.holds for each in held]
    assert "own.yaml:1: cracked_wheel must not lead, but: cracked_wheel@RR" in str(held[2])


def test_a_proof_with_an_answer_that_cannot_be_is_refused(library: Library) -> None:
    proof = Proof(cause="imbalance", must=Must.LEAD, answers=["vibration=terrible"], why="no")
    with pytest.raises(InputError):
        try_proof(library, PlacedProof(proof, "own.yaml", 1))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("cause: imbalance", "cause: imbalence", "own.yaml:2: there is no cause 'imbalence'; "
                                                 "did you mean 'imbalance'?"),
        ("must: lead", "must: win", "own.yaml:3: 'win' is not a word for 'must'"),
        ("[vibration=strong]", "[]", "own.yaml:2: a proof without answers proves nothing"),
        ("why: because", "because: yes", "own.yaml:5"),
        ("    why: because", "    why: because\n    corner: FL", "'FL' is not a word for 'corner'"),
        ("proofs:", "causes:", "own.yaml:1: the file holds no list 'proofs:' alone"),
        ("cause: imbalance", "cause: rough_road\n    corner: LF", "stands at no corner"),
    ],
)  # fmt: skip
def test_faulty_proofs(
    tmp_path: Path, library: Library, old: str, new: str, words: str
) -> None:
    assert old in GOOD
    found = faults_of(tmp_path, library, GOOD.replace(old, new))

    assert any(words in each for each in found), found


def test_causes_without_proof_are_named(tmp_path: Path, library: Library) -> None:
    found = faults_of(tmp_path, library, GOOD)

    assert 2 * len(library.causes) - 1 == len(found)
    assert any("no proof says where 'bent_wheel' must lead" in each for each in found)
    assert any("no proof says where 'imbalance' must not lead" in each for each in found)
