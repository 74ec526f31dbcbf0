"""Rides drawn at random from a population, with the truth beside each; all of it invented.

The draw holds what makes real records hard: a corner of any usual stiffness and damping, a phone
holder that rings, roads of three classes, potholes, gaps, a clock that jitters, a tire of any make
and wear, a speed that lags, a dash that reads high, a phone that leans and drifts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.orders.rotating_parts import Driveline, Part
from vibecheck.metrology.orders.tire_size import ROLLING_RATIO, Rolling
from vibecheck.metrology.record.load import Record
from vibecheck.metrology.record.scale import NEW_TREAD_MM, WORN_TREAD_MM
from vibecheck.virtual.quarter_car import QuarterCar
from vibecheck.virtual.ride import (
    Holder,
    Path,
    Pickup,
    Ride,
    Tone,
    Turner,
    Vehicle,
    level_of,
    ride_record,
)
from vibecheck.virtual.road import Pothole, RoadClass
from vibecheck.virtual.shake import Shake

Real = npt.NDArray[np.float64]

AROUND_M = 1.95
ROLLING = Rolling(AROUND_M, AROUND_M * 0.96 / ROLLING_RATIO, AROUND_M * 0.98 / ROLLING_RATIO)
DRIVELINE = Driveline(axle_ratio=3.73, cylinders=4, overall_ratio=2.6)
DASH_SHARE = (0.02, 0.08)  # a dash reads so much high; common practice, no source
GPS_LAG_S = (0.3, 2.0)  # a position sensor's speed comes so late; common practice, no source
DASH_LAG_S = (0.1, 0.7)  # and comes so late through the diagnostic plug; common practice, no source
SECONDS, RATES_HZ = (30.0, 600.0), (50.0, 100.0, 200.0, 400.0)  # of any record
LEG_S = 45.0  # a longer drive goes up and down about so often
LEVEL_KMH = 95.0  # speed at which a fault has its level


class Wrong(StrEnum):
    """What is wrong with the car."""

    NOTHING = "nothing"
    IMBALANCE = "imbalance"
    ECCENTRIC = "eccentric"
    OVAL = "oval"
    DRIVESHAFT = "driveshaft"


PART_OF: Mapping[Wrong, tuple[Part, float]] = {
    Wrong.IMBALANCE: (Part.WHEEL, 1.0), Wrong.ECCENTRIC: (Part.WHEEL, 1.0),
    Wrong.OVAL: (Part.WHEEL, 2.0), Wrong.DRIVESHAFT: (Part.DRIVESHAFT, 1.0),
}
_ORDER = {Wrong.IMBALANCE: 1.0, Wrong.ECCENTRIC: 1.0, Wrong.OVAL: 2.0, Wrong.DRIVESHAFT: 3.73}
_PATH = {Wrong.IMBALANCE: Path.WHEEL_FORCE, Wrong.ECCENTRIC: Path.TIRE_FOOT,
         Wrong.OVAL: Path.TIRE_FOOT, Wrong.DRIVESHAFT: Path.BODY}


@dataclass(frozen=True)
class Population:
    """What rides are drawn from.

    Attributes
    ----------
    wrong : what is wrong, and `level` the amplitude it has at the seat at 95 km/h [m/s2].
    swept : a sweep up, or up and down; else a held speed.
    dash : the speed is read off a dash, and typed if it is held; else a position sensor's.
    seconds, rate_hz : of the record; None for any from half a minute to ten, 50 to 400 a second.
    road : a class, or None for any.
    size_off : the tire differs from what was typed by up to this share.
    sensor_off : standard deviation of a position sensor's speed [share of 1].
    tones : whether something now and then hums at a fixed frequency.
    """

    wrong: Wrong = Wrong.NOTHING
    level: float = 0.1
    swept: bool = True
    dash: bool = False
    seconds: float | None = 60.0
    rate_hz: float | None = 100.0
    road: RoadClass | None = None
    size_off: float = 0.0
    sensor_off: float = 0.0
    tones: bool = False


@dataclass(frozen=True)
class _Settled(Population):
    """A population of rides of one length and one rate."""

    seconds: float = 60.0
    rate_hz: float = 100.0


@dataclass(frozen=True, eq=False)
class Drawn:
    """A ride as recorded, and the truth.

    Attributes
    ----------
    record : as loaded from a file.
    typed_kmh : the speed that was typed, or None where the record has one [km/h].
    scale : true scale of its orders, by `AROUND_M` and the speed shown [unitless].
    """

    record: Record
    typed_kmh: float | None
    scale: float


def drawn_ride(population: Population, rng: np.random.Generator) -> Drawn:
    """One ride of a population."""
    population = _settled(population, rng)
    car = QuarterCar(
        sprung_kg=rng.uniform(280.0, 420.0), unsprung_kg=rng.uniform(32.0, 50.0),
        tire_n_m=rng.uniform(1.8e5, 2.6e5), damper_ns_m=rng.uniform(900.0, 2000.0))
    around = _true_circumference(population, rng)
    ride = _driven(population, around, rng)
    share = rng.uniform(*DASH_SHARE) if population.dash else 0.0
    if population.sensor_off and not population.dash:
        share = rng.normal(0.0, population.sensor_off)
    pickup = _pickup(population, share, rng)
    tones: tuple[Tone, ...] = ()
    if population.tones and rng.uniform() < 0.3:
        tones = (Tone(rng.uniform(10.0, 40.0), 0.03),)
    vehicle = Vehicle(car, _turners(population, car, around, rng), tones)
    shake = ride_record(ride, vehicle, pickup, rng)
    typed = None
    scale = AROUND_M / around / (1.0 + share)
    if population.dash and not population.swept:
        typed = float(round(ride.speeds_kmh[0] * (1.0 + share)))
        scale *= float(shake.speed_ms.mean()) * 3.6 / typed
        shake = replace(shake, speed_ms=np.full(len(shake.time_s), np.nan))
    return Drawn(as_recorded(shake, pickup.rate_hz), typed, scale)


def as_recorded(shake: Shake, rate_hz: float) -> Record:
    """The record without the way through a file."""
    steps = np.diff(shake.time_s)
    wide = steps > 5.0 / rate_hz
    time_s = shake.time_s - shake.time_s[0]
    speed = None if np.isnan(shake.speed_ms).any() else _joined(time_s, shake.speed_ms)
    return Record(
        time_s=time_s, acceleration=shake.acceleration, speed_ms=speed,
        rate_hz=1.0 / float(steps[~wide].mean()), jitter_s=float(steps[~wide].std()),
        gaps=tuple((float(time_s[at]), float(time_s[at + 1])) for at in np.flatnonzero(wide)),
        gravity=np.median(shake.acceleration, axis=0), assumed=(), warnings=(),
        source="invented ride",
    )


def _joined(time_s: Real, speed: Real) -> Real:
    """A held speed as straight lines from update to update."""
    changed = np.flatnonzero(np.diff(speed) != 0.0) + 1
    if len(changed) == 0 or len(changed) > 0.5 * len(speed):
        return speed
    marks = np.unique(np.concatenate([[0], changed, [len(speed) - 1]]))
    return np.asarray(np.interp(time_s, time_s[marks], speed[marks]))


def _settled(population: Population, rng: np.random.Generator) -> _Settled:
    """The population with one length and one rate."""
    seconds, rate_hz = population.seconds, population.rate_hz
    if seconds is None:
        seconds = float(np.exp(rng.uniform(*np.log(SECONDS))))
    if rate_hz is None:
        rate_hz = float(rng.choice(RATES_HZ))
    return _Settled(**{**vars(population), "seconds": seconds, "rate_hz": rate_hz})


def _true_circumference(population: _Settled, rng: np.random.Generator) -> float:
    make = rng.uniform(0.96, 0.98) / ROLLING_RATIO
    worn_m = rng.uniform(0.0, NEW_TREAD_MM - WORN_TREAD_MM) / 1000.0
    off = rng.uniform(-population.size_off, population.size_off) if population.size_off else 0.0
    return (AROUND_M * make - 2.0 * math.pi * worn_m) * (1.0 + off)


def _driven(population: _Settled, around: float, rng: np.random.Generator) -> Ride:
    slow = rng.uniform(60.0, 85.0)
    fast = slow * rng.uniform(1.25, 1.5)
    speeds: tuple[float, ...] = (slow, fast, slow) if rng.uniform() < 0.7 else (slow, fast)
    if population.seconds > 2.0 * LEG_S:
        legs = round(population.seconds / LEG_S)
        speeds = tuple(float(each) for each in rng.uniform(slow, fast, legs + 1))
    if not population.swept:
        speeds = (rng.uniform(80.0, 115.0),)
    road = population.road or list(RoadClass)[int(rng.integers(3))]
    count = round(int(rng.integers(0, 4)) * population.seconds / 60.0)
    holes = tuple(Pothole(rng.uniform(0.0, 25.0 * population.seconds)) for _ in range(count))
    return Ride(population.seconds, speeds, around, road, 0.5, holes)


def _pickup(population: _Settled, share: float, rng: np.random.Generator) -> Pickup:
    holder = Holder(rng.uniform(6.0, 30.0), math.exp(rng.uniform(-3.5, -2.1)))
    gaps = ((0.3 * population.seconds, rng.uniform(0.2, 2.0)),)
    return Pickup(
        rate_hz=population.rate_hz, jitter=rng.uniform(0.0, 0.15),
        tilt_deg=(rng.uniform(-30.0, 30.0), rng.uniform(-30.0, 30.0)),
        gaps=gaps if rng.uniform() < 0.3 else (), holder=holder if rng.uniform() < 0.7 else None,
        speed_lag_s=rng.uniform(*(DASH_LAG_S if population.dash else GPS_LAG_S)),
        speed_share=share,
        speed_noise_ms=0.05,
    )


def _turners(
    population: _Settled, car: QuarterCar, around: float, rng: np.random.Generator
) -> tuple[Turner, ...]:
    if population.wrong is Wrong.NOTHING:
        return ()
    one = Turner(_ORDER[population.wrong], _PATH[population.wrong], 1.0,
                 phase_deg=rng.uniform(0.0, 360.0))
    size = population.level / level_of(one, LEVEL_KMH, around, car)
    return (replace(one, size=size),)
