"""Any text in any field of any calculator gives a result or one sentence, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from calculator_helpers import said
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.calculators.calculator import Calculator
from vibecheck.calculators.registry import CALCULATORS
from vibecheck.calculators.stack import split_clocking
from vibecheck.cli.calculator_commands import as_data
from vibecheck.errors import InputError

LOADED = [each.load() for each in CALCULATORS if not each.load().reads_file]
CASES = [(calculator, example.texts) for calculator in LOADED for example in calculator.examples]
HOSTILE = (
    "", " ", "0", "-1", "1e308", "1e-308", "nan", "inf", "1..2", "1,234", "1/0", "9" * 400,
    "[/bad]", "\x1b[31m", "\x00", "\u202e12", "½", "१२", "1 at", "at 1", "1 at 1 at 1",
    "1 @ nan", "0 at 0", "1e300 at 1e300", "; ; ;", "1;2;3", "mm", "1 mm 2 in", "°", "+/-",
    "1 +/- -1", "1 +/- 1e400", "0 0 0 0 0 0", "1 1 1 1 1 1 1 1", "-0", "999999999999", "third=",
    "=", "tire wheel hub", "tire tire", "205/55R16", "x" * 10_000,
)


def outcome(calculator: Calculator, texts: dict[str, str]) -> None:
    """Run; a result can be said and written as data, a complaint is one line."""
    try:
        result = calculator.run(texts)
    except InputError as error:
        assert "\n" not in str(error)
        assert str(error).isprintable()
        return
    assert said(calculator.name, result)
    as_data(result, ())
    for answer in calculator.answers_of(result, "x" if calculator.takes_surface else ""):
        assert answer.text


@pytest.mark.parametrize(("calculator", "texts"), CASES,
                         ids=[f"{each.name}{place}" for place, (each, _) in enumerate(CASES)])
@pytest.mark.parametrize("text", HOSTILE)
def test_one_hostile_field(calculator: Calculator, texts: dict[str, str], text: str) -> None:
    for field in calculator.fields:
        if field.name[-1:] in "45678":  # further ones of a group are read as the first are
            continue
        outcome(calculator, {**texts, field.name: text})


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_mounting(text: str) -> None:
    for whole in (text, f"tire {text}: 1 at 0"):
        try:
            split_clocking(whole, "clocking")
        except InputError as error:
            assert "\n" not in str(error)


@pytest.mark.parametrize("text", [text for text in HOSTILE if text not in ("", " ")])
def test_hostile_fields_of_a_record(sweep: Path, text: str) -> None:
    record = CALCULATORS[-1].load()
    for name in ("file", "forward", "engine_rpm"):
        outcome(record, {"file": str(sweep), "tire": "205/55R16", name: text})


@settings(max_examples=60, derandomize=True, deadline=None)
@given(text=st.text(max_size=40), place=st.integers(0, len(CASES) - 1), field=st.integers(0, 40))
def test_any_text_anywhere(text: str, place: int, field: int) -> None:
    calculator, texts = CASES[place]
    names = [each.name for each in calculator.fields]
    outcome(calculator, {**texts, names[field % len(names)]: text})
