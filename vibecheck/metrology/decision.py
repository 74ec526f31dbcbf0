"""A measured value against a limit, judged with its uncertainty.

References
----------
1. ISO 14253-1:2017, Decision rules for verifying conformity or nonconformity with
   specifications: the limit less the uncertainty proves conformity, the limit plus the uncertainty
   proves nonconformity, and between them neither is proven.
"""

from __future__ import annotations

import math
from enum import StrEnum

from msgspec import Struct

from vibecheck.errors import ReadingError

MOST_REPEATS = 20


class Zone(StrEnum):
    """Where a value stands against an upper limit."""

    WITHIN = "within"
    BEYOND = "beyond"
    UNDECIDED = "undecided"


class Decision(Struct, frozen=True):
    """What a measured value proves against an upper limit, all in one unit.

    Attributes
    ----------
    zone : proven within, proven beyond, or undecided.
    value, uncertainty, limit : as given; the uncertainty is expanded, k = 2.
    needed_uncertainty : an uncertainty up to this would decide; the distance to the limit.
    repeats_needed : repeats of the whole measurement whose mean would decide if all of the
        uncertainty averages out; None if decided already or if more than 20 would be needed.
    """

    zone: Zone
    value: float
    uncertainty: float
    limit: float
    needed_uncertainty: float
    repeats_needed: int | None = None


def decide(value: float, uncertainty: float, limit: float) -> Decision:
    """Judge a value with expanded uncertainty (k = 2) against an upper limit, all in one unit.

    Raises
    ------
    ReadingError : a value that is not finite, a negative uncertainty or limit.
    """
    if not all(math.isfinite(number) for number in (value, uncertainty, limit)):
        raise ReadingError("a value, its uncertainty and the limit must be finite numbers")
    if uncertainty < 0.0 or limit < 0.0:
        raise ReadingError("an uncertainty and a limit cannot be negative")
    needed = abs(limit - value)
    if value <= limit - uncertainty:
        return Decision(Zone.WITHIN, value, uncertainty, limit, needed)
    if value >= limit + uncertainty:
        return Decision(Zone.BEYOND, value, uncertainty, limit, needed)
    repeats = None
    if needed * math.sqrt(MOST_REPEATS) >= uncertainty:
        repeats = max(2, math.ceil((uncertainty / needed) ** 2 - 1e-9))
    return Decision(Zone.UNDECIDED, value, uncertainty, limit, needed, repeats)
