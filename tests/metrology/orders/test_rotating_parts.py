"""Orders at a speed, and back from a frequency to the parts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import VehicleError
from vibecheck.metrology.orders.rotating_parts import (
    Driveline,
    OrderLine,
    Part,
    PartedBy,
    inseparable,
    order_table,
    parts_that_fit,
)
from vibecheck.metrology.orders.tire_size import Rolling, parse_size, wheel_hz

ROLLING = parse_size("205/55R16").rolling
REAR_DRIVE = Driveline(axle_ratio=3.46, has_driveshaft=True, cylinders=4, overall_ratio=3.46)


def by_id(table: tuple[OrderLine, ...]) -> dict[str, OrderLine]:
    """The table by the id of each line."""
    return {line.id: line for line in table}


def test_table_of_a_rear_driver() -> None:
    """Every line is its ratio times the wheel frequency."""
    table = by_id(order_table(100.0, ROLLING, REAR_DRIVE))
    wheel = wheel_hz(100.0, ROLLING.circumference_m)
    expected = {
        "wheel_1": 1.0, "wheel_2": 2.0, "wheel_3": 3.0,
        "driveshaft_1": 3.46, "driveshaft_2": 6.92,
        "half_shaft_joint_3": 3.0, "engine_crank_1": 3.46,
        "engine_firing_2": 6.92,
    }
    assert table.keys() == expected.keys()
    for name, ratio in expected.items():
        assert table[name].hz == pytest.approx(wheel * ratio)


def test_electric_car_has_no_engine() -> None:
    """An electric car has a motor by its reduction, and never an engine line."""
    car = Driveline(
        electric=True, motor_reduction=9.0, cylinders=4, overall_ratio=4.0, engine_rpm=2000.0
    )
    parts = {line.part for line in order_table(80.0, ROLLING, car)}
    assert Part.MOTOR in parts
    assert not parts & {Part.ENGINE_CRANK, Part.ENGINE_FIRING}


def test_front_driver_has_no_driveshaft_and_rigid_axle_no_joint() -> None:
    """A part that is said not to exist has no line."""
    front = order_table(80.0, ROLLING, Driveline(axle_ratio=4.1, has_driveshaft=False))
    assert Part.DRIVESHAFT not in {line.part for line in front}
    rigid = order_table(80.0, ROLLING, Driveline(axle_ratio=4.1, has_half_shafts=False))
    assert Part.HALF_SHAFT_JOINT not in {line.part for line in rigid}


def test_rev_counter_goes_before_the_ratio() -> None:
    """3000 r/min is 50 Hz; three cylinders fire 1.5 times a turn: 75 Hz; free of road speed."""
    car = Driveline(cylinders=3, overall_ratio=9.9, engine_rpm=3000.0)
    table = {line.part: line for line in order_table(60.0, ROLLING, car)}
    assert table[Part.ENGINE_CRANK].hz == pytest.approx(50.0)
    assert table[Part.ENGINE_FIRING].hz == pytest.approx(75.0)
    assert not table[Part.ENGINE_CRANK].geared


def test_uncertainty_joins_speed_and_tire() -> None:
    """At 100 km/h +/- 2 with a tire of +/- 1.2 % the wheel line has root(2^2 + 1.2^2) %."""
    line = by_id(order_table(100.0, ROLLING))["wheel_1"]
    relative = math.hypot(0.02, ROLLING.uncertainty_m / ROLLING.circumference_m)
    assert line.uncertainty_hz == pytest.approx(line.hz * relative)
    exact = order_table(100.0, Rolling(2.0, 2.0, 2.0), speed_uncertainty_kmh=0.0)
    assert all(entry.uncertainty_hz == 0.0 for entry in exact)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(speed=st.floats(30.0, 200.0), pick=st.integers(0, 7))
def test_an_order_fits_its_own_frequency(speed: float, pick: int) -> None:
    """The frequency of any line fits that line best or level with its equal."""
    table = order_table(speed, ROLLING, REAR_DRIVE)
    fits = parts_that_fit(table[pick].hz, 0.3, table)
    assert fits[0].fits
    assert fits[0].gap_hz == pytest.approx(0.0, abs=1e-9)
    assert table[pick].id in {fit.line.id for fit in fits if fit.fits}


def test_unfitting_frequency_fits_nothing() -> None:
    """Halfway between the 1st and 2nd order of the wheel no part fits."""
    table = order_table(100.0, ROLLING)
    wheel = wheel_hz(100.0, ROLLING.circumference_m)
    assert not any(fit.fits for fit in parts_that_fit(1.5 * wheel, 0.3, table))


def test_pairs_that_part_with_speed() -> None:
    """Driveshaft once (3.46) and wheel 3rd part, and at the stated speed they just do."""
    car = Driveline(axle_ratio=3.2, has_driveshaft=True, has_half_shafts=False)
    slow = 20.0
    pairs = inseparable(order_table(slow, ROLLING, car), slow, 0.5, ROLLING)
    [pair] = [pair for pair in pairs if pair.first.id == "wheel_3"
              and pair.second.id == "driveshaft_1"]
    assert pair.parts_at_kmh is not None and pair.parts_at_kmh > slow
    assert pair.parted_by is PartedBy.SPEED
    for speed, apart in ((pair.parts_at_kmh - 0.5, False), (pair.parts_at_kmh + 0.5, True)):
        names = {
            (found.first.id, found.second.id)
            for found in inseparable(order_table(speed, ROLLING, car), speed, 0.5, ROLLING)
        }
        assert (("wheel_3", "driveshaft_1") not in names) is apart


def test_joint_and_wheel_part_by_load_only() -> None:
    """The 3rd order of the wheel and of a half-shaft joint are one frequency at every speed."""
    pairs = inseparable(order_table(100.0, ROLLING), 100.0, 0.3, ROLLING)
    [pair] = [pair for pair in pairs if pair.gap_hz == pytest.approx(0.0, abs=1e-12)]
    assert {pair.first.part, pair.second.part} == {Part.WHEEL, Part.HALF_SHAFT_JOINT}
    assert pair.parts_at_kmh is None
    assert pair.parted_by is PartedBy.LOAD


def test_engine_and_driveshaft_part_in_another_gear() -> None:
    """In direct drive crank and driveshaft turn alike; fifth parts them, fourth does not."""
    table = order_table(90.0, ROLLING, REAR_DRIVE)
    gears = {"4th": 3.46, "5th": 2.8}
    pairs = inseparable(table, 90.0, 0.3, ROLLING, gears=gears)
    [pair] = [pair for pair in pairs if {pair.first.id, pair.second.id}
              == {"engine_crank_1", "driveshaft_1"}]
    assert pair.parting_gears == ("5th",)
    assert pair.parted_by is PartedBy.NAMED_GEAR
    unknown = inseparable(table, 90.0, 0.3, ROLLING)
    assert any(pair.parted_by is PartedBy.OTHER_GEAR for pair in unknown)


@pytest.mark.parametrize(
    ("speed", "spread", "car", "said"),
    [
        (0.0, 0.0, Driveline(), "a speed of 0 km/h"),
        (float("nan"), 0.0, Driveline(), "a speed of nan"),
        (900.0, 2.0, Driveline(), "a speed of 900"),
        (100.0, -1.0, Driveline(), "speed uncertainty"),
        (100.0, 200.0, Driveline(), "speed uncertainty"),
        (100.0, 2.0, Driveline(axle_ratio=-3.0), "axle ratio of -3"),
        (100.0, 2.0, Driveline(cylinders=99), "count of cylinders of 99"),
        (100.0, 2.0, Driveline(engine_rpm=1e6), "engine speed"),
        (100.0, 2.0, Driveline(overall_ratio=math.inf), "overall ratio of inf"),
        (100.0, 2.0, Driveline(motor_reduction=0.0), "motor reduction of 0"),
    ],
)
def test_impossible_vehicles(speed: float, spread: float, car: Driveline, said: str) -> None:
    """What no road vehicle has is refused."""
    with pytest.raises(VehicleError, match=said):
        order_table(speed, ROLLING, car, spread)


@pytest.mark.parametrize(("hz", "spread"), [(0.0, 0.1), (-3.0, 0.1), (math.nan, 0.1), (14.0, 0.0)])
def test_impossible_frequencies(hz: float, spread: float) -> None:
    """A frequency and its uncertainty are positive and finite."""
    with pytest.raises(VehicleError, match="cannot be"):
        parts_that_fit(hz, spread, order_table(100.0, ROLLING))
