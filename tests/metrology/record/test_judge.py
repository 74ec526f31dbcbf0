"""Every order judged: on sound cars nothing is named, on faulty ones the part and no other.

Rides are drawn from `drawn_rides`: quarter cars on ISO 8608 roads A to C, a ringing phone holder,
potholes, gaps, jitter, tires of any make and wear, a lagging position sensor or a dash that reads 2
to 8 % high. With VIBECHECK_LONG=1 the populations are as large as their claims need; that takes
some 35 minutes on one idle core (0.05 to 0.3 s a ride, by length and rate).
"""

from __future__ import annotations

import os
from dataclasses import replace

import numpy as np
import pytest
from ride_helpers import judged, tallied

from vibecheck.metrology.orders.rotating_parts import Part
from vibecheck.metrology.record.car_orders import car_orders
from vibecheck.metrology.record.even import EvenRecord, Stretch
from vibecheck.metrology.record.judge import (
    JudgedOrder,
    OrderVerdict,
    PartOrder,
    RecordJudgement,
    SettledBy,
    judge,
)
from vibecheck.metrology.record.scale import ScaleState, SpeedSource
from vibecheck.virtual.drawn_rides import (
    AROUND_M,
    DRIVELINE,
    ROLLING,
    Drawn,
    Population,
    Wrong,
    drawn_ride,
)
from vibecheck.virtual.road import RoadClass

LONG = os.environ.get("VIBECHECK_LONG") == "1"
SOUND, FAULTY = (1000, 300) if LONG else (24, 12)
GPS, DASH = (car_orders(ROLLING, DRIVELINE, source)
             for source in (SpeedSource.GPS, SpeedSource.DASH))


SOUND_RIDES = {
    "swept": Population(),
    "swept, with something that hums": Population(tones=True),
    "held, speed typed from the dash": Population(swept=False, dash=True),
    "held, position sensor": Population(swept=False),
    "swept, 200 Hz, half a minute": Population(seconds=30.0, rate_hz=200.0),
    "swept, dash recorded": Population(dash=True),
    "swept, smooth road": Population(road=RoadClass.A),
    "swept, poor road": Population(road=RoadClass.C),
    "swept, 50 Hz": Population(rate_hz=50.0),
    "swept, 400 Hz": Population(rate_hz=400.0),
    "half a minute to ten, 50 to 400 Hz": Population(seconds=None, rate_hz=None, tones=True),
    "half a minute to ten, held": Population(seconds=None, rate_hz=None, swept=False),
}


@pytest.mark.parametrize("name", SOUND_RIDES)
def test_on_a_sound_car_nothing_is_named(name: str) -> None:
    found = tallied(SOUND_RIDES[name], SOUND, 101)

    assert found.wrong <= 0.01 * found.count
    if LONG:
        assert found.wrong_bound < 0.02


FAULTS = {
    "imbalance, road A": Population(Wrong.IMBALANCE, 0.1, road=RoadClass.A),
    "imbalance, road B": Population(Wrong.IMBALANCE, 0.15, road=RoadClass.B),
    "imbalance, road C": Population(Wrong.IMBALANCE, 0.3, road=RoadClass.C),
    "eccentric": Population(Wrong.ECCENTRIC, 0.1, road=RoadClass.A),
    "driveshaft": Population(Wrong.DRIVESHAFT, 0.1, rate_hz=200.0, road=RoadClass.B),
    "oval under a hump": Population(Wrong.OVAL, 0.1, road=RoadClass.A),
    "imbalance, held": Population(Wrong.IMBALANCE, 0.15, swept=False, dash=True,
                                  road=RoadClass.A),
    "imbalance, dash recorded": Population(Wrong.IMBALANCE, 0.1, dash=True, road=RoadClass.A),
    "imbalance, any record": Population(Wrong.IMBALANCE, 0.1, seconds=None, rate_hz=None,
                                        road=RoadClass.A),
}


