"""Every worked example in the help of a bench runs and prints what it says it prints."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import pytest
from bench_drives import drive_file

from vibecheck.cli import (
    bench_balance,
    bench_match,
    bench_orders,
    bench_record,
    bench_runout,
    bench_stack,
)

BENCHES = {
    "runout": bench_runout, "stack": bench_stack, "match": bench_match,
    "balance": bench_balance, "orders": bench_orders, "record": bench_record,
}


def examples() -> list[tuple[str, tuple[str, ...]]]:
    """Each command with the lines it claims to print."""
    found = []
    for bench in BENCHES.values():
        for block in bench.EXAMPLE.replace("\\\n", "").split("\n\n"):
            command, *rest = block.split("\n")
            claims = tuple(line.strip() for line in rest if line.startswith("    "))
            found.append((command.strip(), claims))
    return found


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Any) -> Path:
    """A folder with the files that the examples name."""
    monkeypatch.chdir(tmp_path)
    drive_file(tmp_path / "drive.csv")
    assert 0 == run("new", "visit.yaml", "tire_size=205/55R16", "drive=front", rules=None).code
    return tmp_path


@pytest.mark.parametrize(("command", "claims"), examples())
def test_the_example_prints_what_it_claims(
    run: Any, folder: Path, command: str, claims: tuple[str, ...]
):
    program, *arguments = shlex.split(command)
    ran = run(*arguments)
    printed = " ".join(ran.out.split())

    assert ("vibecheck", 0, True) == (program, ran.code, bool(claims)), ran.err
    for claim in claims:
        assert claim in printed
    if "--into" in arguments:
        assert "saved" in ran.err


@pytest.mark.parametrize("name", BENCHES)
def test_the_help_holds_the_example(run: Any, name: str):
    ran = run(name, "--help")

    assert 0 == ran.code
    assert f"example:\n{BENCHES[name].EXAMPLE}" in ran.out


@pytest.mark.parametrize("name", BENCHES)
def test_the_bench_is_in_the_list_of_commands(run: Any, name: str):
    assert f"\n    {name:<9} " in run("--help").out
