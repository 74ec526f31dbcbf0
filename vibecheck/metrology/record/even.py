"""A record on an even time grid, gap-free stretch by stretch, and turned so that z is up.

Nothing is made up inside a gap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record.load import Record
from vibecheck.metrology.record.regrid import POINTS, regridded

Real = npt.NDArray[np.float64]

BLOCK, MARGIN = 1 << 15, 512  # samples put on the grid at once, and those beside them
SHORTEST_STRETCH_S = 2.0  # s; shorter pieces between gaps are passed over


@dataclass(frozen=True, eq=False)
class Stretch:
    """A piece of the record without gaps on an even grid.

    Attributes
    ----------
    start_s : time of the first sample in the record [s].
    acceleration : (n, 3) [m/s2], mean removed; columns x, y, z or, after `upright`, two
        horizontal directions and up.
    speed_ms : (n,) [m/s], or None.
    """

    start_s: float
    acceleration: npt.NDArray[np.floating]
    speed_ms: npt.NDArray[np.floating] | None


@dataclass(frozen=True, eq=False)
class EvenRecord:
    """A record on an even grid.

    Attributes
    ----------
    rate_hz : sampling rate [Hz].
    stretches : the pieces between gaps, in time order.
    upright : whether the third column is up (known only if gravity was recorded).
    """

    rate_hz: float
    stretches: tuple[Stretch, ...]
    upright: bool

    @property
    def length_s(self) -> float:
        """Length of all stretches together [s]."""
        return sum(len(piece.acceleration) for piece in self.stretches) / self.rate_hz


def even(record: Record) -> EvenRecord:
    """Put a record on an even grid, mean removed, z up if gravity is known.

    Raises
    ------
    RecordError : no stretch between gaps is as long as 2 s.
    """
    axes = _upright_axes(record.gravity)
    edges = [0, *(int(np.searchsorted(record.time_s, end)) for _, end in record.gaps),
             len(record.time_s)]
    pieces = []
    for first, last in zip(edges, edges[1:], strict=False):
        time_s = record.time_s[first:last]
        if last - first < 2 * POINTS or time_s[-1] - time_s[0] < SHORTEST_STRETCH_S:
            continue
        pieces.append(_stretch(record, first, last, axes))
    if not pieces:
        raise RecordError(
            "gaps cut the record into pieces too short to use", record.source,
            "record again with other apps closed",
        )
    return EvenRecord(record.rate_hz, tuple(pieces), record.gravity is not None)


def _stretch(record: Record, first: int, last: int, axes: Real) -> Stretch:
    """Rows from first to last on an even grid, block by block with some overlap."""
    time_s, values = record.time_s[first:last], record.acceleration[first:last]
    start = float(time_s[0])
    count = math.ceil((float(time_s[-1]) - start) * record.rate_hz)
    found = np.empty((count, 3), dtype=np.float32)
    speed = None if record.speed_ms is None else np.empty(count, dtype=np.float32)
    total = np.zeros(3)
    for begin in range(0, count, BLOCK):
        end = min(begin + BLOCK, count)
        ahead, past = max(begin - MARGIN, 0), min(end + MARGIN, count)
        grid = start + np.arange(ahead, past) / record.rate_hz
        low = max(int(np.searchsorted(time_s, grid[0], side="right")) - 1 - POINTS, 0)
        high = min(int(np.searchsorted(time_s, grid[-1])) + 1 + POINTS, len(time_s))
        part = regridded(time_s[low:high], values[low:high].astype(np.float64), grid)
        kept = part[begin - ahead: end - ahead]
        found[begin:end] = kept @ axes.T
        total += found[begin:end].sum(axis=0, dtype=np.float64)
        if speed is not None and record.speed_ms is not None:
            speed[begin:end] = np.interp(grid[begin - ahead: end - ahead], time_s[low:high],
                                         record.speed_ms[first + low: first + high])
    found -= (total / count).astype(np.float32)
    return Stretch(start, found, speed)


def _upright_axes(gravity: Real | None) -> Real:
    """Rows are two horizontal directions and up, in the phone's axes; unturned without gravity."""
    if gravity is None:
        return np.eye(3)
    up = gravity / np.linalg.norm(gravity)
    least = np.eye(3)[int(np.argmin(np.abs(up)))]
    across = np.cross(up, least)
    across /= np.linalg.norm(across)
    return np.array([np.cross(across, up), across, up])