@pytest.mark.parametrize("name", FAULTS)
def test_the_part_at_fault_is_named_and_no_other(name: str) -> None:
    """Levels that are felt: 0.1 m/s2 at the seat on a smooth road, seven times what half of alert
    people feel (0.015 m/s2, ISO 2631-1 annex C, from memory); more on rougher roads.
    """
    found = tallied(FAULTS[name], FAULTY, 202)

    assert found.right >= 0.9 * found.count - (0 if LONG else 1)
    assert found.wrong <= 0.01 * found.count


def one(wrong: Wrong, seed: int, **others: object) -> Drawn:
    population = replace(Population(wrong, 0.2, road=RoadClass.A), **others)  # type: ignore[arg-type]
    return drawn_ride(population, np.random.default_rng(seed))


def of(found: RecordJudgement, part: Part, order: float) -> JudgedOrder:
    return next(each for each in found.orders
                if (each.turning.part, each.turning.order) == (part, order))


def test_a_sweep_proves_and_a_steady_speed_only_fits() -> None:
    swept = of(judged(one(Wrong.IMBALANCE, 1), GPS), Part.WHEEL, 1.0)
    held = of(judged(one(Wrong.IMBALANCE, 1, swept=False), GPS), Part.WHEEL, 1.0)

    assert OrderVerdict.KEEPS_STEP is swept.verdict and swept.proof is None
    assert swept.line is not None and len(swept.line.bands_kmh) >= 2
    assert OrderVerdict.FITS is held.verdict and held.proof is SettledBy.SWEEP
    assert held.sweep_kmh is not None and held.seen_kmh is not None
    assert held.sweep_kmh[0] < held.seen_kmh[0] < held.sweep_kmh[1]


def humming(speed_kmh: np.ndarray, hertz: float) -> EvenRecord:
    """Something that hums at a fixed frequency, whatever the speed."""
    count = len(speed_kmh)
    values = np.random.default_rng(6).normal(0.0, 0.1, (count, 3))
    values[:, 2] += 0.2 * np.sin(2.0 * np.pi * hertz * np.arange(count) / 100.0)
    return EvenRecord(100.0, (Stretch(0.0, values, speed_kmh / 3.6),), True)


def test_a_fixed_hum_at_the_wheels_frequency_fits_but_is_never_proven() -> None:
    """A wheel of 1.95 m turns 14.25 times a second at 100 km/h."""
    steady = judge(humming(np.full(6000, 100.0), 14.25), AROUND_M, GPS.turning, GPS.prior)
    sweep = judge(humming(np.linspace(85.0, 115.0, 9000), 14.25), AROUND_M, GPS.turning,
                  GPS.prior)

    assert OrderVerdict.FITS is of(steady, Part.WHEEL, 1.0).verdict
    assert not any(each.named for each in sweep.orders)


def test_what_the_rate_cannot_show_is_unseen_and_never_absent() -> None:
    """Order 7.46 at 80 to 115 km/h is 85 to 122 Hz, above half of 100 a second."""
    found = judged(one(Wrong.NOTHING, 3, swept=False), GPS)

    second = of(found, Part.DRIVESHAFT, 2.0)
    assert OrderVerdict.UNSEEN is second.verdict and second.proof is SettledBy.FASTER_RATE
    assert np.isinf(second.limit_rms) and second.seen_kmh is None
    assert 0.45 * 100.0 * AROUND_M * 3.6 / 7.46 == pytest.approx(
        second.seen_to_kmh, rel=1e-3)


def test_a_part_that_would_have_been_seen_speaks_for_itself() -> None:
    """On a smooth road for two minutes every order within reach would have shown 0.05 m/s2."""
    found = judged(one(Wrong.NOTHING, 4, seconds=120.0), GPS)

    first = of(found, Part.WHEEL, 1.0)
    assert OrderVerdict.ABSENT is first.verdict
    assert first.limit_rms < 0.05


