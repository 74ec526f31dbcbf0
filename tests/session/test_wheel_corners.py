"""The same table for a car: what is read goes into its case as findings at the corners."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.calculators.wheel_row import slow_turn
from vibecheck.metrology.runout.wheel_verdict import Surface, Verdict
from vibecheck.session.driving import DriveWord
from vibecheck.session.open_case import OpenCase
from vibecheck.session.wheel import wheel_so_far
from vibecheck.session.wheel_corners import CornerWheels
from vibecheck.session.wheel_table import Fate, Look

AT = Surface.INBOARD_RADIAL


@pytest.fixture
def wheels(tmp_path: Path) -> CornerWheels:
    return CornerWheels(OpenCase.new(tmp_path / "car.yaml", place="bay"), "0.01 mm")


def read(wheels: CornerWheels, key: str, text: str) -> None:
    wheels.take(key, {each: slow_turn(text, wheels.dial, wheels.limit_mm(each))
                      for each in Surface})


def test_readings_and_looks_stand_at_their_corner(wheels: CornerWheels) -> None:
    read(wheels, "RR", "14")
    wheels.see("RR", Look.CLEAN)
    said = {(entry.finding, entry.corner, entry.value.partition(" +/-")[0])
            for entry in OpenCase.open(wheels.path).case.entries}

    assert ("bead_radial_inboard", "RR", "0.14 mm") in said
    assert ("wheel_crack", "RR", "no") in said
    assert Fate.KEEP is wheels.table.row("RR").fate
    assert not wheels.table.row("LF").read


def test_the_wheel_of_the_case_and_of_the_table_are_judged_alike(wheels: CornerWheels) -> None:
    read(wheels, "LF", "119")
    read(wheels, "LF", "121")
    result = wheel_so_far(wheels.opened, "LF")

    assert result is not None and Verdict.OUT_OF_TOLERANCE is result.verdict
    assert wheels.table.row("LF").result == result


def test_a_crack_seen_here_stops_the_car(wheels: CornerWheels) -> None:
    """49 CFR 570.10(a): a cracked wheel is rejected; the word on driving is that of the case."""
    wheels.see("LF", Look.CRACKED)

    assert DriveWord.STOP is wheels.opened.diagnosis.driving.word
    assert Fate.SCRAP is wheels.table.row("LF").fate


def test_undo_takes_back_all_of_a_row(wheels: CornerWheels) -> None:
    read(wheels, "LF", "14")
    read(wheels, "LR", "15")
    assert wheels.undo()

    assert not wheels.table.row("LR").read
    assert 4 == len(wheels.table.row("LF").read)
    assert wheels.undo() and not wheels.table.row("LF").read
    assert not wheels.undo()


def test_new_and_shipped_are_what_the_case_says(wheels: CornerWheels) -> None:
    wheels.opened.answer(["new_wheels=yes", "wheel_shipped=yes"])
    wheels.see("LF", Look.DENT)
    wheels.opened.answer(["new_wheels=no"])

    assert Fate.REPAIR_SHOP is wheels.table.row("LF").fate
