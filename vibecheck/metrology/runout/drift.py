"""What the pointer did by itself in one turn: crept, never moved, or ran past its zero.

The workshop's test of a stand is to read the first place again when the turn is closed. What has
changed there has crept in on the way: it is taken off in proportion to how far the turn had gone,
and the doubt whether it came evenly or at one stroke is kept.

References
----------
1. JCGM 100:2008 (GUM), 4.3.7 and 5.1.2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from vibecheck.metrology.runout.harmonics import Floats

UNEVEN_SHARE = 0.25  # of the drift, how far it may lie from even; rectangular; from memory
SLIPPED_K = 3.0  # standard uncertainties beyond which the pointer did not come back
DIALS_MM = (0.2, 0.5, 1.0, 2.54)  # one turn of usual pointers; 2.54 mm is a tenth of an inch
ONE_TURN_SHARE = 0.6  # of a pointer's turn; a spread beyond it may hold a passage of the zero
UNWRAPPED_SHARE = 0.5  # of the spread as read, that is left when the passage is undone
BESIDE_ZERO = 0.1  # of a pointer's turn: so near the zero a high and a low may hold a passage
ALMOST = 1.0 + 1e-6  # readings are sums of floats


class Drift(Struct, frozen=True):
    """What the closing reading shows.

    Attributes
    ----------
    closing_mm : closing reading less the first one [mm].
    uncertainty_mm : standard uncertainty of that difference [mm].
    """

    closing_mm: float
    uncertainty_mm: float

    @property
    def slipped(self) -> bool:
        """The pointer did not come back to where it began."""
        return abs(self.closing_mm) > SLIPPED_K * self.uncertainty_mm

    def doubt_mm(self, apart: float) -> float:
        """Standard uncertainty of a difference of two readings, drift taken off [mm].

        Parameters
        ----------
        apart : share of the turn that lay between the two, in the order read [0 to 1].
        """
        uneven = UNEVEN_SHARE * abs(self.closing_mm) / math.sqrt(3.0)
        return math.hypot(self.uncertainty_mm * apart, uneven)


class PassedZero(Struct, frozen=True):
    """The pointer may have run past the zero of its dial.

    Attributes
    ----------
    dial_mm : one turn of the pointer [mm].
    tir_mm : high minus low if it did [mm].
    """

    dial_mm: float
    tir_mm: float


def stands_still(readings_mm: Sequence[float], division_mm: float) -> bool:
    """True if all readings lie within one division: a tip that does not touch reads so."""
    return max(readings_mm) - min(readings_mm) <= division_mm * ALMOST


def passed_zero(readings_mm: Floats) -> PassedZero | None:
    """Whether a list round one turn, in the order of its places, reads as if past the zero.

    Undone, the passage must halve the spread, and come and go within the turn.
    """
    spread = float(np.ptp(readings_mm))
    for dial in DIALS_MM:
        on_dial = readings_mm.min() >= 0.0 and readings_mm.max() <= dial * ALMOST
        if not on_dial or spread < ONE_TURN_SHARE * dial:
            continue
        steps = np.diff(readings_mm, append=readings_mm[0])
        turns = np.round(steps / dial)
        undone = readings_mm - dial * np.concatenate([[0.0], np.cumsum(turns)[:-1]])
        if turns.sum() == 0.0 and turns.any():
            left = float(np.ptp(undone))
            if left < UNWRAPPED_SHARE * spread:
                return PassedZero(dial, left)
    return None


def pair_passed_zero(high_mm: float, low_mm: float) -> PassedZero | None:
    """Whether a high and a low lie on either side of the zero of a dial."""
    for dial in DIALS_MM:
        near = BESIDE_ZERO * dial
        if 0.0 <= low_mm <= near and dial - near <= high_mm <= dial * ALMOST:
            return PassedZero(dial, low_mm + dial - high_mm)
    return None
