"""Forward model of a ride on a real road: what a phone in its holder records, for tests and proof.

Four quarter cars stand on two tracks of an ISO 8608 road, the rear wheels behind the front ones by
the wheelbase. What turns acts where it turns: an imbalance as a force m r omega^2 on the wheel, a
wheel that is out of round as a motion of its tire's foot, a shaft as an acceleration of the body.
Body and holder answer as linear systems, worked out over frequency, so that strength and phase
through a resonance follow from the equations also while the speed changes. How much of each
direction reaches the phone is invented: a record made by this module is invented data.

References
----------
1. J. P. den Hartog, Mechanical Vibrations, chapter 2: a mass on a spring whose foot moves.
2. ISO 8608:2016, see `road`.
3. UN ECE Regulation 39, Speedometer equipment, 5.3: never shows less than the true speed V2, and
   at most V2 / 10 + 4 km/h more (from memory, high confidence).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.record.regrid import fast_length
from vibecheck.virtual.quarter_car import QuarterCar
from vibecheck.virtual.road import STEP_M, Pothole, RoadClass, profile, with_potholes
from vibecheck.virtual.shake import GRAVITY, Shake, tilt

Real = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

FINE_HZ = 800.0  # at least so many steps a second inside the model
PAD_S = 2.0  # s after the ride, so that its end does not ring into its start
WHEELBASE_M = 2.7
FRONT_SHARE = 0.6  # of the front axle in what a phone at the front seats feels, invented
ROLL_SHARE, PITCH_SHARE = 0.5, 0.3  # sideways and lengthwise motion of the phone, invented
WOBBLE_HZ = 0.15  # how fast a foot wanders about a speed it holds, invented


class Path(StrEnum):
    """Where a fault acts."""

    WHEEL_FORCE = "wheel force"  # [kg m], times omega squared
    TIRE_FOOT = "tire foot"  # [m]
    BODY = "body"  # [m/s2]


@dataclass(frozen=True)
class Turner:
    """Something that turns and shakes.

    Attributes
    ----------
    order : shakes in one wheel turn [unitless].
    path : where it acts.
    size : amplitude [kg m, m or m/s2, by the path].
    front : whether at the front axle (not for the body).
    phase_deg : where it starts [deg].
    """

    order: float
    path: Path
    size: float
    front: bool = True
    phase_deg: float = 0.0


@dataclass(frozen=True)
class Tone:
    """Something that keeps its frequency whatever the speed: frequency [Hz], amplitude [m/s2]."""

    hertz: float
    size: float


@dataclass(frozen=True)
class Holder:
    """What holds the phone: its resonance [Hz] and damping ratio [unitless]."""

    hertz: float
    damping: float


@dataclass(frozen=True)
class Ride:
    """How the car is driven, and on what.

    Attributes
    ----------
    seconds : length [s].
    speeds_kmh : speed at evenly spaced times from start to end, straight lines between [km/h].
    circumference_m : how far its tires really roll in a turn [m].
    road : class.
    wobble_kmh : standard deviation of the speed about that [km/h].
    potholes : in the left track.
    """

    seconds: float = 60.0
    speeds_kmh: tuple[float, ...] = (100.0,)
    circumference_m: float = 1.95
    road: RoadClass = RoadClass.A
    wobble_kmh: float = 0.0
    potholes: tuple[Pothole, ...] = ()


@dataclass(frozen=True)
class Pickup:
    """How the phone records.

    Attributes
    ----------
    rate_hz : samples a second.
    jitter : standard deviation of a stamp [share of the step].
    noise : of the sensor [m/s2].
    drift : of its zero over the ride [m/s2].
    tilt_deg : how far it leans forward and sideways [deg].
    gaps : start and length of stretches without samples [s].
    holder : what it sits in, or None.
    speed_step_s : the speed shown is updated so often [s]; 0 for every sample.
    speed_lag_s : the speed shown is that of so long ago [s].
    speed_share : the speed shown is high by this share [unitless].
    speed_noise_ms : standard deviation of each update [m/s].
    """

    rate_hz: float = 100.0
    jitter: float = 0.1
    noise: float = 0.02
    drift: float = 0.05
    tilt_deg: tuple[float, float] = (20.0, -8.0)
    gaps: tuple[tuple[float, float], ...] = ()
    holder: Holder | None = None
    speed_step_s: float = 1.0
    speed_lag_s: float = 0.0
    speed_share: float = 0.0
    speed_noise_ms: float = 0.0


@dataclass(frozen=True)
class Vehicle:
    """The car: its corners, what is wrong with it, and what shakes without being a fault."""

    corner: QuarterCar = field(default_factory=QuarterCar)
    turners: tuple[Turner, ...] = ()
    tones: tuple[Tone, ...] = ()


@dataclass(frozen=True, eq=False)
class _Course:
    """The fine grid: (n,) time [s], speed [m/s] and way [m]."""

    time_s: Real
    speed_ms: Real
    way_m: Real


def ride_record(
    ride: Ride, vehicle: Vehicle, pickup: Pickup, rng: np.random.Generator
) -> Shake:
    """What the phone records on this ride: stamps, acceleration, speed shown."""
    course = _course(ride, pickup, rng)
    motion = _motion(ride, vehicle, pickup, course, rng)
    count = round(ride.seconds * pickup.rate_hz)
    stamps = (np.arange(count) + rng.standard_normal(count) * pickup.jitter) / pickup.rate_hz
    stamps = np.maximum.accumulate(np.maximum(stamps, 0.0)) + np.arange(count) * 1e-6
    seen = np.stack([np.interp(stamps, course.time_s, axis) for axis in motion.T], axis=1)
    seen[:, 0] += np.interp(stamps, course.time_s, np.gradient(course.speed_ms, course.time_s))
    seen[:, 2] += GRAVITY
    seen = seen @ tilt(*pickup.tilt_deg).T
    seen += rng.standard_normal((count, 3)) * pickup.noise
    seen += rng.standard_normal(3) * pickup.drift * (stamps / ride.seconds)[:, None]
    keep = np.ones(count, dtype=bool)
    for start, length in pickup.gaps:
        keep &= (stamps < start) | (stamps >= start + length)
    return Shake(stamps[keep], seen[keep], _shown(course, pickup, stamps, rng)[keep])


def level_of(
    turner: Turner, kmh: float, circumference_m: float, corner: QuarterCar | None = None
) -> float:
    """Amplitude [m/s2] up and down that the body shows at a steady speed [km/h], holder left out.
    """
    hertz = np.array([turner.order * kmh / 3.6 / circumference_m])
    if turner.path is Path.BODY:
        return turner.size
    size = turner.size
    if turner.path is Path.WHEEL_FORCE:
        size *= float((2.0 * math.pi * hertz[0] / turner.order) ** 2)
    answer = float(np.abs(_answer(hertz, turner.path, corner or QuarterCar()))[0])
    return answer * size * (FRONT_SHARE if turner.front else 1.0 - FRONT_SHARE)


def _course(ride: Ride, pickup: Pickup, rng: np.random.Generator) -> _Course:
    rate = pickup.rate_hz * math.ceil(FINE_HZ / pickup.rate_hz)
    time_s = np.arange(round((ride.seconds + 0.5) * rate)) / rate
    knots = np.asarray(ride.speeds_kmh, dtype=np.float64)
    if len(knots) == 1:
        knots = np.repeat(knots, 2)
    kmh = np.interp(time_s, np.linspace(0.0, ride.seconds, len(knots)), knots)
    if ride.wobble_kmh > 0.0:
        coarse = np.arange(0.0, time_s[-1] + 4.0 / WOBBLE_HZ, 0.5 / WOBBLE_HZ)
        kmh += np.interp(time_s, coarse, rng.standard_normal(len(coarse)) * ride.wobble_kmh)
    speed = np.maximum(kmh, 1.0) / 3.6
    way = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2.0)]) / rate
    return _Course(time_s, speed, way)


def _motion(
    ride: Ride, vehicle: Vehicle, pickup: Pickup, course: _Course, rng: np.random.Generator
) -> Real:
    """(n, 3) forward, sideways and up at the phone, without gravity."""
    rate = 1.0 / float(course.time_s[1] - course.time_s[0])
    count = len(course.time_s)
    length = fast_length(count + round(PAD_S * rate))
    hertz = np.asarray(np.fft.rfftfreq(length, 1.0 / rate), dtype=np.float64)
    foot, force, body = _inputs(ride, vehicle, course, rng)
    by_foot = _answer(hertz, Path.TIRE_FOOT, vehicle.corner)
    whole: Complex = np.fft.rfft(foot, length, axis=0) * by_foot[:, None]
    if force is not None:
        by_force = _answer(hertz, Path.WHEEL_FORCE, vehicle.corner)
        whole += np.fft.rfft(force, length, axis=0) * by_force[:, None]
    if body is not None:
        whole[:, 2] += np.fft.rfft(body, length)
    if pickup.holder is not None:
        ratio = hertz / pickup.holder.hertz
        lossy = 2j * pickup.holder.damping * ratio
        whole *= ((1.0 + lossy) / (1.0 - ratio**2 + lossy))[:, None]
    return np.fft.irfft(whole, length, axis=0)[:count]


def _inputs(
    ride: Ride, vehicle: Vehicle, course: _Course, rng: np.random.Generator
) -> tuple[Real, Real | None, Real | None]:
    """Motion of the tires' feet and force on the wheels, (n, 3) each by the direction in which
    the phone feels it; acceleration of the body, (n,).
    """
    foot = _road_under(ride, course, rng)
    force: Real | None = None
    body: Real | None = None
    turns = course.way_m / ride.circumference_m
    omega = 2.0 * math.pi * course.speed_ms / ride.circumference_m
    for turner in vehicle.turners:
        angle = 2.0 * math.pi * turner.order * turns - math.radians(turner.phase_deg)
        if turner.path is Path.BODY:
            body = (0.0 if body is None else body) + turner.size * np.cos(angle)
            continue
        share = FRONT_SHARE if turner.front else 1.0 - FRONT_SHARE
        shake = np.stack([PITCH_SHARE * np.sin(angle), ROLL_SHARE * np.cos(angle),
                          np.cos(angle)], axis=1) * (share * turner.size)
        if turner.path is Path.TIRE_FOOT:
            foot += shake
        else:
            force = (0.0 if force is None else force) + shake * omega[:, None] ** 2
    for tone in vehicle.tones:
        hum = tone.size * np.cos(2.0 * math.pi * (tone.hertz * course.time_s + rng.uniform()))
        body = (0.0 if body is None else body) + hum
    return foot, force, body


def _road_under(ride: Ride, course: _Course, rng: np.random.Generator) -> Real:
    """(n, 3) motion of the feet as it pitches, rolls and heaves the car [m]."""
    heights = profile(float(course.way_m[-1]) + WHEELBASE_M + 1.0, ride.road, rng, tracks=2)
    heights = with_potholes(heights, ride.potholes)
    at = np.arange(len(heights)) * STEP_M
    front = [np.interp(course.way_m + WHEELBASE_M, at, track) for track in heights.T]
    rear = [np.interp(course.way_m, at, track) for track in heights.T]
    ahead, behind = (front[0] + front[1]) / 2.0, (rear[0] + rear[1]) / 2.0
    rolled = FRONT_SHARE * (front[0] - front[1]) + (1.0 - FRONT_SHARE) * (rear[0] - rear[1])
    return np.stack([PITCH_SHARE * (ahead - behind), ROLL_SHARE * rolled / 2.0,
                     FRONT_SHARE * ahead + (1.0 - FRONT_SHARE) * behind], axis=1)


def _answer(hertz: Real, path: Path, car: QuarterCar) -> Complex:
    """Acceleration of the body per motion of the foot [1/s2] or per force [1/kg], with phase."""
    s = 2j * np.pi * np.asarray(hertz, dtype=np.float64)
    link = car.damper_ns_m * s + car.spring_n_m
    wheel = car.unsprung_kg * s**2 + link + car.tire_n_m
    moved = s**2 * link / ((car.sprung_kg * s**2 + link) * wheel - link**2)
    return np.asarray(moved * car.tire_n_m if path is Path.TIRE_FOOT else moved)


def _shown(course: _Course, pickup: Pickup, stamps: Real, rng: np.random.Generator) -> Real:
    """(n,) speed shown at the stamps [m/s]."""
    at = stamps
    noise = np.zeros(len(stamps))
    if pickup.speed_step_s > 0.0:
        which = np.floor(stamps / pickup.speed_step_s)
        at = which * pickup.speed_step_s
        draw = rng.standard_normal(int(which[-1]) + 1) * pickup.speed_noise_ms
        noise = draw[which.astype(np.intp)]
    true = np.interp(at - pickup.speed_lag_s, course.time_s, course.speed_ms)
    return np.maximum(true * (1.0 + pickup.speed_share) + noise, 0.0)
