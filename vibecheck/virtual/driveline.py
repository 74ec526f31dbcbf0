"""A line of shafts turned in space, exactly: every yoke as a vector.

A joint's cross has two axes that stay at right angles: one turns with the driving yoke, one with
the driven yoke. The driven yoke's axis is therefore at right angles to the driving yoke's axis
and to its own shaft. Only tests and practice use this; the product uses the series.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from vibecheck.metrology.joints.line import JointKind, Piece
from vibecheck.metrology.runout.harmonics import Floats

_UP = np.array([0.0, 0.0, 1.0])


def turned_out(pieces: Sequence[Piece], kinds: Sequence[JointKind], turned_in: Floats) -> Floats:
    """How far the last piece has turned for each turn of the first [rad], less the turn itself.

    Parameters
    ----------
    pieces, kinds : see `vibecheck.metrology.joints.line.work_out`.
    turned_in : turn of the first piece [rad], rising, shape (n,).
    """
    shafts = [_along(piece) for piece in pieces]
    across, up = _frame(shafts[0])
    yoke = np.cos(turned_in)[:, None] * across + np.sin(turned_in)[:, None] * up
    for at, kind in enumerate(kinds):
        rear = shafts[at + 1]
        if kind is JointKind.SINGLE:
            yoke = _unit(np.cross(rear, yoke))
        else:
            yoke = _carried(yoke, shafts[at], rear)
        yoke = _rotated(yoke, rear, np.radians(pieces[at + 1].out_of_phase_deg))
    across, up = _frame(shafts[-1])
    turn = np.unwrap(np.arctan2(yoke @ up, yoke @ across))
    off = turn - turned_in
    return np.asarray(off - off.mean())


def _along(piece: Piece) -> Floats:
    """Rearward along a piece: back, right, up (the front end up means it falls to the rear)."""
    down = np.tan(np.radians(piece.side_deg))
    return np.asarray(_unit(np.array([[1.0, np.tan(np.radians(piece.plan_deg)), -down]]))[0])


def _frame(shaft: Floats) -> tuple[Floats, Floats]:
    across = np.asarray(_unit(np.cross(_UP, shaft)[None, :])[0])
    return across, np.asarray(np.cross(shaft, across))


def _carried(yoke: Floats, front: Floats, rear: Floats) -> Floats:
    """An even joint: the turn about the front shaft becomes the same turn about the rear one."""
    across, up = _frame(front)
    new_across, new_up = _frame(rear)
    return (yoke @ across)[:, None] * new_across + (yoke @ up)[:, None] * new_up


def _rotated(yoke: Floats, shaft: Floats, angle: float) -> Floats:
    return np.asarray(np.cos(angle) * yoke + np.sin(angle) * np.cross(shaft, yoke))


def _unit(rows: Floats) -> Floats:
    return np.asarray(rows / np.linalg.norm(rows, axis=1, keepdims=True))
