"""First-harmonic vectors and the one angle convention of the measuring room.

Angles are in degrees from the valve stem (or from the marked stud of a hub), clockwise as seen from
outside the car; `places` holds what follows from that. A first harmonic is
read(theta) = A cos(theta - phi): A is the amplitude, phi the angle of the high spot. Its vector is
(A cos phi, A sin phi), held as one complex number A exp(i phi); vectors of faults that turn
together add.

A pure first harmonic of amplitude A has a total indicated runout (high minus low) of 2 A.

This module does not check units: amplitudes in, amplitudes out, of whatever unit was given.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from msgspec import Struct

FULL_TURN_DEG = 360.0


class Vector(Struct, frozen=True):
    """A first-harmonic vector: amplitude [any unit] and angle of its high spot [deg]."""

    amplitude: float
    angle_deg: float

    @property
    def tir(self) -> float:
        """High minus low of this harmonic alone [unit of the amplitude]."""
        return 2.0 * self.amplitude

    @property
    def xy(self) -> complex:
        """The vector as one complex number [unit of the amplitude]."""
        return complex_of(self.amplitude, self.angle_deg)


def wrap(angle_deg: float) -> float:
    """The same angle in [0, 360) [deg]."""
    wrapped = math.fmod(angle_deg, FULL_TURN_DEG)
    if wrapped < 0.0:
        wrapped += FULL_TURN_DEG
    return 0.0 if wrapped >= FULL_TURN_DEG else wrapped


def difference(to_deg: float, from_deg: float) -> float:
    """The short way from one angle to another, in (-180, 180] [deg]."""
    turn = wrap(to_deg - from_deg)
    return turn - FULL_TURN_DEG if turn > FULL_TURN_DEG / 2 else turn


def complex_of(amplitude: float, angle_deg: float) -> complex:
    """Amplitude [any unit] and angle [deg] as one complex number."""
    radians = math.radians(angle_deg)
    return complex(amplitude * math.cos(radians), amplitude * math.sin(radians))


def vector_of(number: complex) -> Vector:
    """A complex number as amplitude and angle in [0, 360) [deg]; the zero vector has angle 0."""
    if number == 0:
        return Vector(0.0, 0.0)
    return Vector(abs(number), wrap(math.degrees(math.atan2(number.imag, number.real))))


def add(vectors: Iterable[Vector]) -> Vector:
    """Sum of vectors that turn together."""
    return vector_of(sum((vector.xy for vector in vectors), start=0j))


def turned(vector: Vector, by_deg: float) -> Vector:
    """The vector after its carrier was turned by an angle [deg] on what holds it."""
    return Vector(vector.amplitude, wrap(vector.angle_deg + by_deg))
