"""The command that tries the proofs, on small invented rules."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.main import main

SMALL = Path(__file__).parents[1] / "knowledge" / "small_rules"
PROOFS = """proofs:
  - {cause: bent_hoop, must: lead, answers: [wobble@LF=3 mm], why: the hoop wobbles}
  - {cause: bent_hoop, must: not_lead, answers: [loose@LF=seen], why: it is loose}
  - {cause: loose_wheel, must: lead, answers: [loose@LF=seen], why: it is loose}
  - {cause: loose_wheel, must: not_lead, answers: [wobble@LF=3 mm], why: the hoop wobbles}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = Path(shutil.copytree(SMALL, tmp_path / "rules"))
    (copy / "proofs" / "not_rules.yaml").unlink()
    (copy / "proofs" / "own.yaml").write_text(PROOFS, encoding="utf-8")
    return copy


def test_proofs_that_hold(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["rules", "prove", "--rules", str(folder)])

    assert ExitCode.FINE == code
    assert "4 proofs, 0 do not hold\n" == capsys.readouterr().out


def test_a_proof_that_does_not_hold(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = folder / "proofs" / "own.yaml"
    path.write_text(PROOFS.replace("must: not_lead, answers: [loose", "must: lead, answers: [loose")
                    .replace("must: lead, answers: [wobble", "must: not_lead, answers: [wobble"),
                    encoding="utf-8")  # fmt: skip
    code = main(["rules", "prove", "--rules", str(folder)])
    out = capsys.readouterr().out

    assert ExitCode.RULES_FAULTY == code
    assert "own.yaml:2: bent_hoop must not lead, but: bent_hoop@LF" in out
    assert "own.yaml:3: bent_hoop must lead, but: loose_wheel@LF" in out
    assert out.endswith("4 proofs, 2 do not hold\n")
