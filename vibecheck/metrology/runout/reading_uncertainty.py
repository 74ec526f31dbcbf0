"""What a reading is uncertain by: the one model that every calculator and every case uses.

A runout read once is uncertain by its digits, by the gauge's division and by all that changes when
gauge and wheel are set up anew: where the tip runs, its slant, how the wheel seats. The last is
by far the largest and cannot be seen in one turn, so it is taken by default.

Everything here is in one unit, that of the reading; spreads are standard uncertainties.

References
----------
1. JCGM 100:2008 (GUM), 4.3.7: a value rounded to a step is uncertain by step / sqrt(12).
2. JCGM 100:2008, F.1.1: what repeats within one setting-up does not show what varies between two.
"""

from __future__ import annotations

import math

from vibecheck.errors import ReadingError
from vibecheck.metrology.units.values import Measured

SMALLEST = 1e-9  # a typed number is never exact
K = 2.0  # expanded over standard uncertainty, about 95 %
WIDEST_SPREAD_MM = 10.0  # no gauge on a wheel repeats worse
SETUP_SD_MM = 0.03  # of a total runout at a bead from one setting-up to the next; from memory
DRIFT_SD_MM = 0.03  # of a gauge on its stand over one turn that was not closed; from memory


def rounding(step: float) -> float:
    """Standard uncertainty of a value rounded to a step [1]."""
    return step / math.sqrt(12.0)


def of_typed(reading: Measured, setup_sd: float, division: float = 0.0) -> float:
    """Standard uncertainty of one typed value [base unit].

    Parameters
    ----------
    reading : as typed; an uncertainty typed with it stands for the setting-up and the digits, but
        not for less than the gauge can show.
    setup_sd : from one setting-up to the next [base unit].
    division : of the gauge, 0 if not known [base unit].
    """
    digits = rounding(max(reading.step, division))
    if reading.uncertainty is None:
        return math.hypot(setup_sd, digits)
    least = rounding(division) if division or reading.uncertainty else digits
    return max(reading.uncertainty / K, least, SMALLEST)


def of_high_minus_low(
    division: float, repeat_sd: float = 0.0, setup_sd: float = SETUP_SD_MM, turns: int = 1,
    setups: int = 1,
) -> float:
    """Standard uncertainty of a high minus a low [unit of the division].

    Parameters
    ----------
    division : one division of the gauge; it does not average out.
    repeat_sd : of one pointer position read again; averages over `turns`.
    setup_sd : from one setting-up to the next; averages over `setups`.

    Raises
    ------
    ReadingError : a spread below zero or fewer than one turn.
    """
    for name, spread in (("repeat", repeat_sd), ("setup", setup_sd)):
        if not (0.0 <= spread <= WIDEST_SPREAD_MM and turns >= 1 and setups >= 1):
            raise ReadingError(
                f"a {name} spread lies from zero to {WIDEST_SPREAD_MM:g} mm, over one turn or more",
                "",
                "write for example 0.01",
            )
    pair = 2.0 * (rounding(division) ** 2 + repeat_sd**2 / turns)
    return math.sqrt(pair + setup_sd**2 / setups)
