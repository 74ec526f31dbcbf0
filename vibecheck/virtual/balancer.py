"""Forward models of balancing, for tests and demos: what a machine indicates, how a rotor answers.

The rotor is rigid, on a spring and damper at each of two bearings, moving in one radial
direction and tilting. Its equations of motion

    m y'' = sum F,   I t'' = sum z F,   F_bearing = -k (y + z t) - c (y' + z t')

are integrated in time (classical Runge-Kutta) from rest until the start has died away, and the
bearing motion is read once per turn as amplitude and phase, as an instrument would.

References
----------
1. G. Genta, Dynamics of Rotating Systems, 2005, chapter 2: rigid rotors on compliant supports
   (from memory). Gyroscopic coupling is left out: one direction of motion only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.balance.two_planes import RimPlanes
from vibecheck.metrology.vectors import Vector, vector_of, wrap

Real = npt.NDArray[np.float64]

STEPS_A_TURN = 120
TURNS_TO_SETTLE = 60
TURNS_TO_READ = 4


@dataclass(frozen=True)
class Rotor:
    """A rigid rotor on two bearings; z is measured from its mass center, outboard positive.

    Attributes
    ----------
    mass_kg, inertia_kgm2 : mass [kg] and transverse moment of inertia [kg m2].
    bearings_m : place of the two bearings [m].
    stiffness_n_m, damping_ns_m : of each bearing [N/m, N s/m].
    planes_m : place of the inner and outer weight plane [m].
    """

    mass_kg: float = 22.0
    inertia_kgm2: float = 0.45
    bearings_m: tuple[float, float] = (-0.16, 0.05)
    stiffness_n_m: tuple[float, float] = (9.0e4, 1.3e5)
    damping_ns_m: tuple[float, float] = (260.0, 340.0)
    planes_m: tuple[float, float] = (-0.08, 0.09)


def indicated(
    inner: Vector, outer: Vector, u_grams: float, rng: np.random.Generator,
    step_g: float = 0.0,
) -> tuple[Vector, Vector]:
    """What a balancer would indicate for the weights (inner, outer) that are truly wanted.

    Parameters
    ----------
    inner, outer : the true correction [g, deg].
    u_grams : standard deviation of the noise on each component [g].
    rng : source of the noise.
    step_g : the display rounds to whole steps of this [g]; 0 for no rounding.
    """
    noise = rng.normal(0.0, u_grams, 4) if u_grams else np.zeros(4)
    shown = []
    for index, weight in enumerate((inner, outer)):
        noisy = vector_of(weight.xy + complex(noise[2 * index], noise[2 * index + 1]))
        grams = round(noisy.amplitude / step_g) * step_g if step_g else noisy.amplitude
        shown.append(Vector(grams, noisy.angle_deg))
    return shown[0], shown[1]


def run_rotor(
    rotor: Rotor, planes: RimPlanes, rpm: float, masses: Sequence[tuple[Vector, Vector]]
) -> list[tuple[Vector, Vector]]:
    """Steady vibration at the two bearings, in micrometres, for several imbalance states.

    Parameters
    ----------
    rotor : the rotor and its bearings.
    planes : radii of the weight planes [mm].
    rpm : speed of rotation [1/min].
    masses : for each run the masses [g, deg] sitting in the inner and the outer plane; an
        imbalance and a weight at the same place are the same thing to the rotor.

    Returns
    -------
    One pair of readings [um, deg] for each run.
    """
    omega = 2.0 * math.pi * rpm / 60.0
    force = _force_columns(planes, omega, masses)
    system = _system_matrix(rotor)
    push = _push_matrix(rotor)
    step = 2.0 * math.pi / omega / STEPS_A_TURN
    turning = np.exp(1j * omega * step / 2.0 * np.arange(2 * STEPS_A_TURN + 1))
    loads = np.real(turning[:, None, None] * (push @ force)[None, :, :])
    state = np.zeros((4, len(masses)))
    read = np.zeros((2, len(masses)), dtype=np.complex128)
    motion = np.array([[1.0, place, 0.0, 0.0] for place in rotor.bearings_m])
    for count in range((TURNS_TO_SETTLE + TURNS_TO_READ) * STEPS_A_TURN):
        at = 2 * (count % STEPS_A_TURN)
        if count >= TURNS_TO_SETTLE * STEPS_A_TURN:
            read += (motion @ state) * np.conj(turning[at])
        state = _advanced(system, state, loads[at], loads[at + 1], loads[at + 2], step)
    read *= 2.0 / (TURNS_TO_READ * STEPS_A_TURN) * 1e6
    return [(_shown(read[0, run]), _shown(read[1, run])) for run in range(len(masses))]


def _shown(number: complex) -> Vector:
    reading = vector_of(complex(number))
    return Vector(reading.amplitude, wrap(reading.angle_deg))


def _force_columns(
    planes: RimPlanes, omega: float, masses: Sequence[tuple[Vector, Vector]]
) -> npt.NDArray[np.complex128]:
    scale = 1e-6 * omega**2  # g mm to kg m, times omega squared: newtons
    return np.array([
        [inner.xy * planes.inner_radius_mm * scale for inner, _ in masses],
        [outer.xy * planes.outer_radius_mm * scale for _, outer in masses],
    ])


def _system_matrix(rotor: Rotor) -> Real:
    inverse_mass = np.diag([1.0 / rotor.mass_kg, 1.0 / rotor.inertia_kgm2])
    shapes = np.array([[1.0, place] for place in rotor.bearings_m])
    stiffness = shapes.T @ np.diag(rotor.stiffness_n_m) @ shapes
    damping = shapes.T @ np.diag(rotor.damping_ns_m) @ shapes
    system = np.zeros((4, 4))
    system[:2, 2:] = np.eye(2)
    system[2:, :2] = -inverse_mass @ stiffness
    system[2:, 2:] = -inverse_mass @ damping
    return system


def _push_matrix(rotor: Rotor) -> Real:
    push = np.zeros((4, 2))
    push[2, :] = 1.0 / rotor.mass_kg
    push[3, :] = np.array(rotor.planes_m) / rotor.inertia_kgm2
    return push


def _advanced(
    system: Real, state: Real, now: Real, middle: Real, then: Real, step: float
) -> Real:
    first = system @ state + now
    second = system @ (state + step / 2.0 * first) + middle
    third = system @ (state + step / 2.0 * second) + middle
    fourth = system @ (state + step * third) + then
    return np.asarray(state + step / 6.0 * (first + 2.0 * second + 2.0 * third + fourth))
