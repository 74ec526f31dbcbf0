"""Places round a wheel: clock places, senses of turning, sides of the car."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.places import (
    CarSide,
    ClockPlace,
    Mark,
    PartTurn,
    Way,
    WheelPlace,
    WheelTurn,
    clock_place,
    clockwise_deg,
    rolled_forward,
    turning,
)
from vibecheck.metrology.runout.readings import from_readings
from vibecheck.metrology.vectors import Vector, difference, wrap
from vibecheck.virtual.dial import DrawnSurface

QUICK = settings(max_examples=60, derandomize=True, deadline=None)
angles = st.floats(-720.0, 720.0)


@pytest.mark.parametrize(
    ("angle", "hour", "half"),
    [(0.0, 12, False), (90.0, 3, False), (180.0, 6, False), (270.0, 9, False), (106.0, 3, True),
     (359.0, 12, False), (345.0, 11, True), (15.0, 12, True), (-90.0, 9, False)],
)
def test_clock_places(angle: float, hour: int, half: bool) -> None:
    """A clock face: 30 deg an hour, clockwise from the top."""
    assert clock_place(angle) == ClockPlace(hour, half)


@QUICK
@given(angles)
def test_a_clock_place_is_within_a_quarter_hour(angle: float) -> None:
    assert abs(difference(clock_place(angle).degrees, angle)) <= 7.5 + 1e-9


@QUICK
@given(angles)
def test_counting_twice_the_other_way_is_the_same_place(angle: float) -> None:
    once = clockwise_deg([angle], Way.COUNTERCLOCKWISE)
    [twice] = clockwise_deg(once, Way.COUNTERCLOCKWISE)
    assert abs(difference(twice, angle)) < 1e-9
    assert clockwise_deg([angle], Way.CLOCKWISE) == [wrap(angle)]
    assert Way.CLOCKWISE.opposite is Way.COUNTERCLOCKWISE
    assert Way.COUNTERCLOCKWISE.opposite is Way.CLOCKWISE


@pytest.mark.parametrize("turn", list(WheelTurn))
def test_the_high_spot_is_found_however_the_wheel_was_turned(turn: WheelTurn) -> None:
    """A wheel turned past a fixed gauge, worked out from where each place stands in the room."""
    surface, count = DrawnSurface(first=Vector(0.4, 106.0)), 24
    sense = {WheelTurn.CLOCKWISE: 1.0, WheelTurn.COUNTERCLOCKWISE: -1.0, WheelTurn.GAUGE_MOVED: 0.0}
    moved = np.arange(count) * 360.0 / count
    # In the room the gauge stands at 0 (or walks clockwise); a place p of the wheel that was
    # turned clockwise by a stands at p + a.
    at_gauge = moved if turn is WheelTurn.GAUGE_MOVED else 0.0 * moved
    under_tip = np.array([wrap(angle) for angle in at_gauge - sense[turn] * moved])
    readings = surface.at(under_tip)

    found = from_readings(list(readings), list(under_tip))
    assert found.harmonics[0].angle_deg == pytest.approx(106.0, abs=0.1)
    same = from_readings(list(readings), counted=turn.counts)
    assert same.harmonics[0].angle_deg == pytest.approx(106.0, abs=0.1)


def test_rolling_forward_by_side() -> None:
    """A car drives off to the left of whoever looks at its left side: its wheels turn
    counterclockwise there, and clockwise on the other side.
    """
    assert rolled_forward(CarSide.LEFT) is WheelTurn.COUNTERCLOCKWISE
    assert rolled_forward(CarSide.RIGHT) is WheelTurn.CLOCKWISE


def test_turns_are_told_the_short_way() -> None:
    assert turning(270.0, Mark.TIRE_MARK) == PartTurn(90.0, Way.COUNTERCLOCKWISE, Mark.TIRE_MARK)
    assert turning(90.0, Mark.VALVE_STEM) == PartTurn(90.0, Way.CLOCKWISE, Mark.VALVE_STEM)
    assert turning(180.0, Mark.MARKED_STUD).degrees == 180.0


def test_the_clock_place_of_an_arc() -> None:
    assert WheelPlace(106.0).clock == ClockPlace(3, True)
