"""Every worked example in the help of a calculator runs and prints what it says it prints."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import pytest
from drives import drive_file

from vibecheck.calculators.calculator import Calculator, Example
from vibecheck.calculators.registry import CALCULATORS
from vibecheck.cli.calculator_commands import example_words

LOADED = [each.load() for each in CALCULATORS]
EXAMPLES = [(calculator, example) for calculator in LOADED for example in calculator.examples]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Any) -> Path:
    """A folder with the files that the examples name."""
    monkeypatch.chdir(tmp_path)
    drive_file(tmp_path / "drive.csv")
    assert 0 == run("new", "visit.yaml", "tire_size=205/55R16", "drive=front", rules=None).code
    return tmp_path


@pytest.mark.parametrize(
    ("calculator", "example"), EXAMPLES,
    ids=[f"{each.name}{place}" for place, (each, _) in enumerate(EXAMPLES)])
def test_the_example_prints_what_it_claims(
    run: Any, folder: Path, calculator: Calculator, example: Example
):
    words = shlex.split(" ".join(example_words(calculator, example)))
    ran = run(calculator.name, *words)
    printed = " ".join(ran.out.split())

    assert (0, True) == (ran.code, bool(example.prints)), ran.err
    for claim in example.prints:
        assert claim in printed
    if example.into:
        assert "saved" in ran.err


@pytest.mark.parametrize("calculator", LOADED, ids=[each.name for each in LOADED])
def test_the_help_holds_every_field_and_example(run: Any, calculator: Calculator):
    ran = run(calculator.name, "--help")
    printed = " ".join(ran.out.split())

    assert 0 == ran.code
    for example in calculator.examples:
        assert " ".join(example.says.split()) in printed
        assert all(claim in printed for claim in example.prints)


@pytest.mark.parametrize("name", [each.name for each in CALCULATORS])
def test_the_calculator_is_in_the_list_of_commands(run: Any, name: str):
    assert f"\n    {name:<9} " in run("--help").out
