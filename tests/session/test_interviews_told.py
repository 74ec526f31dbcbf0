"""Interviews from the first sentence on: nothing asked twice, the deciding splits, an end.

The visits are those of docs/interviews.md, answered by what is likeliest with the fault that is
truly there. A few of them run here; all with `VIBECHECK_ALL_INTERVIEWS=1`.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from vibecheck.casebook.case import PlaceName
from vibecheck.session.ending import EndingKind

ROOT = Path(__file__).resolve().parents[2]
ALL = bool(os.environ.get("VIBECHECK_ALL_INTERVIEWS"))
FEW = (5, 7, 11)  # idle, a start after standing, a bulge: short interviews


def _maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "make_interviews", ROOT / "docs" / "make_interviews.py"
    )
    assert spec is not None and spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made  # a dataclass looks its own module up
    spec.loader.exec_module(made)
    return made


maker = _maker()
CHOSEN = range(len(maker.VISITS)) if ALL else FEW
# By kind of complaint, what decides it (common practice, no source).
SPLITS: dict[str, list[tuple[str, ...]]] = {
    "braking": [("felt_in_steering_wheel", "felt_in_pedal", "felt_in_seat"),
                ("changes_with_warmth", "hot_brakes")],
    "noise": [("hum", "clunk", "rattle", "thump"), ("in_turns", "hum_with_load")],
    "pulling": [("moving_off", "under_acceleration", "at_light_throttle")],
    "standing": [("changes_in_neutral_standing",)],
}


@pytest.mark.parametrize("number", CHOSEN)
@pytest.mark.parametrize("place", maker.PLACES)
def test_an_interview_holds_to_its_laws(number: int, place: PlaceName) -> None:
    made = maker.told(maker.VISITS[number], place)
    found = made.opened.diagnosis
    times = Counter(spot for spot, _ in made.asked)
    known = {answer.finding: answer.value for answer in found.answers}

    again = {each.spot for each in found.readings}  # a reading is repeated before parts
    assert not [spot for spot, count in times.items() if count > 1 and spot not in again]
    assert made.heard, "the sentence told nothing"
    assert not set(made.heard) & set(times)
    if place != "bay":
        assert made.ended is not None
        assert made.end.kind is not EndingKind.GO_ON
    if place == "counter" and not found.stopped:
        for split in SPLITS.get(known.get("complaint_kind", ""), []):
            assert set(split) & set(known), f"none of {split} was told or asked"


@pytest.mark.parametrize("number", CHOSEN)
def test_the_page_of_docs_is_current(number: int) -> None:
    now = maker.PAGE.read_text(encoding="utf-8")

    assert maker.section(maker.VISITS[number]) in now, "run: python docs/make_interviews.py"
    assert now.startswith(maker.HEAD)
    assert now.count("\n## ") == len(maker.VISITS)
