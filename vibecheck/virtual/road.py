"""Roads after ISO 8608: their roughness, and a profile drawn from it.

Roughness is the one-sided power spectral density of the height over spatial frequency n:

    G_d(n) = G_d(n0) (n / n0)^-w,   n0 = 0.1 cycles/m, w = 2

Symbols: G_d [m^3], n [cycles/m].

Assumptions: straight road, stationary, Gaussian; potholes are set on top of it.

References
----------
1. ISO 8608:2016, Mechanical vibration, road surface profiles, reporting of measured data, annex on
   road classification: geometric means of G_d(n0) of the classes; spatial frequencies of 0.011 to
   2.83 cycles/m (from memory, high confidence).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.record.regrid import fast_length

Real = npt.NDArray[np.float64]

N0 = 0.1  # cycles/m
WAVINESS = 2.0  # w, unitless
LOWEST_N, HIGHEST_N = 0.011, 2.83  # cycles/m [1]
PATCH_M = 0.1  # m, contact patch of a tire, over which it evens out the road; from memory
STEP_M = 0.05  # m between two points of a profile


class RoadClass(StrEnum):
    """Class of a road, smooth to poor."""

    A = "A"
    B = "B"
    C = "C"


MEAN_GD = {RoadClass.A: 16e-6, RoadClass.B: 64e-6, RoadClass.C: 256e-6}  # m^3 at n0 [1]


@dataclass(frozen=True)
class Pothole:
    """A hole with a rounded bottom: where it begins, its length and its depth [m]."""

    at_m: float
    length_m: float = 0.6
    depth_m: float = 0.03


def roughness(spatial_frequency: Real, road: RoadClass) -> Real:
    """G_d [m^3] at spatial frequencies [cycles/m] above zero, shape (N,)."""
    return np.asarray(MEAN_GD[road] * (np.asarray(spatial_frequency) / N0) ** -WAVINESS)


def profile(
    length_m: float, road: RoadClass, rng: np.random.Generator, tracks: int = 1,
    step_m: float = STEP_M,
) -> Real:
    """Height [m] of some tracks that have nothing to do with each other.

    Parameters
    ----------
    length_m : at least so long [m].
    road : class.
    rng : source of the draw.
    tracks : how many.
    step_m : between points [m].

    Returns
    -------
    (n, tracks) heights, one each `step_m`.
    """
    count = fast_length(max(int(np.ceil(length_m / step_m)) + 2, 16))
    at = np.asarray(np.fft.rfftfreq(count, step_m), dtype=np.float64)
    inside = (at >= LOWEST_N) & (at <= HIGHEST_N)
    size = np.zeros(len(at))
    size[inside] = np.sqrt(roughness(at[inside], road) * count / (4.0 * step_m))
    draw = rng.standard_normal((2, len(at), tracks))
    return np.fft.irfft(size[:, None] * (draw[0] + 1j * draw[1]), count, axis=0)


def with_potholes(
    heights: Real, potholes: tuple[Pothole, ...], step_m: float = STEP_M
) -> Real:
    """The profile (n, tracks) with holes in its first track."""
    holed = heights.copy()
    at = np.arange(len(heights)) * step_m
    for hole in potholes:
        share = (at - hole.at_m) / hole.length_m
        inside = (share > 0.0) & (share < 1.0)
        holed[inside, 0] -= hole.depth_m * np.sin(np.pi * share[inside]) ** 2
    return holed
