"""Two-plane wheel balance: static and couple parts, what is left after weights, static-only.

A balancer indicates, for each rim plane, the weight to add and where to add it. Here that is a
`Vector` of grams and degrees (angle convention: see `vectors`). The wheel's own imbalance in
that plane has the same size and lies opposite.

Two numbers describe the pair: the static imbalance (sum of the planes' mass times radius, shakes
the wheel up and down) and the couple imbalance (equal and opposite in the two planes, wobbles
it). Both are stated here as the correction that is wanted, not as the fault.

What these functions do not check: whether the wheel was centered on the machine, and whether the
machine was set to the right rim (see the trial spin of the service manual).

References
----------
1. ISO 21940-2:2017, Mechanical vibration, Rotor balancing, vocabulary: static and couple
   unbalance (from memory).
2. JCGM 100:2008 (GUM), 5.1.2: propagation of uncertainty.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from vibecheck.errors import ReadingError
from vibecheck.metrology.vectors import Vector, vector_of

MOST_GRAMS = 5_000.0  # g; above this a reading is a typing slip, even on a heavy truck
EXPAND_2D = math.sqrt(-2.0 * math.log(0.05))  # radius of the circle that holds 95 % of a 2-D normal


@dataclass(frozen=True)
class RimPlanes:
    """Where weights can go.

    Attributes
    ----------
    inner_radius_mm, outer_radius_mm : radius of the weights in each plane [mm].
    distance_mm : axial distance between the two planes [mm].
    """

    inner_radius_mm: float
    outer_radius_mm: float
    distance_mm: float

    def __post_init__(self) -> None:
        for name in ("inner_radius_mm", "outer_radius_mm", "distance_mm"):
            value = getattr(self, name)
            if not (math.isfinite(value) and 0.0 < value < 5_000.0):
                label = name.removesuffix("_mm").replace("_", " ")
                raise ReadingError(
                    f"a weight plane {label} of {value:g} mm cannot be", "balance",
                    "write the length in mm, for example 200",
                )


@dataclass(frozen=True)
class StaticCouple:
    """The correction wanted, parted into static and couple.

    Attributes
    ----------
    static_gmm : static correction [g mm] at its angle [deg].
    couple_gmm2 : couple correction [g mm2]; the angle [deg] is that of the outer plane's half.
    static_g : the same static correction as one weight at the mean radius [g].
    couple_g : the couple as equal and opposite weights [g]; the angle is the outer one's.
        At unequal radii these are the grams at the mean radius.
    u_static_gmm, u_couple_gmm2 : standard uncertainty of each component [g mm, g mm2].
    """

    static_gmm: Vector
    couple_gmm2: Vector
    static_g: Vector
    couple_g: Vector
    u_static_gmm: float
    u_couple_gmm2: float


@dataclass(frozen=True)
class StaticOnly:
    """What one static weight leaves behind.

    Attributes
    ----------
    weight : the one weight to add [g, deg].
    couple_g : couple left, as equal and opposite weights in the two planes [g]; the angle is that
        of the outer plane's weight [deg].
    couple_gmm2 : couple left [g mm2].
    """

    weight: Vector
    couple_g: Vector
    couple_gmm2: float


def check_weight(weight: Vector, where: str = "balance") -> Vector:
    """The same weight, if it can be one.

    Raises
    ------
    ReadingError : the grams are negative, not finite or beyond 5 kg, or the angle not finite.
    """
    if not (math.isfinite(weight.amplitude) and 0.0 <= weight.amplitude <= MOST_GRAMS):
        raise ReadingError(
            f"a weight of {weight.amplitude:g} g cannot be", where, "write grams, for example 25"
        )
    if not math.isfinite(weight.angle_deg):
        raise ReadingError(
            f"an angle of {weight.angle_deg:g} degrees cannot be", where, "write for example 130"
        )
    return weight


def static_and_couple(
    inner: Vector, outer: Vector, planes: RimPlanes, u_grams: float = 0.0
) -> StaticCouple:
    """Part the indicated weights of two planes into static and couple.

    static = m_i r_i + m_o r_o; couple = (m_o r_o - m_i r_i) d / 2 about the middle plane.

    Parameters
    ----------
    inner, outer : weight to add in each plane [g, deg].
    planes : radii and distance of the planes [mm].
    u_grams : standard uncertainty of each component of each indicated weight [g]; the same in
        every direction and independent between the planes (assumption).

    Raises
    ------
    ReadingError : a weight or the uncertainty cannot be.
    """
    check_weight(inner, "inner plane")
    check_weight(outer, "outer plane")
    _check_uncertainty(u_grams)
    u_inner = inner.xy * planes.inner_radius_mm
    u_outer = outer.xy * planes.outer_radius_mm
    static = u_inner + u_outer
    half_couple = (u_outer - u_inner) / 2.0
    radius = mean_radius(planes)
    u_sum = u_grams * math.hypot(planes.inner_radius_mm, planes.outer_radius_mm)
    return StaticCouple(
        static_gmm=vector_of(static),
        couple_gmm2=vector_of(half_couple * planes.distance_mm),
        static_g=vector_of(static / radius),
        couple_g=vector_of(half_couple / radius),
        u_static_gmm=u_sum,
        u_couple_gmm2=u_sum * planes.distance_mm / 2.0,
    )


def moved_to_planes(
    inner: Vector, outer: Vector, measured: RimPlanes, used: RimPlanes, inner_offset_mm: float
) -> tuple[Vector, Vector]:
    """The weights for other planes than the machine was set to, with the same effect.

    Keeps the sum of the forces and of their moments (a rigid wheel).

    Parameters
    ----------
    inner, outer : weights indicated for the measured planes [g, deg].
    measured, used : radii and distance of the planes measured in and used [mm].
    inner_offset_mm : how far the used inner plane lies outboard of the measured one [mm].
    """
    check_weight(inner, "inner plane")
    check_weight(outer, "outer plane")
    u_inner = inner.xy * measured.inner_radius_mm
    u_outer = outer.xy * measured.outer_radius_mm
    moment = -u_inner * inner_offset_mm + u_outer * (measured.distance_mm - inner_offset_mm)
    new_outer = moment / used.distance_mm
    new_inner = u_inner + u_outer - new_outer
    return (
        vector_of(new_inner / used.inner_radius_mm),
        vector_of(new_outer / used.outer_radius_mm),
    )


def static_only(
    inner: Vector, outer: Vector, planes: RimPlanes, share_outer: float = 0.5
) -> StaticOnly:
    """One weight that cures the static imbalance, and the couple it leaves.

    Parameters
    ----------
    inner, outer : weights wanted in each plane [g, deg].
    planes : radii and distance of the planes [mm].
    share_outer : where the one weight sits between the planes: 0 in the inner plane, 1 in the
        outer plane, 0.5 midway (behind the spokes, roughly) [unitless, 0 to 1]. Its radius is
        taken between those of the planes in the same proportion.

    Raises
    ------
    ReadingError : a weight cannot be, or the share is outside 0 to 1.
    """
    if not 0.0 <= share_outer <= 1.0:
        raise ReadingError(
            f"a place of {share_outer:g} between the planes cannot be", "static weight",
            "write 0 for the inner plane to 1 for the outer plane",
        )
    parts = static_and_couple(inner, outer, planes)
    static = parts.static_gmm.xy
    couple = parts.couple_gmm2.xy - static * (share_outer - 0.5) * planes.distance_mm
    radius = (1.0 - share_outer) * planes.inner_radius_mm + share_outer * planes.outer_radius_mm
    each = couple / planes.distance_mm / mean_radius(planes)
    return StaticOnly(vector_of(static / radius), vector_of(each), abs(couple))


def mean_radius(planes: RimPlanes) -> float:
    """Mean radius of the two planes [mm]."""
    return (planes.inner_radius_mm + planes.outer_radius_mm) / 2.0


def angle_uncertainty_deg(size: float, u_component: float) -> float:
    """Standard uncertainty of a vector's angle [deg]; 180 where the size says nothing.

    Parameters
    ----------
    size : length of the vector [any unit].
    u_component : standard uncertainty of each of its components [same unit].
    """
    if size <= u_component:
        return 180.0
    return math.degrees(cmath.phase(complex(size, u_component)))


def _check_uncertainty(u_grams: float) -> None:
    if not (math.isfinite(u_grams) and u_grams >= 0.0):
        raise ReadingError(
            f"an uncertainty of {u_grams:g} g cannot be", "balance", "write for example 2"
        )
