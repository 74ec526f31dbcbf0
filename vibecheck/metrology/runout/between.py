"""What a turn read at single places cannot see: a dent that lies between the readings.

A bend is sought that no reading shows: every shape (a dent or a bulge alone, or both side by
side), every width from the narrowest on and every place, as high as the readings allow. The
farthest high minus low that such a bend could bring is what "within" has to hold against. Only a
slow turn with an eye on the pointer, high and low, sees every bend.

The widths are those of the whole bent arc, where it has fallen to 1 % of its height. A bend deeper
than `DEEPEST_MM` is taken to be noticed by eye. Both limits are from memory.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from vibecheck.metrology.runout.harmonics import Floats, within_half_a_turn
from vibecheck.metrology.vectors import FULL_TURN_DEG

Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

NARROWEST_DEG = 12.0
DEEPEST_MM = 1.5
ONE_SIDED = 2.5  # standard deviations by which a reading may hide a flank
BELL_SIGMAS = math.sqrt(2.0 * math.log(100.0))  # half of an arc, where a bell has fallen to 1 %
CENTER_STEP_DEG = 1.0
PAIR_SHARES = (0.0, 0.3, 1.0)  # height of the bulge over that of the dip; 0 is a dent alone
KINDS = tuple((share, mirrored) for share in PAIR_SHARES
              for mirrored in ((False, True) if share else (False,)))
LEAST_SHARE = 1e-6
MOST_PLACES = 180  # a finer turn is a slow turn, watched


def bend_shapes(
    angles_deg: Floats, width_deg: float, share: float, mirrored: bool,
    centers_deg: Floats | None = None,
) -> Floats:
    """A bend of height 1 at every center, at the angles; shape (C, N).

    Parameters
    ----------
    width_deg : whole bent arc [deg].
    share : height of the bulge beside the dip over that of the dip; 0 for one bell [unitless].
    mirrored : whether the bulge lies before the dip.
    centers_deg : those to look at, else all of the grid; shape (C,).
    """
    centers = _centers() if centers_deg is None else centers_deg
    if share == 0.0:
        return -_bells(angles_deg, centers, width_deg)
    aside = width_deg / 4.0 * (-1.0 if mirrored else 1.0)
    dip = _bells(angles_deg, centers - aside, width_deg / 2.0)
    bulge = _bells(angles_deg, centers + aside, width_deg / 2.0)
    return np.asarray(share * bulge - dip)


def _centers() -> Floats:
    return np.arange(0.0, FULL_TURN_DEG, CENTER_STEP_DEG)


def _bells(angles_deg: Floats, centers: Floats, width_deg: float) -> Floats:
    offset = within_half_a_turn(angles_deg[None, :] - centers[:, None])
    return np.asarray(np.exp(-0.5 * (offset / (width_deg / 2.0 / BELL_SIGMAS)) ** 2))


class _Family(Struct, frozen=True, eq=False):
    """Every shape (S) at every center (C), as far as readings lie on it; rows S x C.

    Attributes
    ----------
    places : readings that lie on the bend, the first of them again where there are fewer; (R, K).
    seen, sign : height there, without and with its sign [1]; (R, K).
    blind : rows that no reading lies on; (R,).
    dip, bulge : place of the curve where the dip and the bulge go; (S, C).
    shares : height of the bulge over that of the dip; (S, 1).
    """

    places: Places
    seen: Floats
    sign: Floats
    blind: Flags
    dip: Places
    bulge: Places
    shares: Floats


@lru_cache(maxsize=64)  # a person types reading after reading at the same places
def _family(angles: tuple[float, ...], width_deg: float) -> _Family:
    shapes = np.concatenate([bend_shapes(np.array(angles), width_deg, share, mirrored)
                             for share, mirrored in KINDS])
    aside = np.array([round(width_deg / 4.0 / CENTER_STEP_DEG) * (-1 if mirrored else 1)
                      if share else 0 for share, mirrored in KINDS])[:, None]
    size = np.abs(shapes)
    on = size > LEAST_SHARE
    most = max(1, int(on.sum(axis=1).max()))
    places = np.argsort(~on, axis=1, kind="stable")[:, :most]
    rows = np.arange(len(shapes))[:, None]
    places = np.where(on[rows, places], places, places[:, :1])
    centers = np.arange(len(_centers()))[None, :]
    return _Family(
        places, np.maximum(size[rows, places], LEAST_SHARE), np.sign(shapes[rows, places]),
        ~on.any(axis=1), (centers - aside) % centers.size, (centers + aside) % centers.size,
        np.array([[share] for share, _ in KINDS]),
    )


def farthest_tir(
    angles_deg: Floats, left_mm: Floats, spread_mm: float, curve_mm: Floats,
    narrowest_deg: float = NARROWEST_DEG,
) -> float:
    """The largest high minus low that the readings leave open [mm].

    Parameters
    ----------
    angles_deg, left_mm : shape (N,), where was read, and what the fitted shape leaves over there.
    spread_mm : standard deviation of one reading [mm].
    curve_mm : the fitted shape at every degree of `CENTER_STEP_DEG` [mm].
    narrowest_deg : the narrowest bend to think of [deg].
    """
    margin = ONE_SIDED * spread_mm
    top, bottom = float(curve_mm.max()), float(curve_mm.min())
    farthest = top - bottom
    family = _family(tuple(angles_deg.tolist()), narrowest_deg)
    along = family.sign * left_mm[family.places]
    at_dip, at_bulge = curve_mm[family.dip], curve_mm[family.bulge]
    for sign in (1.0, -1.0):  # the same shapes upside down
        height = sign * _highest(family, sign * along, margin).reshape(at_dip.shape)
        dip = at_dip - height
        bulge = at_bulge + family.shares * height  # of a dent alone: the curve itself
        high = np.maximum(np.maximum(dip, bulge), top)
        low = np.minimum(np.minimum(dip, bulge), bottom)
        farthest = max(farthest, float((high - low).max()))
    return farthest


def _highest(family: _Family, along_mm: Floats, margin_mm: float) -> Floats:
    """(R,) the greatest height that no reading speaks against, up to `DEEPEST_MM` [mm]."""
    allowed = ((np.maximum(along_mm, 0.0) + margin_mm) / family.seen).min(axis=1)
    allowed[family.blind] = np.inf
    return np.asarray(np.minimum(allowed, DEEPEST_MM), dtype=np.float64)


def readings_that_see(
    width_deg: float, room_mm: float, spread_mm: float
) -> int | None:
    """How many evenly spaced readings cannot miss a bend so wide; None if no list does.

    None means: read the high and the low of one slow turn instead.

    Parameters
    ----------
    width_deg : the whole bent arc [deg].
    room_mm : by how much a bend may add to the runout before it matters [mm].
    spread_mm : standard deviation of one reading [mm].
    """
    flat = np.zeros(len(_centers()))
    for count in range(6, MOST_PLACES + 1, 2):
        angles = np.arange(count) * FULL_TURN_DEG / count
        if _unseen_at_start(angles, spread_mm, width_deg) > room_mm:
            continue  # the first gap alone is enough to say no
        if farthest_tir(angles, np.zeros(count), spread_mm, flat, width_deg) <= room_mm:
            return count
    return None


def _unseen_at_start(angles_deg: Floats, spread_mm: float, width_deg: float) -> float:
    """What a bend centered between the first two readings can add without being read [mm]."""
    centers = np.arange(0.0, angles_deg[1], CENTER_STEP_DEG)
    size = np.abs([bend_shapes(angles_deg, width_deg, share, mirrored, centers)
                   for share, mirrored in KINDS])
    allowed = (ONE_SIDED * spread_mm / np.maximum(size, LEAST_SHARE)).min(axis=2)
    adds = np.array([[1.0 + share] for share, _ in KINDS])
    return float((adds * np.minimum(allowed, DEEPEST_MM)).max())
