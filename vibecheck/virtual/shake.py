"""Forward model of a drive: what a phone records on a car with chosen faults, for tests and demos.

A wheel imbalance pulls with m r omega^2, an eccentric wheel with (tire stiffness) (eccentricity);
both reach the phone through the wheel-hop resonance. Joints, engine and brake act as given
accelerations at their orders. All sensitivities here are invented: a record made by this module
is invented data.

References
----------
1. J. P. den Hartog, Mechanical Vibrations, chapter 2: response of one mass on a spring and damper.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.vectors import Vector

Real = npt.NDArray[np.float64]

GRAVITY = 9.80665  # m/s2
TIRE_STIFFNESS_N_MM = 200.0  # usual car, from memory
HOP_HZ, HOP_DAMPING = 13.0, 0.15  # wheel hop and its damping ratio, invented
FELT_M_S2_N = 0.0008  # m/s2 at the phone for each newton at the wheel, invented
REAR_SHARE = 0.7  # a rear wheel reaches the front seats so much, invented
SIDEWAYS = 0.35  # share of a wheel's shake that reaches the phone sideways, invented
ROAD_M_S2 = 0.12  # road noise at 100 km/h, invented
ROAD_HZ = 8.0  # above this the road reaches the phone ever less, invented


@dataclass(frozen=True)
class Drive:
    """How the car is driven.

    Attributes
    ----------
    seconds : length [s].
    from_kmh, to_kmh : speed at the start and at the end, changing evenly [km/h].
    circumference_m : rolling circumference [m].
    braking : start and end of braking [s], or None (the speed law is not changed).
    """

    seconds: float = 60.0
    from_kmh: float = 100.0
    to_kmh: float = 100.0
    circumference_m: float = 1.95
    braking: tuple[float, float] | None = None


@dataclass(frozen=True)
class Hop:
    """The wheel between tire and suspension: undamped frequency [Hz] and damping ratio."""

    hertz: float = HOP_HZ
    damping: float = HOP_DAMPING


HOP = Hop()


@dataclass(frozen=True)
class ShakeFaults:
    """What is wrong with the car; corners are left-front, right-front, left-rear, right-rear.

    Attributes
    ----------
    imbalance : corner to imbalance [g mm] at its angle [deg].
    eccentricity : corner to eccentricity [mm] at its angle [deg].
    oval_mm : corner to second-harmonic amplitude [mm].
    driveshaft : wheel order of the driveshaft and its acceleration at the phone [m/s2].
    engine : engine speed over wheel speed, firing events in a crank turn, acceleration [m/s2].
    judder : order of the wheel and acceleration [m/s2], only while braking.
    """

    imbalance: Mapping[str, Vector] = field(default_factory=dict)
    eccentricity: Mapping[str, Vector] = field(default_factory=dict)
    oval_mm: Mapping[str, float] = field(default_factory=dict)
    driveshaft: tuple[float, float] | None = None
    engine: tuple[float, float, float] | None = None
    judder: tuple[float, float] | None = None


@dataclass(frozen=True)
class Phone:
    """How the phone records.

    Attributes
    ----------
    rate_hz : samples per second.
    jitter : standard deviation of a stamp, share of the step.
    noise : sensor noise [m/s2].
    gravity : whether gravity is in the record.
    tilt_deg : how far the phone leans forward and sideways [deg].
    gaps : start and length of stretches without samples [s].
    limit : the sensor's range [m/s2], or None.
    speed_step_s : the speed is updated so often [s]; 0 for every sample.
    speed_lag_s : the speed shown is that of so long ago [s].
    speed_share : the speed shown is too high by this share.
    """

    rate_hz: float = 100.0
    jitter: float = 0.1
    noise: float = 0.03
    gravity: bool = True
    tilt_deg: tuple[float, float] = (20.0, -8.0)
    gaps: tuple[tuple[float, float], ...] = ()
    limit: float | None = None
    speed_step_s: float = 1.0
    speed_lag_s: float = 0.0
    speed_share: float = 0.0


@dataclass(frozen=True)
class Dialect:
    """How the phone writes its table.

    Attributes
    ----------
    names : header of time, x, y, z, speed; an empty speed name leaves the speed out.
    delimiter, decimal : between cells, and the decimal mark.
    per_second, per_m_s2, per_m_s : written value for one second, one m/s2, one m/s.
    start : written value of the first stamp.
    extra : header of further columns, filled with zeros.
    """

    names: tuple[str, str, str, str, str] = ("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "")
    delimiter: str = ","
    decimal: str = "."
    per_second: float = 1.0
    per_m_s2: float = 1.0
    per_m_s: float = 1.0
    start: float = 0.0
    extra: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Shake:
    """A recorded drive: stamps (n,) [s], acceleration (n, 3) [m/s2], shown speed (n,) [m/s]."""

    time_s: Real
    acceleration: Real
    speed_ms: Real


def hop_gain(frequency_hz: Real, hop: Hop = HOP) -> tuple[Real, Real]:
    """Gain [unitless] and phase [rad] of the wheel on its tire at frequencies [Hz] [1]."""
    ratio = np.asarray(frequency_hz) / hop.hertz
    answer = 1.0 / (1.0 - ratio**2 + 2j * hop.damping * ratio)
    return np.abs(answer), np.angle(answer)


def drive_record(
    drive: Drive, faults: ShakeFaults, phone: Phone, rng: np.random.Generator, hop: Hop = HOP
) -> Shake:
    """What the phone records on this drive.

    Parameters
    ----------
    drive, faults, phone : the drive.
    rng : source of road, sensor and clock noise.
    hop : what the wheel's shake goes through.
    """
    count = round(drive.seconds * phone.rate_hz)
    stamps = (np.arange(count) + rng.normal(0.0, 1.0, count) * phone.jitter) / phone.rate_hz
    stamps = np.maximum.accumulate(np.maximum(stamps, 0.0))
    stamps += np.arange(count) * 1e-6
    rise = (drive.to_kmh - drive.from_kmh) / 3.6 / drive.seconds
    speed = drive.from_kmh / 3.6 + rise * stamps
    turns = (drive.from_kmh / 3.6 * stamps + rise * stamps**2 / 2.0) / drive.circumference_m
    car = _car_motion(drive, faults, stamps, speed, turns, hop)
    car += _road(stamps, speed, phone.rate_hz, rng)
    if phone.gravity:
        car[:, 2] += GRAVITY
    shown = car @ tilt(*phone.tilt_deg).T + rng.normal(0.0, phone.noise, (count, 3))
    if phone.limit is not None:
        shown = np.clip(shown, -phone.limit, phone.limit)
    seen_s = stamps
    if phone.speed_step_s:
        seen_s = np.floor(stamps / phone.speed_step_s) * phone.speed_step_s
    speed = drive.from_kmh / 3.6 + rise * np.maximum(seen_s - phone.speed_lag_s, 0.0)
    speed *= 1.0 + phone.speed_share
    keep = np.ones(count, dtype=bool)
    for start, length in phone.gaps:
        keep &= (stamps < start) | (stamps >= start + length)
    return Shake(stamps[keep], shown[keep], speed[keep])


def as_csv(shake: Shake, dialect: Dialect) -> str:
    """The record as a phone would write it."""
    columns = [dialect.start + shake.time_s * dialect.per_second]
    columns += list(shake.acceleration.T * dialect.per_m_s2)
    formats = ["%.0f" if dialect.per_second >= 1e6 else "%.6f", "%.6f", "%.6f", "%.6f"]
    names = list(dialect.names[:4])
    if dialect.names[4]:
        columns.append(shake.speed_ms * dialect.per_m_s)
        formats.append("%.3f")
        names.append(dialect.names[4])
    names += dialect.extra
    formats += ["0"] * len(dialect.extra)
    line = "\t".join(formats)
    text = "\n".join(line % row for row in zip(*(c.tolist() for c in columns), strict=True))
    body = text.replace(".", dialect.decimal).replace("\t", dialect.delimiter)
    return dialect.delimiter.join(names) + "\n" + body + "\n"


def _car_motion(
    drive: Drive, faults: ShakeFaults, stamps: Real, speed: Real, turns: Real, hop: Hop
) -> Real:
    """Forward, sideways and up [m/s2], without road and gravity."""
    motion = np.zeros((len(stamps), 3))
    omega = 2.0 * math.pi * speed / drive.circumference_m
    for corner, weight in faults.imbalance.items():
        force = weight.amplitude * 1e-6 * omega**2
        _add_wheel(motion, corner, force, 1.0, omega, turns, weight.angle_deg, hop)
    for corner, offset in faults.eccentricity.items():
        force = np.full(len(stamps), offset.amplitude * TIRE_STIFFNESS_N_MM)
        _add_wheel(motion, corner, force, 1.0, omega, turns, offset.angle_deg, hop)
    for corner, oval in faults.oval_mm.items():
        force = np.full(len(stamps), oval * TIRE_STIFFNESS_N_MM)
        _add_wheel(motion, corner, force, 2.0, omega, turns, 0.0, hop)
    if faults.driveshaft is not None:
        order, level = faults.driveshaft
        motion[:, 2] += level * np.cos(2.0 * np.pi * order * turns)
    if faults.engine is not None:
        ratio, events, level = faults.engine
        motion[:, 2] += level * np.cos(2.0 * np.pi * ratio * events * turns)
    if faults.judder is not None and drive.braking is not None:
        order, level = faults.judder
        on = (stamps >= drive.braking[0]) & (stamps < drive.braking[1])
        motion[:, 0] += on * level * np.cos(2.0 * np.pi * order * turns)
    return motion


def _add_wheel(
    motion: Real, corner: str, force: Real, order: float, omega: Real, turns: Real,
    angle_deg: float, hop: Hop,
) -> None:
    gain, lag = hop_gain(order * omega / (2.0 * math.pi), hop)
    reach = FELT_M_S2_N * (REAR_SHARE if corner.endswith("rear") else 1.0)
    phase = order * 2.0 * np.pi * turns - math.radians(angle_deg) + lag
    motion[:, 2] += reach * force * gain * np.cos(phase)
    motion[:, 1] += SIDEWAYS * reach * force * gain * np.sin(phase)


def _road(stamps: Real, speed: Real, rate_hz: float, rng: np.random.Generator) -> Real:
    """Road noise: white below some hertz, falling with the frequency above, growing with speed."""
    count = len(stamps)
    shape = 1.0 / np.hypot(1.0, np.fft.rfftfreq(count, 1.0 / rate_hz) / ROAD_HZ)
    smooth = np.fft.irfft(
        shape[:, None] * np.fft.rfft(rng.normal(0.0, 1.0, (count, 3)), axis=0), count, axis=0)
    level = ROAD_M_S2 * speed / (100.0 / 3.6)
    return np.asarray(smooth / smooth.std() * level[:, None])


def tilt(forward_deg: float, sideways_deg: float) -> Real:
    """(3, 3) turn of a phone that leans so far forward and sideways [deg]."""
    a, b = math.radians(forward_deg), math.radians(sideways_deg)
    nod = np.array([[math.cos(a), 0, math.sin(a)], [0, 1, 0], [-math.sin(a), 0, math.cos(a)]])
    lean = np.array([[1, 0, 0], [0, math.cos(b), -math.sin(b)], [0, math.sin(b), math.cos(b)]])
    return np.asarray(nod @ lean, dtype=np.float64)