def test_a_rough_road_covers() -> None:
    found = judged(one(Wrong.NOTHING, 5, road=RoadClass.C, seconds=30.0), GPS)

    first = of(found, Part.WHEEL, 1.0)
    assert OrderVerdict.COVERED is first.verdict and first.proof is SettledBy.LONGER
    assert first.limit_rms > 0.05


def turning_at(orders: dict[float, float], seconds: int = 90) -> EvenRecord:
    """Lines at some orders of the wheel in a sweep up and down, nothing but numpy."""
    time_s = np.arange(seconds * 100) / 100.0
    speed = (75.0 + 35.0 * (1.0 - np.abs(2.0 * time_s / seconds - 1.0))) / 3.6
    turns = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 200.0)]) / AROUND_M
    values = np.random.default_rng(7).normal(0.0, 0.1, (len(time_s), 3))
    for order, size in orders.items():
        values[:, 2] += size * np.sin(2.0 * np.pi * order * turns)
    return EvenRecord(100.0, (Stretch(0.0, values, speed),), True)


def test_two_lines_six_percent_apart_are_not_both_the_wheels() -> None:
    """The wheel's first order says which of 2.06 and 1.94 could be its second: neither."""
    found = judge(turning_at({1.0: 0.1, 2.06: 0.1, 1.94: 0.1}), AROUND_M, GPS.turning, GPS.prior,
                  [1.0, 2.06, 1.94])

    assert OrderVerdict.KEEPS_STEP is of(found, Part.WHEEL, 1.0).verdict
    assert not of(found, Part.WHEEL, 2.0).named
    assert {1.94, 2.06} == {round(each.line.order, 2) for each in found.unlisted}


def test_all_orders_high_says_scale_off_and_still_names_the_part() -> None:
    """A new tire that rolls 3.2 % less than typed: every order stands 3.2 % high."""
    car = car_orders(ROLLING, DRIVELINE, SpeedSource.GPS, tread_mm=8.0)

    found = judge(turning_at({1.032: 0.1, 2.064: 0.05}), AROUND_M, car.turning, car.prior)

    assert ScaleState.SCALE_OFF is found.scale.state
    assert 1.032 == pytest.approx(found.scale.value, abs=0.002)
    assert found.scale.low <= 1.032 <= found.scale.high
    assert OrderVerdict.KEEPS_STEP is of(found, Part.WHEEL, 1.0).verdict
    assert OrderVerdict.KEEPS_STEP is of(found, Part.WHEEL, 2.0).verdict


def test_a_part_of_unknown_ratio_is_told_beside_the_one_that_fits() -> None:
    """An engine at 2.0 turns a wheel turn and a wheel's second order stand in one place."""
    unknown = ((Part.ENGINE_CRANK, 1.4, 5.0),)
    wheel = (PartOrder(Part.WHEEL, 1.0, 1.0), PartOrder(Part.WHEEL, 2.0, 2.0))

    found = judge(turning_at({2.01: 0.1}), AROUND_M, wheel, GPS.prior, unknown=unknown)

    second = of(found, Part.WHEEL, 2.0)
    assert (Part.ENGINE_CRANK,) == second.unknown
    assert SettledBy.OTHER_GEAR is second.proof


@pytest.mark.parametrize("lag", [0.5, 1.5, 2.5])
def test_the_lag_of_a_speed_is_found_and_taken_off(lag: float) -> None:
    """The speed of some time ago, shown beside a line that keeps step with the true one."""
    record = turning_at({1.0: 0.2})
    piece = record.stretches[0]
    time_s = np.arange(len(piece.acceleration)) / 100.0
    late = np.interp(time_s - lag, time_s, piece.speed_ms)
    shown = EvenRecord(100.0, (Stretch(0.0, piece.acceleration, late),), True)

    found = judge(shown, AROUND_M, GPS.turning, GPS.prior)

    assert found.lag.known and lag == pytest.approx(found.lag.seconds, abs=0.3)
    assert 1.0 == pytest.approx(found.scale.value, abs=0.003)
    assert OrderVerdict.KEEPS_STEP is of(found, Part.WHEEL, 1.0).verdict
