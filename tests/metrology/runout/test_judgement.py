"""What a runout proves, what leaves it open, and what would decide it: swept over drawn wheels.

`VIBECHECK_DRAWS` sets the draws of a cell: few in the test command, 2,000 in the long sweep.
"""

from __future__ import annotations

import os

import numpy as np
import pytest

from vibecheck.metrology.decision import Zone
from vibecheck.metrology.places import ClockPlace, Mark, Way
from vibecheck.metrology.runout.between import (
    CENTER_STEP_DEG,
    NARROWEST_DEG,
    farthest_tir,
    readings_that_see,
)
from vibecheck.metrology.runout.judgement import (
    DECIDED_BY,
    Decides,
    Open,
    judge_repeats,
    judge_runout,
)
from vibecheck.metrology.runout.reading_uncertainty import SETUP_SD_MM
from vibecheck.metrology.runout.readings import Runout, from_high_low, from_readings, from_tir
from vibecheck.metrology.runout.repeats import Repeat
from vibecheck.metrology.runout.slow_turn import with_slow_turn
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.dial import Dent, DrawnSurface, Gauge

DRAWS = int(os.environ.get("VIBECHECK_DRAWS", "40"))
LIMIT = 0.5  # mm; usual for aftermarket wheels (common practice, no source)


def places(count: int) -> np.ndarray:
    """Evenly round the turn [deg]."""
    return np.arange(count) * 360.0 / count


def gauge(rng: np.random.Generator, **faults: float) -> Gauge:
    """A usual gauge, set up afresh."""
    return Gauge(rng.uniform(0.003, 0.012), 0.01, SETUP_SD_MM, **faults)


def dented(rng: np.random.Generator, width: float, paired: bool) -> DrawnSurface:
    """A wheel beyond the limit by a dent (or bulge) somewhere."""
    while True:
        size = rng.uniform(0.4, 1.2)
        dent = Dent(rng.uniform(0.0, 360.0), width, size * float(rng.choice([-1.0, 1.0])),
                    size * rng.uniform(0.2, 1.0) if paired else 0.0)
        surface = DrawnSurface(
            first=Vector(rng.uniform(0.0, 0.12), rng.uniform(0.0, 360.0)),
            second=Vector(rng.uniform(0.0, 0.04), rng.uniform(0.0, 180.0)), dents=(dent,),
        )
        if surface.tir_mm > LIMIT:
            return surface


def sound(rng: np.random.Generator) -> DrawnSurface:
    """A wheel well within the limit."""
    return DrawnSurface(first=Vector(rng.uniform(0.02, 0.12), rng.uniform(0.0, 360.0)),
                        second=Vector(rng.uniform(0.0, 0.03), rng.uniform(0.0, 180.0)))


def read(surface: DrawnSurface, count: int, with_gauge: Gauge, rng: np.random.Generator) -> Runout:
    """One turn, not closed."""
    angles = places(count)
    return from_readings(list(with_gauge.turn(surface, angles, rng)[:-1]), list(angles))


@pytest.mark.parametrize("paired", [False, True])
@pytest.mark.parametrize("width", [12.0, 20.0, 36.0, 60.0])
def test_no_dent_hides_behind_within(width: float, paired: bool) -> None:
    """A wheel beyond the limit by a dent is called within in at most 5 % of draws at every cell."""
    rng = np.random.default_rng([int(width), paired])
    for count in (8, 12, 18, 24, 36, 48, 72) if DRAWS > 100 else (8, 18, 48):
        zones = [judge_runout(read(dented(rng, width, paired), count, gauge(rng), rng), LIMIT).zone
                 for _ in range(DRAWS)]
        assert zones.count(Zone.WITHIN) <= 0.05 * DRAWS, (count, width, paired)


@pytest.mark.parametrize("width", [12.0, 36.0])
def test_high_and_low_of_a_slow_turn_see_every_dent(width: float) -> None:
    """Never within with a dent, and sound wheels are proven sound."""
    rng = np.random.default_rng(3)
    bent = [judge_runout(from_high_low(*gauge(rng).high_and_low(dented(rng, width, True), rng)),
                         LIMIT).zone for _ in range(10 * DRAWS)]
    good = [judge_runout(from_high_low(*gauge(rng).high_and_low(sound(rng), rng)), LIMIT).zone
            for _ in range(10 * DRAWS)]
    assert bent.count(Zone.WITHIN) <= 0.05 * len(bent)
    assert good.count(Zone.WITHIN) > 0.95 * len(good) and Zone.BEYOND not in good


