"""What is wrong with the invented car of docs/first_case.md, and what a gauge reads on it.

The tire bridges a dent in its wheel: at the tread the dent shows by its 1st harmonic alone
(assumption).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vibecheck.metrology.vectors import Vector, vector_of
from vibecheck.virtual.dial import Dent, DrawnSurface, Gauge, dial_readings, mounted

SEED = 2026
TREAD_PLACES, BEAD_PLACES = 12, 36
GAUGE = Gauge(scatter_mm=0.008, division_mm=0.01)
BENT = DrawnSurface(first=Vector(0.10, 300.0), dents=(Dent(120.0, 80.0, 2.4),))


def first_harmonic(surface: DrawnSurface) -> Vector:
    """Order 1 of a surface by numerical integration over a turn [mm, deg]."""
    angles = np.arange(0.0, 360.0, 0.25)
    turning = np.exp(1j * np.deg2rad(angles))
    return vector_of(complex(2.0 / len(angles) * np.sum(surface.at(angles) * turning)))


@dataclass(frozen=True)
class Corner:
    """The true vectors of the parts at one corner [mm, deg]."""

    tire: Vector
    wheel: Vector
    hub: Vector

    def total(self, tire_turn: float, wheel_turn: float) -> Vector:
        """First harmonic at the tread, from the hub's marked stud."""
        return mounted(self.tire, self.wheel, self.hub, tire_turn, wheel_turn)


CORNERS = {
    "LF": Corner(Vector(0.88, 35.0), Vector(0.22, 80.0), Vector(0.05, 250.0)),
    "RF": Corner(Vector(0.15, 200.0), first_harmonic(BENT), Vector(0.05, 100.0)),
    "LR": Corner(Vector(0.20, 60.0), Vector(0.12, 200.0), Vector(0.45, 330.0)),
}


def tread_text(corner: str, tire_turn: float, wheel_turn: float) -> str:
    """Readings round the tread as a person types them."""
    surface = DrawnSurface(first=CORNERS[corner].total(tire_turn, wheel_turn))
    return _text(surface, TREAD_PLACES, f"{corner} {tire_turn:g} {wheel_turn:g}")


def bead_text() -> str:
    """Readings round the inboard bead seat of the bent wheel, tire off."""
    return _text(BENT, BEAD_PLACES, "bead")


def _text(surface: DrawnSurface, places: int, name: str) -> str:
    angles = np.arange(places) * 360.0 / places
    generator = np.random.default_rng([SEED, *name.encode()])
    (readings,) = dial_readings(surface, angles, GAUGE, generator)
    return " ".join(f"{reading + 0.0:.2f}".replace("-0.00", "0.00") for reading in readings) + " mm"
