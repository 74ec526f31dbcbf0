"""Facts and answers may stand before, between and after the options."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from cli_helpers import case_in

PARTS = (("--place", "counter"), ("--title", "X"), ("drive=rear",), ("cylinders=4",))


@pytest.mark.parametrize("order", list(permutations(PARTS)))
def test_new(run: Any, tmp_path: Path, order: tuple[tuple[str, ...], ...]):
    path = tmp_path / "visit.yaml"
    ran = run("new", path, *(word for part in order for word in part))
    case = case_in(path)

    assert 0 == ran.code, ran.err
    assert ("counter", "X", {"drive": "rear", "cylinders": "4"}) == (
        case.place, case.title, dict(case.facts))


@pytest.mark.parametrize("order", list(permutations(
    (("--by", "owner"), ("--place", "driveway"), ("shake=strong",), ("wobble@LF=0.3 mm",)))))
def test_answer(run: Any, visit: Path, order: tuple[tuple[str, ...], ...]):
    ran = run("answer", visit, *(word for part in order for word in part))
    entries = case_in(visit).entries

    assert 0 == ran.code, ran.err
    assert {("shake", "strong"), ("wobble", "0.3 mm")} == {
        (each.finding, each.value) for each in entries}
    assert {("owner", "driveway")} == {(each.by, each.place) for each in entries}


def test_the_case_may_come_last(run: Any, tmp_path: Path):
    """The first word that is no option is the case, wherever the options stand."""
    path = tmp_path / "visit.yaml"

    assert 0 == run("new", "--place", "driveway", path, "drive=rear").code
    assert "driveway" == case_in(path).place