def test_sound_wheels_stay_open_until_the_slow_turn() -> None:
    """Few readings leave a sound wheel open for one reason, and a slow turn settles it."""
    rng = np.random.default_rng(4)
    for count in (8, 18, 36):
        surface, with_gauge = sound(rng), Gauge(0.005, 0.01)
        found = read(surface, count, with_gauge, rng)
        judged = judge_runout(found, LIMIT)
        assert judged.zone is Zone.UNDECIDED and judged.numbers.zone is Zone.WITHIN
        [point] = judged.open
        assert (point.why, point.decides) == (Open.BETWEEN_READINGS, Decides.HIGH_LOW_TURN)
        assert point.high_mm > LIMIT
        both = with_slow_turn(found, from_high_low(*with_gauge.high_and_low(surface, rng)))
        assert both.agree and both.runout.harmonics == found.harmonics
        assert judge_runout(both.runout, LIMIT).zone is Zone.WITHIN


def test_a_slow_turn_that_misses_what_readings_show_does_not_count() -> None:
    rng = np.random.default_rng(5)
    found = read(DrawnSurface(first=Vector(0.4, 20.0)), 18, Gauge(0.005, 0.01), rng)
    both = with_slow_turn(found, from_high_low(0.2, 0.0))
    assert not both.agree and both.runout is found and both.excess_mm > 0.5


def left_open(count: int, width_deg: float, spread_mm: float) -> float:
    """By how much a bend that wide may add to a flat wheel and not be seen [mm]."""
    flat = np.zeros(round(360.0 / CENTER_STEP_DEG))
    return farthest_tir(places(count), np.zeros(count), spread_mm, flat, width_deg)


def test_the_advised_number_of_readings_sees_what_it_claims() -> None:
    """With as many readings as advised, a bend of that width is never taken for within."""
    rng = np.random.default_rng(6)
    room, spread = 0.3, 0.01
    needed = {width: readings_that_see(width, room, spread) for width in (12.0, 30.0, 60.0)}
    assert needed[12.0] is not None and needed[12.0] > 60
    assert needed[12.0] > (needed[30.0] or 0) > (needed[60.0] or 0) > 8
    for width, count in needed.items():
        assert count is not None
        assert left_open(count, width, spread) <= room
        zones = [judge_runout(read(dented(rng, width, False), count, gauge(rng), rng), LIMIT).zone
                 for _ in range(DRAWS)]
        assert zones.count(Zone.WITHIN) <= 0.05 * DRAWS
    assert readings_that_see(NARROWEST_DEG, 0.001, spread) is None
    assert left_open(6, 120.0, spread) > room


@pytest.mark.parametrize(("width", "room", "spread"), [
    (12.0, 0.3, 0.01), (25.0, 0.05, 0.002), (45.0, 0.25, 0.01), (60.0, 1.2, 0.05), (20.0, 0.1, 0.0),
])
def test_no_fewer_readings_would_do(width: float, room: float, spread: float) -> None:
    """Against every number of readings tried in turn, with every shape at every place."""
    enough = (count for count in range(6, 181, 2) if left_open(count, width, spread) <= room)
    assert next(enough, None) == readings_that_see(width, room, spread)


def test_enough_readings_prove_a_sound_wheel() -> None:
    rng = np.random.default_rng(7)
    surface = DrawnSurface(first=Vector(0.05, 10.0))
    assert judge_runout(read(surface, 90, Gauge(0.005, 0.01), rng), LIMIT).zone is Zone.WITHIN


@pytest.mark.parametrize("readings", [[0.0] * 8, [0.1] * 36, [0.0, 0.01] * 6])
def test_a_still_pointer_proves_nothing(readings: list[float]) -> None:
    """Zeros of a gauge that never touches: open until the pointer was seen to move."""
    found = from_readings(readings)
    assert found.still and found.uncertainty_mm >= 2 * SETUP_SD_MM
    judged = judge_runout(found, LIMIT)
    assert judged.zone is Zone.UNDECIDED and judged.open[0].why is Open.STILL_POINTER
    assert judged.open[0].decides is Decides.LIFT_THE_TIP
    assert all(point.why is not Open.STILL_POINTER
               for point in judge_runout(found, LIMIT, contact_seen=True).open)


