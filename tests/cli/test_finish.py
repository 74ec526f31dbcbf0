"""A visit can be finished: cause, remedy and proof are kept, and bad input changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli_helpers import case_in

from vibecheck.casebook.case import Outcome
from vibecheck.cli.exitcodes import ExitCode


@pytest.fixture
def begun(run: Any, tmp_path: Path) -> Path:
    """A case under the real rules."""
    path = tmp_path / "ended.yaml"
    assert 0 == run("new", path, "drive=rear", rules=None).code
    return path


def test_cause_remedy_and_proof_are_kept_and_shown(run: Any, begun: Path):
    ran = run("finish", begun, "bent_wheel@lf", "--remedy", "replace_wheel",
              "--confirmed", "0.12 mm [/bad] \x1b[2J", rules=None)
    shown = run("show", begun).out

    assert ExitCode.FINE == ran.code, ran.err
    assert Outcome(cause="bent_wheel", corner="LF", remedy="replace_wheel",
                   confirmed="0.12 mm [/bad] \x1b[2J") == case_in(begun).outcome
    assert "left front" in ran.out and "[/bad]" in ran.out and "\x1b" not in ran.out
    assert "How it ended" in shown and "bent_wheel@LF" in " ".join(shown.split())
    assert "\x1b" not in shown


def test_a_later_ending_replaces_the_earlier(run: Any, begun: Path):
    run("finish", begun, "bent_wheel@LF", rules=None)
    run("finish", begun, "driveshaft_bent", rules=None)

    assert Outcome(cause="driveshaft_bent") == case_in(begun).outcome


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (["gremlins"], "there is no cause 'gremlins'"),
        (["bent_wheel"], "write bent_wheel@LF"),
        (["bent_wheel@XX"], "XX"),
        (["bent_wheel@"], "is not a cause"),
        (["@LF"], "is not a cause"),
        ([""], "is not a cause"),
        (["driveshaft_bent@LF"], "driveshaft_bent"),
        (["bent_wheel@LF", "--remedy", "pray"], "there is no remedy 'pray'"),
        (["bent_wheel@LF", "--confirmed", "x" * 20_001], "20001"),
    ],
)
def test_bad_input_is_one_sentence_and_changes_nothing(
    run: Any, begun: Path, typed: list[str], says: str
):
    before = begun.read_bytes()
    ran = run("finish", begun, *typed, rules=None)

    assert ExitCode.WRONG_INPUT == ran.code
    assert says in ran.err and "Traceback" not in ran.err
    assert 1 == len(ran.err.strip().splitlines())
    assert before == begun.read_bytes()
