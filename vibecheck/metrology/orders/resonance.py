"""Where an order meets what the car is ready to swing at: windows, worst speed, onset speed.

A window is a band of frequency in which a path (suspension, steering, body) carries more. It is
data handed in, never known here. With the rolling circumference of the tire, the order and the law
by which its force grows, the chance of every speed bin to be the one named as worst (or as the
first that is felt) follows: another tire size moves it, no speed is written into a cause.

Assumptions, chosen to tilt a ranking rather than to decide it: cars of one kind differ by about
8 % in frequency; a person names the worst speed in proportion to the square of the severity; speeds
past about 120 km/h are seldom driven; about 1 answer in 5 names the speed at which one happens to
drive; people differ by a factor of two in what they first feel. The last three are wide because
told speeds of real cars are (`tests/reference/real_cases`); the rest is from memory.

References
----------
1. Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 5: ranges of the windows (from memory).
2. Imbalance force m r omega^2 grows with speed squared; runout and force variation press with a
   force that hardly depends on speed; a joint follows the torque it carries (mechanics).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from functools import cache

import numpy as np
from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Floats

FREQUENCY_SPREAD = 0.08  # standard deviation of ln(frequency) from car to car
QUASI_STATIC_HZ = 1.5  # below it a force only leans the body and is little felt
SHARPNESS = 2.0  # power of severity with which a speed is named as the worst
SELDOM_DRIVEN_KMH = 120.0  # half of the drivers never go faster
SELDOM_WIDTH_KMH = 10.0
SLOWEST_KMH = 5.0
FASTEST_KMH = 300.0
STEP_KMH = 1.0
MISNAMED = 0.2  # share of answers that name any driven speed: the road, the cruise, a guess
FULL_TORQUE_KMH = 50.0  # up to here full torque is at hand; beyond, power limits it
FELT_SHARE = 0.35  # median share of the greatest severity at which it is first felt
FELT_SPREAD = 0.7  # standard deviation of ln(share)

# Seven-point Gauss-Hermite nodes and weights of the standard normal distribution.
_NODES, _WEIGHTS = (
    np.polynomial.hermite_e.hermegauss(7)[0],
    np.polynomial.hermite_e.hermegauss(7)[1] / math.sqrt(2.0 * math.pi),
)


class ForceLaw(StrEnum):
    """How the force of a cause grows with road speed."""

    SPEED_SQUARED = "speed_squared"
    CONSTANT = "constant"
    TORQUE = "torque"


class Window(Struct, frozen=True):
    """A band that carries more: its edges [Hz], where the extra is half, and gain [unitless].

    In the middle a force is felt 1 + gain times as strongly as far outside.
    """

    name: str
    low_hz: float
    high_hz: float
    gain: float


def response(frequency_hz: Floats | float, windows: Sequence[Window]) -> Floats:
    """How strongly a force is felt at a frequency, 1 far above every window [unitless].

    Each window adds a bell over ln(frequency), centered between its edges. Below the body's own
    frequency a force moves the body as a spring, so that its acceleration falls off with
    frequency squared. Shape as given.

    Raises
    ------
    ReadingError : a window whose edges are not positive and ascending, or of negative gain.
    """
    frequency = np.maximum(np.asarray(frequency_hz, dtype=float), 1e-6)
    total = np.ones_like(frequency)
    for window in windows:
        _check_window(window)
        center = math.log(window.low_hz * window.high_hz) / 2.0
        half = math.log(window.high_hz / window.low_hz) / 2.0
        total += window.gain * np.exp2(-(((np.log(frequency) - center) / half) ** 2))
    return np.asarray(total * frequency**2 / (frequency**2 + QUASI_STATIC_HZ**2))


def force(
    speed_kmh: Floats, law: ForceLaw, full_torque_kmh: float = FULL_TORQUE_KMH
) -> Floats:
    """Force at a speed, in proportion only; shape as given [unitless].

    `full_torque_kmh` : speed up to which full torque is at hand [km/h].
    """
    speed = np.asarray(speed_kmh, dtype=float)
    if law is ForceLaw.SPEED_SQUARED:
        return np.asarray((speed / 100.0) ** 2)
    if law is ForceLaw.TORQUE:
        return np.asarray(np.minimum(1.0, full_torque_kmh / np.maximum(speed, 1e-6)))
    return np.ones_like(speed)


def severity(
    speed_kmh: Floats, per_wheel_turn: float, law: ForceLaw, circumference_m: float | Floats,
    windows: Sequence[Window], full_torque_kmh: float = FULL_TORQUE_KMH,
) -> Floats:
    """How strongly a cause is felt over speed, in proportion only [unitless].

    Of the shape that speed and circumference have together.
    """
    frequency = per_wheel_turn * np.asarray(speed_kmh, dtype=float) / (3.6 * circumference_m)
    return np.asarray(force(speed_kmh, law, full_torque_kmh) * response(frequency, windows))


def worst_speed_weights(
    per_wheel_turn: float, law: ForceLaw, circumference_m: float, windows: Sequence[Window],
    speed_bins_kmh: Sequence[float] | Floats, full_torque_kmh: float = FULL_TORQUE_KMH,
) -> Floats:
    """Chance of each speed bin to be named as the worst.

    Parameters
    ----------
    per_wheel_turn : events per turn of the wheel, above 0 [unitless].
    law : how the force grows with speed.
    circumference_m : rolling circumference [m].
    windows : of the path along which the cause is felt.
    speed_bins_kmh : ascending edges, shape (bins + 1,) [km/h].
    full_torque_kmh : speed up to which full torque is at hand; for the law of torque [km/h].

    Returns
    -------
    shape (bins,), positive, summing to 1 [unitless].

    Raises
    ------
    ReadingError : an order, circumference, window or list of edges that cannot be.
    """
    edges = _edges(speed_bins_kmh)
    speeds, chance = _worst_chance(
        per_wheel_turn, law, circumference_m, windows, full_torque_kmh
    )
    return _binned(speeds, chance, edges)


def onset_weights(
    per_wheel_turn: float, law: ForceLaw, circumference_m: float, windows: Sequence[Window],
    speed_bins_kmh: Sequence[float] | Floats, full_torque_kmh: float = FULL_TORQUE_KMH,
) -> Floats:
    """Chance of each speed bin to hold the speed from which the cause is first felt.

    A cause is first felt where its severity passes a share of its greatest severity at driven
    speeds; people differ in that share. Parameters, result and errors as `worst_speed_weights`.
    """
    edges = _edges(speed_bins_kmh)
    _check(per_wheel_turn, circumference_m)
    speeds = _speeds()
    felt = severity(speeds, per_wheel_turn, law, _spread(circumference_m), windows, full_torque_kmh)
    most = (felt * _driven(speeds)).max(axis=1)
    shares = np.minimum(0.95, FELT_SHARE * np.exp(FELT_SPREAD * _NODES))
    reached = felt[:, None, :] >= shares[:, None] * most[:, None, None]
    weights = np.outer(_WEIGHTS, _WEIGHTS).ravel()
    chance = np.asarray(np.bincount(reached.argmax(axis=2).ravel(), weights, len(speeds)), float)
    return _binned(speeds, _blurred(chance), edges)


def _worst_chance(
    per_wheel_turn: float, law: ForceLaw, circumference_m: float, windows: Sequence[Window],
    full_torque_kmh: float = FULL_TORQUE_KMH,
) -> tuple[Floats, Floats]:
    _check(per_wheel_turn, circumference_m)
    speeds = _speeds()
    felt = severity(speeds, per_wheel_turn, law, _spread(circumference_m), windows, full_torque_kmh)
    named = felt**SHARPNESS * _driven(speeds)
    return speeds, np.asarray(_WEIGHTS @ (named / named.sum(axis=1, keepdims=True)))


def _spread(circumference_m: float) -> Floats:
    """Circumferences that stand for cars whose windows lie elsewhere, shape (nodes, 1) [m]."""
    return np.asarray(circumference_m * np.exp(FREQUENCY_SPREAD * _NODES)[:, None])


def _speeds() -> Floats:
    return np.arange(SLOWEST_KMH, FASTEST_KMH, STEP_KMH) + STEP_KMH / 2.0


def _driven(speeds: Floats) -> Floats:
    """Share of drivers who go that fast [unitless]."""
    return np.asarray(1.0 / (1.0 + np.exp((speeds - SELDOM_DRIVEN_KMH) / SELDOM_WIDTH_KMH)))


def _blurred(chance: Floats) -> Floats:
    """A named speed is off by about 6 % and 3 km/h."""
    return np.asarray(_blur() @ chance)


@cache
def _blur() -> Floats:
    """What of each driven speed is named as each, shape (named, driven) [unitless]."""
    speeds = _speeds()
    width = np.hypot(0.06 * speeds, 3.0)
    kernel = np.exp(-0.5 * ((speeds[:, None] - speeds[None, :]) / width[None, :]) ** 2)
    return np.asarray(kernel / kernel.sum(axis=0))


def _binned(speeds: Floats, chance: Floats, edges: Floats) -> Floats:
    """Sums over bins, with a share of answers that name any driven speed."""
    driven = _driven(speeds)
    mixed = (1.0 - MISNAMED) * chance / chance.sum() + MISNAMED * driven / driven.sum()
    grid = np.append(speeds - STEP_KMH / 2.0, speeds[-1] + STEP_KMH / 2.0)
    running = np.interp(edges, grid, np.append(0.0, np.cumsum(mixed)))
    weights = np.maximum(np.diff(running), 1e-6)
    return np.asarray(weights / weights.sum())


def _edges(speed_bins_kmh: Sequence[float] | Floats) -> Floats:
    edges = np.asarray(speed_bins_kmh, dtype=float)
    if edges.ndim != 1 or len(edges) < 2 or not np.all(np.diff(edges) > 0.0) or edges[0] < 0.0:
        raise ReadingError(
            "the edges of speed bins must ascend from 0 or more", "", "write for example 0, 60, 100"
        )
    return edges


def _check(per_wheel_turn: float, circumference_m: float) -> None:
    for value, what in (
        (per_wheel_turn, "an order"), (circumference_m, "a rolling circumference")
    ):
        if not (math.isfinite(value) and value > 0.0):
            raise ReadingError(f"{what} of {value:g} cannot be", "", "write a number above 0")


def _check_window(window: Window) -> None:
    if not (0.0 < window.low_hz < window.high_hz < math.inf and 0.0 <= window.gain < math.inf):
        raise ReadingError(
            f"the window '{window.name}' from {window.low_hz:g} to {window.high_hz:g} Hz with gain "
            f"{window.gain:g} cannot be", "",
            "write ascending edges above 0 and a gain of 0 or more",
        )