def test_a_still_pair_and_total() -> None:
    for found in (from_high_low(0.0, 0.0), from_tir(parse("0.00 mm", Quantity.LENGTH))):
        assert judge_runout(found, LIMIT).open[0].why is Open.STILL_POINTER
        assert judge_runout(found, LIMIT, contact_seen=True).zone is Zone.WITHIN


def test_a_still_pointer_repeats_no_reading() -> None:
    """Beside 0.05 mm of a pointer that moved, zeros all round are no second reading that agrees."""
    moved, still = from_tir(parse("0.05 mm", Quantity.LENGTH)), from_readings([0.0] * 24)
    for runouts in ((moved, still), (still, moved)):
        judged = judge_repeats(runouts, LIMIT)
        assert judged.repeats is not None and judged.repeats.repeat is Repeat.SINGLE
        assert judged.repeats.used == (runouts.index(moved),)
        assert judged.numbers.value == pytest.approx(moved.tir_mm)
    both = judge_repeats((moved, still), LIMIT, contact_seen=True)
    assert both.repeats is not None and both.repeats.used == (0, 1)


@pytest.mark.parametrize("count", [8, 12, 18, 36])
def test_a_lone_spike_condemns_no_wheel(count: int) -> None:
    """Weld of 0.5 mm at one reading: open until somebody has looked, with both values."""
    rng = np.random.default_rng(count)
    for _ in range(10):
        readings = gauge(rng).turn(sound(rng), places(count), rng)[:-1]
        place = int(rng.integers(count))
        readings[place] += 0.7
        judged = judge_runout(from_readings(list(readings)), LIMIT)
        spiked = next(point for point in judged.open if point.why is Open.SPIKE)
        assert judged.zone is Zone.UNDECIDED and spiked.decides is Decides.LOOK_AT_THE_SPOT
        assert spiked.places[0].angle_deg == pytest.approx(360.0 * place / count)
        assert spiked.low_mm < LIMIT < spiked.high_mm


def test_a_bent_wheel_with_a_spike_is_beyond_either_way() -> None:
    rng = np.random.default_rng(8)
    readings = Gauge(0.005, 0.01).turn(DrawnSurface(first=Vector(0.5, 40.0)), places(24), rng)[:-1]
    readings[3] += 0.8
    assert judge_runout(from_readings(list(readings)), LIMIT).zone is Zone.BEYOND


def test_a_pointer_past_its_zero() -> None:
    """0.98, 0.99, 0.02 on a dial of 1 mm a turn is 0.04 mm or 1 mm."""
    readings = [0.95, 0.97, 0.99, 0.02, 0.04, 0.03, 0.01, 0.99, 0.97, 0.95, 0.94, 0.94]
    found = from_readings(readings)
    assert found.zero is not None and found.zero.dial_mm == 1.0
    assert found.zero.tir_mm == pytest.approx(0.10)
    judged = judge_runout(found, LIMIT)
    assert judged.zone is Zone.UNDECIDED
    point = next(each for each in judged.open if each.why is Open.PASSED_ZERO)
    assert point.decides is Decides.COUNT_THE_TURNS
    assert (point.low_mm, point.high_mm) == pytest.approx((0.10, 0.98))
    pair = from_high_low(0.99, 0.02)
    assert pair.zero is not None and pair.zero.tir_mm == pytest.approx(0.03)
    assert judge_runout(pair, LIMIT).zone is Zone.UNDECIDED


