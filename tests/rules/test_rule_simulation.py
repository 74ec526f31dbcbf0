"""Simulated visits find the checks that nobody ever asks for."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.main import main
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.session.rule_simulation import simulate

SMALL = Path(__file__).parents[1] / "knowledge" / "small_rules"
DEAR = """checks:
  - id: rebuild_the_car
    name: Rebuild the car
    kind: measurement
    scope: corner
    access: wheel_off
    places: [bay]
    minutes: 600
    steps: [Rebuild it.]
    yields: [wobble]
    ask_after: [measure_wobble]
    source: [made_up]
"""


def test_a_check_that_tells_what_a_cheaper_one_told_is_never_asked(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(DEAR, encoding="utf-8")
    tally = simulate(load(SMALL, [tmp_path]))

    assert "rebuild_the_car" in tally.never
    assert "measure_wobble" not in tally.never
    assert 2 == tally.visits
    assert tally.steps == sum(tally.asked.values()) > 0


def test_the_same_seed_gives_the_same_tally() -> None:
    library = load(SMALL)

    assert simulate(library, seed=3) == simulate(library, seed=3)


def test_visits_of_the_rules_ask_for_safety_and_for_what_proves(library: Library) -> None:
    tally = simulate(library, ["rotor_thickness_varies", "loose_nuts"])

    assert {"ask_danger", "walk_round"} <= set(tally.asked)
    assert {"ask_danger", "walk_round"}.isdisjoint(tally.never)
    assert tally.steps >= 6


def test_the_command_names_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in SMALL.glob("*.yaml"):
        (tmp_path / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "own.yaml").write_text(DEAR, encoding="utf-8")
    code = main(["rules", "check", "--simulate", "--rules", str(tmp_path)])
    said = capsys.readouterr()

    assert ExitCode.FINE == code
    assert "own.yaml:2: check rebuild_the_car: none of 2 simulated visits asked for it" in said.out
    assert "2 simulated visits asked for" in said.err
