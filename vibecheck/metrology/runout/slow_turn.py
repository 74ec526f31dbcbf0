"""Readings round a turn together with the high and the low of one slow turn of the same surface.

The readings tell the shape, the slow turn misses no bend: together they may prove a surface within.
"""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.metrology.runout.readings import Runout


class BothWays(Struct, frozen=True):
    """A runout from both, and whether the two agree.

    Attributes
    ----------
    runout : shape from the readings, high minus low from the slow turn.
    agree : False if single readings reach farther than the slow turn did.
    excess_mm : by how much they do; negative if the slow turn reached farther [mm].
    """

    runout: Runout
    agree: bool
    excess_mm: float


def with_slow_turn(readings: Runout, turn: Runout) -> BothWays:
    """Readings round a turn, completed by the high and low of a slow turn of the same surface.

    If the readings reach farther than the slow turn, beyond the uncertainty of both, they stand.

    Parameters
    ----------
    readings : from `from_readings`.
    turn : from `from_high_low` or `from_tir`.
    """
    excess = readings.tir_mm - turn.tir_mm
    allowed = math.hypot(readings.uncertainty_mm, turn.uncertainty_mm)
    if excess > allowed:
        return BothWays(readings, False, excess)
    joined = replace(
        readings, tir_mm=turn.tir_mm, uncertainty_mm=turn.uncertainty_mm, unseen_mm=0.0,
        hidden_mm=0.0, still=readings.still or turn.still, zero=turn.zero or readings.zero,
    )
    if joined.spikes and joined.tir_without_spikes_mm is not None:
        without = min(joined.tir_without_spikes_mm, turn.tir_mm)
        joined = replace(joined, tir_without_spikes_mm=without)
    return BothWays(joined, True, excess)