def test_real_runouts_do_not_pass_a_zero() -> None:
    """Eccentric, oval and dented wheels read from any zero: never taken for a passage."""
    rng = np.random.default_rng(9)
    for _ in range(3 * DRAWS):
        surface = DrawnSurface(first=Vector(rng.uniform(0.1, 0.6), rng.uniform(0.0, 360.0)),
                               second=Vector(rng.uniform(0.0, 0.2), 30.0))
        readings = Gauge(0.006, 0.01).turn(surface, places(int(rng.integers(8, 37))), rng)[:-1]
        assert from_readings(list(readings - readings.min())).zero is None


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("count", [12, 24])
def test_coverage_with_a_creeping_gauge(count: int, closed: bool) -> None:
    """0.04 mm a turn: the interval holds the truth 93 to 99 times in 100."""
    rng = np.random.default_rng([count, closed])
    hits, angles = 0, places(count)
    draws = max(300, DRAWS)
    for _ in range(draws):
        surface = DrawnSurface(first=Vector(rng.uniform(0.05, 0.5), rng.uniform(0.0, 360.0)),
                               second=Vector(rng.uniform(0.0, 0.08), rng.uniform(0.0, 180.0)))
        readings = gauge(rng, drift_mm=0.04).turn(surface, angles, rng)
        found = from_readings(
            list(readings if closed else readings[:-1]),
            [*angles, 360.0] if closed else list(angles),
        )
        assert found.count == count and (found.drift is not None) is closed
        hits += abs(found.tir_mm - surface.tir_mm) <= found.uncertainty_mm
    assert 0.93 <= hits / draws <= 0.995


@pytest.mark.parametrize("count", [12, 24])
def test_coverage_with_readings_that_stray_together(count: int) -> None:
    """Each reading resembles the last by 0.7, 0.02 mm of scatter."""
    rng = np.random.default_rng(count)
    hits, angles, draws = 0, places(count), max(300, DRAWS)
    for _ in range(draws):
        surface = DrawnSurface(first=Vector(rng.uniform(0.05, 0.5), rng.uniform(0.0, 360.0)))
        readings = Gauge(0.02, 0.01, SETUP_SD_MM, 0.0, 0.7).turn(surface, angles, rng)[:-1]
        found = from_readings(list(readings))
        hits += abs(found.tir_mm - surface.tir_mm) <= found.uncertainty_mm
    assert 0.93 <= hits / draws <= 0.995


def test_the_closing_reading_is_used() -> None:
    """An even creep of 0.12 mm comes off whole; a slip leaves the surface open near the limit."""
    angles = places(12)
    true = 0.1 * np.cos(np.deg2rad(angles))
    creep = 0.12 * np.arange(13) / 12
    readings = np.append(true, true[0]) + creep
    for found in (from_readings(list(readings), [*angles, 360.0]),
                  from_readings(list(readings), [*angles, 0.0]),
                  from_readings(list(readings), closed=True)):
        assert found.tir_mm == pytest.approx(0.2)
        assert found.harmonics[0].amplitude_mm == pytest.approx(0.1)
        assert found.drift is not None and found.drift.closing_mm == pytest.approx(0.12)
        assert found.drift.slipped
    slip = np.append(4.0 * true, 4.0 * true[0]) + np.where(np.arange(13) > 5, 0.3, 0.0)
    judged = judge_runout(from_readings(list(slip), closed=True), 0.9)
    assert judged.zone is Zone.UNDECIDED and Open.SLIPPED in [p.why for p in judged.open]


def test_every_reason_says_what_decides_it() -> None:
    assert set(DECIDED_BY) == set(Open) - {Open.UNCERTAINTY}
    judged = judge_runout(from_tir(parse("0.49 mm", Quantity.LENGTH)), LIMIT)
    [point] = judged.open
    assert point.why is Open.UNCERTAINTY and point.decides is Decides.FINER
    near = judge_runout(from_tir(parse("0.46 mm", Quantity.LENGTH)), LIMIT)
    assert near.open[0].decides is Decides.REPEAT and (near.open[0].repeats or 0) >= 2


def test_the_bend_is_a_place_to_chalk() -> None:
    """Middle at 106 deg is half past 3 seen from outside; a list counted the other way mirrors."""
    rng = np.random.default_rng(10)
    surface = DrawnSurface(dents=(Dent(106.0, 50.0, 0.8, 0.5),))
    readings = list(Gauge(0.004, 0.01).turn(surface, places(36), rng)[:-1])
    place = from_readings(readings, mark=Mark.VALVE_STEM).bend_place
    other = from_readings(readings, counted=Way.COUNTERCLOCKWISE).bend_place
    assert place is not None and other is not None
    assert place.angle_deg == pytest.approx(106.0, abs=6.0)
    assert place.clock == ClockPlace(3, True) and place.mark is Mark.VALVE_STEM
    assert place.angle_deg + other.angle_deg == pytest.approx(360.0, abs=2.5)
    assert 30.0 <= place.width_deg <= 70.0
