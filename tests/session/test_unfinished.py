"""What is kept over a closed terminal, and what a file that was tampered with does: nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.calculators.reading_sheet import RoundSheet
from vibecheck.metrology.units.choice import US, Units
from vibecheck.session.unfinished import (
    LARGEST,
    MOST,
    Unfinished,
    gathered,
    read_unfinished,
    write_unfinished,
)

NAME = "unfinished.json"


def sheet(*texts: str) -> RoundSheet:
    made = RoundSheet(8)
    for text in texts:
        made.put(text)
    return made


def test_all_comes_back(tmp_path: Path) -> None:
    typed = sheet("0", ".05", "odd [red]text")
    state = gathered(US, True, {"match/c1/LF": {"carrier": "0.6 at 9", "x": " "}},
                     {"c1/LF/bead_radial_inboard": typed})

    assert write_unfinished(tmp_path / "new" / "folder" / NAME, state)
    again = read_unfinished(tmp_path / "new" / "folder" / NAME)

    assert again == state
    assert again.units == US and again.light
    assert again.drafts == {"match/c1/LF": {"carrier": "0.6 at 9"}}
    [back] = again.round_sheets().values()
    assert (back.texts, back.at, back.count) == (typed.texts, typed.at, 8)
    assert not list((tmp_path / "new" / "folder").glob("*.part"))


def test_examples_empty_fields_and_cases_in_memory_are_left_out() -> None:
    example = RoundSheet()
    example.invent()

    state = gathered(
        Units(), False,
        {"match/c1/": {"carrier": ""}, "stack/demo/LF": {"read1": "1 mm at 2"}},
        {"c1//a": example, "c1//b": RoundSheet(), "demo/LF/c": sheet("1")}, frozenset({"demo"}))

    assert state == Unfinished()


def test_the_oldest_goes_where_there_is_too_much() -> None:
    drafts = {f"match/c{number}/": {"carrier": str(number)} for number in range(MOST + 5)}

    kept = gathered(Units(), False, drafts, {}).drafts

    assert list(kept) == list(drafts)[5:]


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"\xff\xfe", b'{"version": 9}', b'{"drafts": 3}', b'{"other": 1}',
     b'{"sheets": {"a": {"count": "x", "at": 0, "texts": []}}}', b"[" * 100_000,
     b'{"length": "' + b"x" * LARGEST + b'"}'],
)
def test_a_damaged_file_is_as_none(tmp_path: Path, content: bytes) -> None:
    (tmp_path / NAME).write_bytes(content)

    assert read_unfinished(tmp_path / NAME) == Unfinished()


def test_values_that_cannot_be_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / NAME).write_text(
        '{"length": "ell", "speed": "knots", "sheets": {"a": {"count": 9999999, "at": 0, '
        '"texts": ["1"]}, "b": {"count": 8, "at": 99, "texts": ["1", "2"]}}}')

    found = read_unfinished(tmp_path / NAME)

    assert found.units == Units()
    assert {key: each.at for key, each in found.round_sheets().items()} == {"b": 7}


def test_a_folder_that_cannot_be_written_is_no_harm(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")

    assert not write_unfinished(tmp_path / "file" / NAME, Unfinished(light=True))
    assert not write_unfinished(
        tmp_path / NAME, Unfinished(drafts={"a": {"b": "x" * (LARGEST + 1)}}))
    assert read_unfinished(tmp_path / "file" / NAME) == Unfinished()
