"""Commands that look at the rules."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from vibecheck.cli.exitcodes import ExitCode


def test_check_counts_what_there_is(run: Any):
    ran = run("rules", "check")

    assert ExitCode.FINE == ran.code
    assert "2 causes, 5 findings, 2 checks" in ran.out
    assert "no faults" in ran.err


def test_findings_can_be_searched(run: Any):
    assert "wobble@CORNER=within|beyond|far_beyond" in run("findings").out
    assert "shake=" not in run("findings", "WOBB").out
    assert "no finding has 'zzz'" in run("findings", "zzz").err
    assert {"wobble"} == set(run("findings", "wobb", "--json").data)


def test_list(run: Any):
    assert "bent_hoop" in run("rules", "list").out
    assert "measure_wobble" in run("rules", "list", "checks", "wobble").out
    assert "look_at_wheel" not in run("rules", "list", "checks", "wobble").out
    assert ExitCode.WRONG_INPUT == run("rules", "list", "wheels").code


def test_graph(run: Any, visit: Path):
    drawn = run("rules", "graph").out
    assert drawn.startswith("digraph") and drawn.rstrip().endswith("}")
    assert 'rankdir=LR' in drawn and " -> " in drawn
    run("answer", visit, "wobble@LF=1.4 mm", "loose@LF=none", "loose@RF=none", "loose@LR=none",
        "loose@RR=none")
    live = run("rules", "graph", "--case", visit).out

    assert "bent_hoop" in live
    assert "stop_loose" not in live or "loose_wheel" in live
