"""Forward model of a dial gauge: chosen faults of tire, wheel and hub in, noisy readings out.

It serves tests and demonstrations: what an inverse calculation finds can be held against what
was put in. Angles follow `vectors`; all shapes are in the frame of their own part, and the parts
stack as mounted:

    reading vector = hub + wheel turned by w + tire turned by (w + t)

with w the turn of the wheel on the hub and t the turn of the tire on the wheel.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.vectors import FULL_TURN_DEG, Vector, add, turned


@dataclass(frozen=True)
class Dent:
    """A local bend: center and width [deg], low spot and high spot beside it [mm]."""

    center_deg: float
    width_deg: float
    dip_mm: float
    bulge_mm: float = 0.0

    def at(self, angles_deg: Floats) -> Floats:
        """Height at the angles [mm]; two Gaussian hills, each half of the width."""
        if self.bulge_mm == 0.0:
            return -self.dip_mm * _hill(angles_deg, self.center_deg, self.width_deg)
        quarter = self.width_deg / 4.0
        dip = _hill(angles_deg, self.center_deg - quarter, self.width_deg / 2.0)
        bulge = _hill(angles_deg, self.center_deg + quarter, self.width_deg / 2.0)
        return self.bulge_mm * bulge - self.dip_mm * dip


@dataclass(frozen=True)
class DrawnSurface:
    """One surface of a part: offset or tilt, oval, triangle [mm], and dents."""

    first: Vector = field(default_factory=lambda: Vector(0.0, 0.0))
    second: Vector = field(default_factory=lambda: Vector(0.0, 0.0))
    third: Vector = field(default_factory=lambda: Vector(0.0, 0.0))
    dents: tuple[Dent, ...] = ()

    def at(self, angles_deg: Floats) -> Floats:
        """Height at the angles [mm]; shape as given."""
        total = np.zeros_like(np.asarray(angles_deg, dtype=float))
        for order, vector in enumerate((self.first, self.second, self.third), start=1):
            phase = np.deg2rad(order * (angles_deg - vector.angle_deg))
            total += vector.amplitude * np.cos(phase)
        for dent in self.dents:
            total += dent.at(angles_deg)
        return total

    @property
    def tir_mm(self) -> float:
        """True total runout [mm], on a grid of a quarter degree."""
        return float(np.ptp(self.at(np.arange(0.0, FULL_TURN_DEG, 0.25))))


@dataclass(frozen=True)
class Gauge:
    """A dial gauge on its stand; 0 leaves any of its faults out.

    Attributes
    ----------
    scatter_mm : of one reading [mm].
    division_mm : one division, to which readings are rounded [mm].
    setup_mm : standard deviation of the runout of a true surface from one setting-up to the next,
        as a wheel that seats a little off center each time [mm].
    drift_mm : by which the pointer has crept when the turn is closed [mm].
    memory : correlation of the scatter of one reading with that of the next [0 to 1].
    """

    scatter_mm: float = 0.005
    division_mm: float = 0.01
    setup_mm: float = 0.0
    drift_mm: float = 0.0
    memory: float = 0.0

    def turn(self, surface: DrawnSurface, angles_deg: Floats, rng: np.random.Generator) -> Floats:
        """Readings of one turn in the order of the angles and the closing one [mm]; (N + 1,).

        The closing reading is taken at the first place again.
        """
        angles = np.append(angles_deg, angles_deg[0])
        seat = rng.normal(0.0, self.setup_mm / 2.0, 2)  # TIR is twice an offset
        radians = np.deg2rad(angles)
        heights = surface.at(angles) + seat[0] * np.cos(radians) + seat[1] * np.sin(radians)
        heights += self.drift_mm * np.arange(len(angles)) / len(angles_deg)
        noise = rng.normal(0.0, self.scatter_mm, len(angles))
        for place in range(1, len(noise)):
            fresh = math.sqrt(1.0 - self.memory**2)
            noise[place] = self.memory * noise[place - 1] + fresh * noise[place]
        return self._rounded(heights + noise)

    def high_and_low(self, surface: DrawnSurface, rng: np.random.Generator) -> tuple[float, float]:
        """Highest and lowest pointer position of one slow turn [mm]."""
        fine = np.arange(0.0, FULL_TURN_DEG, 0.5)
        seat = rng.normal(0.0, self.setup_mm / 2.0, 2)
        radians = np.deg2rad(fine)
        heights = surface.at(fine) + seat[0] * np.cos(radians) + seat[1] * np.sin(radians)
        ends = np.array([heights.max(), heights.min()])
        high, low = self._rounded(ends + rng.normal(0.0, self.scatter_mm, 2))
        return max(float(high), float(low)), float(low)

    def _rounded(self, values: Floats) -> Floats:
        if self.division_mm == 0.0:
            return values
        return np.asarray(np.round(values / self.division_mm) * self.division_mm)

    def read(self, heights_mm: Floats, rng: np.random.Generator) -> Floats:
        """Readings of true heights [mm]; any shape."""
        noisy = heights_mm + rng.normal(0.0, self.scatter_mm, np.shape(heights_mm))
        return self._rounded(np.asarray(noisy))


def dial_readings(
    surface: DrawnSurface | Callable[[Floats], Floats],
    angles_deg: Floats,
    gauge: Gauge,
    rng: np.random.Generator,
    draws: int = 1,
) -> Floats:
    """Readings of one surface [mm]; shape (draws, N)."""
    heights = surface.at(angles_deg) if isinstance(surface, DrawnSurface) else surface(angles_deg)
    return gauge.read(np.broadcast_to(heights, (draws, len(angles_deg))), rng)


def mounted(
    tire: Vector, wheel: Vector, hub: Vector, tire_turn_deg: float = 0.0,
    wheel_turn_deg: float = 0.0,
) -> Vector:
    """True first harmonic at the tread, from the hub's marked stud [mm]."""
    return add((
        hub, turned(wheel, wheel_turn_deg), turned(tire, wheel_turn_deg + tire_turn_deg)
    ))


def _hill(angles_deg: Floats, center_deg: float, width_deg: float) -> Floats:
    """A Gaussian hill of height 1 that has fallen to 1 % at half of the width."""
    offset = (angles_deg - center_deg + 180.0) % FULL_TURN_DEG - 180.0
    sigma = width_deg / 2.0 / math.sqrt(2.0 * math.log(100.0))
    return np.asarray(np.exp(-0.5 * (offset / sigma) ** 2))
