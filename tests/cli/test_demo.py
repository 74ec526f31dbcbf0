"""The command `demo`, with the real demo cases and rules."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cli_helpers import case_in

from vibecheck.cli.demo import FIRST, demo_cases
from vibecheck.cli.exitcodes import ExitCode


def test_without_a_name_it_ranks_the_first_to_look_at(run: Any):
    ran = run("demo")

    assert ExitCode.FINE == ran.code
    assert "DRIVING: " in ran.out
    assert f"invented case '{FIRST}'" in " ".join(ran.err.split())


def test_the_list_names_every_case(run: Any):
    cases = demo_cases()
    lines = run("demo", "--list").out.split("\n")

    assert FIRST in cases
    assert set(cases) <= {line.split(" ")[0] for line in lines if line}


def test_json_is_the_ranking(run: Any):
    data = run("demo", FIRST, "--json").data

    assert data["invented"]
    assert data["ranking"]


def test_a_copy_can_be_played_with_and_never_overwrites(run: Any, tmp_path: Path):
    copy = tmp_path / "play.yaml"
    ran = run("demo", FIRST, "--copy", copy)
    before = copy.read_bytes()
    again = run("demo", FIRST, "--copy", copy)

    assert (ExitCode.FINE, f"{copy}\n") == (ran.code, ran.out)
    assert case_in(copy).entries
    assert ExitCode.CASE_UNUSABLE == again.code
    assert before == copy.read_bytes()


def test_an_unknown_name_is_one_sentence(run: Any):
    ran = run("demo", "bent_weel")

    assert ExitCode.WRONG_INPUT == ran.code
    assert "there is no demo case 'bent_weel'; did you mean" in ran.err


def test_a_set_of_wheels_shows_its_sheet(run: Any):
    """What becomes of the four is common practice, no source; see `tests/session`."""
    ran = run("demo", "four_new_wheels")
    data = run("demo", "four_new_wheels", "--json").data

    assert ExitCode.FINE == ran.code
    assert "THIS SET IS INVENTED" in ran.out
    assert ["keep", "claim", "open", "keep"] == [each["fate"] for each in data["wheels"]]
