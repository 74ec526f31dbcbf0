"""Tire diameters, turns per mile and Hz per speed against published figures."""

from __future__ import annotations

import math

import pytest

from vibecheck.metrology.orders.rotating_parts import Driveline, order_table
from vibecheck.metrology.orders.tire_size import parse_size, wheel_hz
from vibecheck.metrology.units.values import MILE_KM


@pytest.mark.parametrize(
    ("size", "diameter_in", "turns_per_mile"),
    [
        # A public tire size table, geometric turns per mile (read; printed to 0.1 in).
        ("185/65R15", 24.5, 824), ("195/65R15", 25.0, 808), ("205/55R16", 24.9, 812),
        ("205/60R16", 25.7, 786), ("215/60R16", 26.2, 773), ("225/45R17", 25.0, 808),
        ("225/65R17", 28.5, 709), ("235/45R18", 26.3, 767),
        # Owners' pages with a worked example (read).
        ("265/70R17", 31.6, 638.13), ("255/50R16", 26.04, 774.52),
    ],
)
def test_published_diameters(size: str, diameter_in: float, turns_per_mile: float) -> None:
    """Diameter to the printed digit, geometric turns per mile within 0.35 %."""
    found = parse_size(size)
    assert found.diameter_mm / 25.4 == pytest.approx(diameter_in, abs=0.051)
    geometric = MILE_KM * 1e6 / (math.pi * found.diameter_mm)
    assert geometric == pytest.approx(turns_per_mile, rel=0.0035)


def test_published_diameters_in_mm() -> None:
    """Two public size pages (read): 205/55R16 is 631.9 mm, 255/50R16 661.4 mm."""
    assert parse_size("205/55R16").diameter_mm == pytest.approx(631.9, abs=0.05)
    assert parse_size("255/50R16").diameter_mm == pytest.approx(661.4, abs=0.05)


def test_flotation_diameter_is_its_first_number() -> None:
    """31x10.50R15 is 31 in, 787.4 mm (trade convention; real tires often 30.5, from memory)."""
    assert parse_size("31x10.50R15").diameter_mm == pytest.approx(787.4)


@pytest.mark.parametrize(("size", "hz_per_5_mph"), [("P225/50R16", 1.17), ("P215/60R15", 1.14)])
def test_published_hz_per_speed(size: str, hz_per_5_mph: float) -> None:
    """A maker's service manual of 2000 (read) prints Hz per 5 mph for two sizes.

    The printed value must lie between those of the lowest and highest rolling circumference,
    give or take half of its last digit, and within 1 % of the usual one.
    """
    rolling = parse_size(size).rolling
    speed = 5.0 * MILE_KM
    low, high = wheel_hz(speed, rolling.high_m), wheel_hz(speed, rolling.low_m)
    assert low - 0.005 <= hz_per_5_mph <= high + 0.005
    assert wheel_hz(speed, rolling.circumference_m) == pytest.approx(hz_per_5_mph, rel=0.01)


def test_published_worked_example() -> None:
    """Same manual (read): P225/50R16 at 60 mph is 12 x 1.17 = 14.04 Hz; inside our uncertainty."""
    [line] = [
        line for line in order_table(60.0 * MILE_KM, parse_size("P225/50R16").rolling)
        if line.id == "wheel_1"
    ]
    assert abs(line.hz - 14.04) <= line.uncertainty_hz


def test_usual_ratio_is_the_average_rolling_loss() -> None:
    """ETRTO 3.05 x diameter (from memory) and 3.1 % less on average (an owners' page, read)."""
    size = parse_size("195/65R15")
    assert size.rolling.circumference_m == pytest.approx(3.05 * size.diameter_mm / 1e3, rel=1e-3)
    assert size.rolling.circumference_m == pytest.approx(
        0.969 * math.pi * size.diameter_mm / 1e3, rel=3e-3
    )


def test_first_order_of_a_tire_is_10_to_20_hz_at_road_speed() -> None:
    """A maker's manual of 1998 (read): first order of a tire is 10 to 20 Hz at highway speed."""
    for size in ("185/65R15", "225/45R17", "265/70R17"):
        for speed in (90.0, 120.0):
            assert 9.5 <= wheel_hz(speed, parse_size(size).rolling.circumference_m) <= 20.0


def test_driveshaft_first_order_is_axle_ratio_times_wheel() -> None:
    """From memory, high confidence; the 2nd order of a single universal joint is twice that."""
    table = {line.id: line.hz for line in order_table(
        100.0, parse_size("205/55R16").rolling, Driveline(axle_ratio=3.08, has_driveshaft=True)
    )}
    assert table["driveshaft_1"] == pytest.approx(3.08 * table["wheel_1"])
    assert table["driveshaft_2"] == pytest.approx(6.16 * table["wheel_1"])
