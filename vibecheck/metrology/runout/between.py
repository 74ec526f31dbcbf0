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

from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.vectors import FULL_TURN_DEG

NARROWEST_DEG = 12.0
DEEPEST_MM = 1.5
ONE_SIDED = 2.5  # standard deviations by which a reading may hide a flank
BELL_SIGMAS = math.sqrt(2.0 * math.log(100.0))  # half of an arc, where a bell has fallen to 1 %
CENTER_STEP_DEG = 1.0
PAIR_SHARES = (0.0, 0.3, 1.0)  # height of the bulge over that of the dip; 0 is a dent alone
LEAST_SHARE = 1e-6
MOST_PLACES = 180  # a finer turn is a slow turn, watched


def bend_shapes(angles_deg: Floats, width_deg: float, share: float, mirrored: bool) -> Floats:
    """A bend of height 1 at every center of the grid, at the angles; shape (C, N).

    Parameters
    ----------
    width_deg : whole bent arc [deg].
    share : height of the bulge beside the dip over that of the dip; 0 for one bell [unitless].
    mirrored : whether the bulge lies before the dip.
    """
    centers = _centers()
    if share == 0.0:
        return -_bells(angles_deg, centers, width_deg)
    aside = width_deg / 4.0 * (-1.0 if mirrored else 1.0)
    dip = _bells(angles_deg, centers - aside, width_deg / 2.0)
    bulge = _bells(angles_deg, centers + aside, width_deg / 2.0)
    return np.asarray(share * bulge - dip)


def _centers() -> Floats:
    return np.arange(0.0, FULL_TURN_DEG, CENTER_STEP_DEG)


def _bells(angles_deg: Floats, centers: Floats, width_deg: float) -> Floats:
    offset = (angles_deg[None, :] - centers[:, None] + 180.0) % FULL_TURN_DEG - 180.0
    return np.asarray(np.exp(-0.5 * (offset / (width_deg / 2.0 / BELL_SIGMAS)) ** 2))


@lru_cache(maxsize=64)  # a person types reading after reading at the same places
def _family(angles: tuple[float, ...], width_deg: float) -> tuple[tuple[Floats, int, float], ...]:
    """Each shape at the readings, where its dip and bulge lie off the center, and its share."""
    found = []
    for share in PAIR_SHARES:
        for mirrored in (False, True) if share else (False,):
            shapes = bend_shapes(np.array(angles), width_deg, share, mirrored)
            aside = round(width_deg / 4.0 / CENTER_STEP_DEG) if share else 0
            found.append((shapes, -aside if mirrored else aside, share))
    return tuple(found)


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
    for shapes, aside, share in _family(tuple(angles_deg.tolist()), narrowest_deg):
        for sign in (1.0, -1.0):  # the same shape upside down
            height = _highest(sign * shapes, left_mm, margin)
            dip = np.roll(curve_mm, aside) - sign * height
            ends = [dip]
            if share:
                ends.append(np.roll(curve_mm, -aside) + sign * share * height)
            high = np.maximum.reduce([np.full_like(dip, top), *ends])
            low = np.minimum.reduce([np.full_like(dip, bottom), *ends])
            farthest = max(farthest, float((high - low).max()))
    return farthest


def _highest(shapes: Floats, left_mm: Floats, margin_mm: float) -> Floats:
    """(C,) the greatest height that no reading speaks against, up to `DEEPEST_MM` [mm]."""
    seen = np.abs(shapes)
    along = np.sign(shapes) * left_mm[None, :]
    room = np.maximum(along, 0.0) + margin_mm
    allowed = np.where(seen > LEAST_SHARE, room / np.maximum(seen, LEAST_SHARE), np.inf)
    return np.asarray(np.minimum(allowed.min(axis=1), DEEPEST_MM), dtype=np.float64)


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
        if farthest_tir(angles, np.zeros(count), spread_mm, flat, width_deg) <= room_mm:
            return count
    return None
