"""What the low orders leave over: single spikes, and a sharp bend with its place and width.

A spike is one reading that stands out alone while both neighbors lie on the low orders: weld, a
paint run, a scratch, dirt or one ridge of a knurled band do that, and so does a bend narrower
than the spacing of the readings. A bend moves readings side by side. It is searched for by fitting
a lobe (a dent alone) and a pair (a low spot with a high spot squeezed out beside it) of every
width at every place together with the low orders; the best is kept if it is far beyond scatter.

The width limits and the smallest bend reported are from memory, as good workshop sense.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.metrology.runout.harmonics import (
    Floats,
    basis_of,
    robust_residuals,
    within_half_a_turn,
)
from vibecheck.metrology.vectors import FULL_TURN_DEG

WIDTHS_DEG = (16.0, 20.0, 25.0, 30.0, 36.0, 42.0, 50.0, 60.0, 72.0, 86.0, 100.0)
CENTER_STEP_DEG = 2.0
SMALLEST_BEND_MM = 0.08  # high to low of the bend alone
SPIKE_SCALES = 6.0  # how far a spike stands out, in robust standard deviations
SPIKE_STEPS = 4.0  # and in gauge divisions
FEW_SPIKE = 12.0  # and farther where few degrees of freedom are left
PLAIN_SHARE = 0.5  # of a spike that a plain fit, which leans toward it, still leaves over
LONE_SHARE = 0.5  # of the high minus low, left without a spike among few readings
LONELY_DEG = 31.0  # arc to either side in which a spike is alone
LONELY = 0.4  # readings beside a spike stay below this share of it
QUIET_SCALES = 3.5  # and within scatter, in robust standard deviations
QUIET_STEPS = 2.0  # or in gauge divisions
BEND_F = 18.0  # least F ratio; pure scatter reaches it in well under 1 % of sets
PAIR_SHARE = 0.3  # of dip and bulge the smaller is at least this share of the larger
LEFT_SHARE = 0.02  # least share of a shape that low orders cannot imitate
SEEN_SHARE = 0.6  # least share of a bend's height that the readings themselves show
AT_ONCE = 64  # shapes tried together, best first
BELL_SIGMAS = 3.03  # half of an arc in standard deviations, where a bell has fallen to 1 %
TELLING = 24  # readings from which a bend found is more than one reading
FEWEST = 18  # readings; fewer cannot tell a spike from a bend


class Spike(Struct, frozen=True):
    """One reading that stands out alone: angle [deg], reading and height over the fit [mm]."""

    angle_deg: float
    reading_mm: float
    height_mm: float


class LocalBend(Struct, frozen=True):
    """A sharp bend.

    Attributes
    ----------
    center_deg, width_deg : middle and whole width of the bent arc [deg].
    dip_mm, bulge_mm : how far the bend goes below and above the low orders [mm], both >= 0.
    low_deg, high_deg : where [deg].
    dip_and_bulge : low and high stand side by side, as worked metal does after a drop.
    lobe_mm, pair_mm : weights of the two shapes that make up the bend [mm].
    """

    center_deg: float
    width_deg: float
    dip_mm: float
    bulge_mm: float
    low_deg: float
    high_deg: float
    dip_and_bulge: bool
    lobe_mm: float
    pair_mm: float

    def curve_mm(
        self, angles_deg: Floats, moved_deg: float = 0.0, wider_deg: float = 0.0
    ) -> Floats:
        """The bend alone at the angles, or so moved and widened [mm]; shape (N,)."""
        return _curve(angles_deg, self.center_deg + moved_deg, self.width_deg + wider_deg,
                      self.lobe_mm, self.pair_mm)

    def shapes(self, angles_deg: Floats) -> Floats:
        """Lobe and pair at the angles, each at most 1 high; shape (N, 2)."""
        found = _shapes(angles_deg, np.array([self.center_deg]), np.array([self.width_deg]))
        return np.asarray(found[0])

    def unseen_mm(self, angles_deg: Floats) -> float:
        """How much of the bend may lie between readings at these angles [mm].

        Worst case: dip and bulge, each a bell as wide as its arc, midway between two readings.
        """
        arc = self.width_deg / 2.0 if self.dip_and_bulge else self.width_deg
        sigma = arc / 2.0 / BELL_SIGMAS
        missed = 0.0
        for place, size in ((self.low_deg, self.dip_mm), (self.high_deg, self.bulge_mm)):
            beyond = np.sort((angles_deg - place) % FULL_TURN_DEG)
            gap = float(beyond[0] + FULL_TURN_DEG - beyond[-1])
            missed += size * (1.0 - math.exp(-((gap / 2.0 / sigma) ** 2) / 2.0))
        return missed

    @property
    def height_mm(self) -> float:
        """High to low of the bend alone [mm]."""
        return self.dip_mm + self.bulge_mm


def spikes(
    readings_mm: Floats, angles_deg: Floats, orders: int, resolution_mm: float
) -> tuple[int, ...]:
    """Places, in the order given, of readings that stand out alone.

    Where the low orders do not show one, it is the reading without which the high minus low would
    be half or less.
    """
    found = _beside_the_shape(readings_mm, angles_deg, orders, resolution_mm)
    if found:
        return found
    enough = len(readings_mm) >= TELLING  # with fewer a spike alone passes for a bend
    if enough and find_bend(readings_mm, angles_deg, orders, resolution_mm)[0] is not None:
        return ()
    return _lone_extreme(readings_mm, angles_deg, resolution_mm)


def _beside_the_shape(
    readings_mm: Floats, angles_deg: Floats, orders: int, resolution_mm: float
) -> tuple[int, ...]:
    if len(readings_mm) < FEWEST:
        return ()
    basis = basis_of(angles_deg, orders)
    plain = readings_mm - basis @ (basis.T @ readings_mm)
    if float(np.abs(plain).max()) < PLAIN_SHARE * SPIKE_STEPS * resolution_mm:
        return ()
    residuals, scale = robust_residuals(readings_mm, angles_deg, orders)
    size = np.abs(residuals)
    freedom = max(1, len(size) - 2 * orders - 1)
    few = 1.0 + FEW_SPIKE / freedom  # a median of few residuals may be small by chance
    limit = max(SPIKE_SCALES * scale * few, SPIKE_STEPS * resolution_mm)
    beside = np.where(_near(angles_deg), size[None, :], 0.0).max(axis=1)
    quiet = np.minimum(LONELY * size, max(QUIET_SCALES * scale, QUIET_STEPS * resolution_mm))
    return tuple(int(place) for place in np.flatnonzero((size > limit) & (beside < quiet)))


def _near(angles_deg: Floats) -> NDArray[np.bool_]:
    """(N, N) which readings lie beside which: within an arc, or the two nearest."""
    apart = np.abs(within_half_a_turn(angles_deg[:, None] - angles_deg[None, :]))
    np.fill_diagonal(apart, np.inf)
    turn = np.argsort(apart, axis=1)
    second = apart[np.arange(len(angles_deg)), turn[:, 1]]
    return np.asarray((apart <= LONELY_DEG) | (apart <= second[:, None]))


def _lone_extreme(
    readings_mm: Floats, angles_deg: Floats, resolution_mm: float
) -> tuple[int, ...]:
    whole = float(np.ptp(readings_mm))
    near = _near(angles_deg)
    for place in (int(readings_mm.argmax()), int(readings_mm.argmin())):
        rest = np.delete(readings_mm, place)
        without = float(np.ptp(rest))
        size = np.abs(readings_mm - np.median(rest))
        alone = size[near[place]].max() < LONELY * size[place]
        stands_out = whole - without > SPIKE_SCALES * resolution_mm
        if without <= LONE_SHARE * whole and alone and stands_out:
            return (place,)
    return ()


def find_bend(
    readings_mm: Floats, angles_deg: Floats, orders: int, resolution_mm: float
) -> tuple[LocalBend | None, float, int]:
    """The sharp bend if there is one, with the scatter left [mm] and its degrees of freedom.

    Parameters
    ----------
    readings_mm, angles_deg : shape (N,), angles in [0, 360) and not repeated.
    orders : low orders fitted beside it.
    resolution_mm : one division of the gauge [mm].
    """
    return _bend_in(readings_mm.tobytes(), angles_deg.tobytes(), orders, resolution_mm)


@lru_cache(maxsize=4)  # sought before spikes are left out, and where there are none once more
def _bend_in(
    readings: bytes, angles: bytes, orders: int, resolution_mm: float
) -> tuple[LocalBend | None, float, int]:
    readings_mm, angles_deg = np.frombuffer(readings), np.frombuffer(angles)
    basis = basis_of(angles_deg, orders)
    residuals = readings_mm - basis @ (basis.T @ readings_mm)
    left = float(residuals @ residuals)
    freedom = len(readings_mm) - basis.shape[1]
    plain = float(np.sqrt(left / freedom))
    if len(readings_mm) < FEWEST or freedom < 5 or plain < resolution_mm / 10.0:
        return None, plain, freedom
    search = _search(angles, orders)
    if not len(search.widths):
        return None, plain, freedom
    gain, weights = _gains(search, residuals)
    best = _best_seen(search, gain, weights)
    if best is None:
        return None, plain, freedom
    after = max(left - float(gain[best]), (freedom - 4) * resolution_mm**2 / 12.0)
    ratio = (float(gain[best]) / 4.0) / (after / (freedom - 4))
    bend = _describe(float(search.centers[best]), float(search.widths[best]), weights[best])
    if ratio < BEND_F or bend.height_mm < max(SMALLEST_BEND_MM, SPIKE_STEPS * resolution_mm):
        return None, plain, freedom
    return bend, float(np.sqrt(after / (freedom - 4))), freedom - 4


def _grid(angles_deg: Floats) -> tuple[Floats, Floats]:
    """Every center with every width that at least two readings fall into on average."""
    spacing = FULL_TURN_DEG / len(angles_deg)
    widths = np.array([width for width in WIDTHS_DEG if width >= 1.8 * spacing])
    centers = np.arange(0.0, FULL_TURN_DEG, CENTER_STEP_DEG)
    mesh = np.meshgrid(centers, widths, indexing="ij")
    return mesh[0].ravel(), mesh[1].ravel()


def _shapes(angles_deg: Floats, centers: Floats, widths: Floats) -> Floats:
    """Lobe and pair at the angles; shape (G, N, 2), both at most 1 high."""
    offset = within_half_a_turn(angles_deg[None, :] - centers[:, None])
    phase = 2.0 * np.pi * offset / widths[:, None]
    inside = np.abs(phase) < np.pi
    lobe = np.where(inside, 0.5 + 0.5 * np.cos(phase), 0.0)
    pair = np.where(inside, np.sin(phase), 0.0)
    return np.stack([lobe, pair], axis=-1)


class _Search(Struct, frozen=True, eq=False):
    """Every shape at its place, and what depends on the angles of the readings alone.

    `shapes` (G, N, 2) at the readings, `free` (N, 2 G) what the low orders cannot imitate of them,
    reading by reading, `inverse` (G, 2, 2) of their normal matrices, zero where a shape can hardly
    be told.
    """

    centers: Floats
    widths: Floats
    shapes: Floats
    free: Floats
    inverse: Floats


@lru_cache(maxsize=32)  # a person types reading after reading; a fit for each takes the same grid
def _search(angles: bytes, orders: int) -> _Search:
    angles_deg = np.frombuffer(angles)
    centers, widths = _grid(angles_deg)
    basis = basis_of(angles_deg, orders)
    shapes = _shapes(angles_deg, centers, widths)
    flat = np.ascontiguousarray(shapes.transpose(1, 0, 2)).reshape(len(angles_deg), -1)
    free = flat - np.einsum("np,pm->nm", basis, np.einsum("np,nm->pm", basis, flat))
    parts = [np.ascontiguousarray(free[:, part::2]) for part in (0, 1)]
    normal = np.stack([np.einsum("ng,ng->g", one, other) for one in parts for other in parts],
                      axis=1).reshape(-1, 2, 2)
    size = np.einsum("nm,nm->m", flat, flat).reshape(-1, 2)
    own = np.einsum("gkk->gk", normal)
    solid = np.linalg.det(normal) > LEFT_SHARE * own[:, 0] * own[:, 1]
    solid &= (own > LEFT_SHARE * size).all(axis=1) & (size > 0.0).all(axis=1)
    inverse = np.zeros_like(normal)
    inverse[solid] = np.linalg.inv(normal[solid])
    return _Search(centers, widths, shapes, free, inverse)


def _gains(search: _Search, residuals: Floats) -> tuple[Floats, Floats]:
    """How much each shape takes off the squared residuals, and its two weights [mm]."""
    pull = np.einsum("n,nm->m", residuals, search.free).reshape(-1, 2)
    weights = search.inverse[:, :, 0] * pull[:, :1] + search.inverse[:, :, 1] * pull[:, 1:]
    return weights[:, 0] * pull[:, 0] + weights[:, 1] * pull[:, 1], weights


def _best_seen(search: _Search, gain: Floats, weights: Floats) -> int | None:
    """The shape that takes off most, of those whose height the readings themselves show."""
    order = np.argsort(-gain, kind="stable")
    for start in range(0, len(order), AT_ONCE):
        some = order[start:start + AT_ONCE]
        shown = _seen_shares(search.shapes[some], weights[some]) >= SEEN_SHARE
        if shown.any():
            return int(some[np.argmax(shown)])
    return None


def _seen_shares(shapes: Floats, weights: Floats) -> Floats:
    """(G,) share of each fitted bend's height that the readings show [0 to 1]."""
    shown = np.einsum("gnk,gk->gn", shapes, weights)
    shown = np.maximum(shown.max(axis=1), 0.0) - np.minimum(shown.min(axis=1), 0.0)
    phase = np.linspace(-np.pi, np.pi, 73)
    whole = np.outer(weights[:, 0], 0.5 + 0.5 * np.cos(phase))
    whole += np.outer(weights[:, 1], np.sin(phase))
    return np.asarray(shown / np.maximum(np.ptp(whole, axis=1), 1e-12))


def _describe(center: float, width: float, weights: Floats) -> LocalBend:
    fine = np.arange(0.0, FULL_TURN_DEG)
    lobe, pair = float(weights[0]), float(weights[1])
    curve = _curve(fine, center, width, lobe, pair)
    dip, bulge = max(0.0, -float(curve.min())), max(0.0, float(curve.max()))
    paired = min(dip, bulge) >= PAIR_SHARE * max(dip, bulge) and max(dip, bulge) > 0.0
    return LocalBend(
        center, width, dip, bulge, float(fine[curve.argmin()]), float(fine[curve.argmax()]), paired,
        lobe, pair,
    )


def _curve(angles_deg: Floats, center: float, width: float, lobe: float, pair: float) -> Floats:
    shapes = _shapes(angles_deg, np.array([center]), np.array([width]))[0]
    return np.asarray(shapes @ np.array([lobe, pair]), dtype=float)
