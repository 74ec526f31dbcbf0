"""Two or more readings of one surface: whether they repeat, and what they say together.

References
----------
1. ISO/IEC 17043:2023, Annex B: two results agree if the number E_n, their difference over the root
   of the sum of their squared expanded uncertainties, is at most 1.
   Among more than two the largest of many differences is held against a limit that all of them
   together keep in 95 of 100 cases (Bonferroni).
2. JCGM 100:2008 (GUM), 4.2: means, and what does not average out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from itertools import combinations

from msgspec import Struct

from vibecheck.errors import ReadingError


class Reading(Struct, frozen=True):
    """One result: value, expanded uncertainty (k = 2), and the part of it that never averages out.

    All in one unit; `floor` is expanded too (gauge division, an error common to all).
    """

    value: float
    uncertainty: float
    floor: float = 0.0


class Repeat(StrEnum):
    """Whether readings repeat."""

    SINGLE = "single"
    AGREE = "agree"
    DISAGREE = "disagree"
    ONE_STANDS_OUT = "one_stands_out"


class NextReading(StrEnum):
    """What to read next."""

    NONE = "none"
    REPEAT = "repeat"
    THIRD = "third"
    FIND_THE_CAUSE = "find_the_cause"


class Repeats(Struct, frozen=True):
    """What readings of one surface say together, in their unit.

    Attributes
    ----------
    repeat : whether they agree.
    value, uncertainty : mean of those that agree, or the middle of all with half of their whole
        spread where none do; expanded.
    used : places in the order given of the readings behind the value.
    e_n : the largest E_n between two readings [unitless].
    e_n_limit : above this they disagree: 1 for two readings, more for many [unitless].
    upcoming : what to read next.
    """

    repeat: Repeat
    value: float
    uncertainty: float
    used: tuple[int, ...]
    e_n: float
    e_n_limit: float
    upcoming: NextReading


def together(readings: Sequence[Reading]) -> Repeats:
    """Combine readings of one surface, each from its own setting-up.

    Two that disagree prove nothing alone: a third tells which stands out. With three or more the
    largest group that agrees counts if it is more than half of all.

    Raises
    ------
    ReadingError : no reading, or one that cannot be.
    """
    _check(readings)
    count = len(readings)
    worst = max((e_number(*pair) for pair in combinations(readings, 2)), default=0.0)
    limit = _e_n_limit(count)
    group = _largest_group(readings, limit)
    if len(group) == count:
        repeat = Repeat.AGREE if count > 1 else Repeat.SINGLE
        upcoming = NextReading.NONE if count > 1 else NextReading.REPEAT
        return Repeats(repeat, *_mean(readings, group), group, worst, limit, upcoming)
    if 2 * len(group) > count and len(group) > 1:
        value, uncertainty = _mean(readings, group)
        return Repeats(Repeat.ONE_STANDS_OUT, value, uncertainty, group, worst, limit,
                       NextReading.NONE)
    low = min(each.value - each.uncertainty for each in readings)
    high = max(each.value + each.uncertainty for each in readings)
    upcoming = NextReading.THIRD if count == 2 else NextReading.FIND_THE_CAUSE
    return Repeats(Repeat.DISAGREE, (low + high) / 2.0, (high - low) / 2.0,
                   tuple(range(count)), worst, limit, upcoming)


def e_number(one: Reading, other: Reading) -> float:
    """E_n of two results [1] [unitless]."""
    apart = abs(one.value - other.value)
    allowed = math.hypot(one.uncertainty, other.uncertainty)
    if allowed == 0.0:
        return 0.0 if apart == 0.0 else math.inf
    return apart / allowed


def _e_n_limit(count: int) -> float:
    pairs = max(1, count * (count - 1) // 2)
    if pairs == 1:
        return 1.0
    from statistics import NormalDist  # few readings are repeated more than once

    normal = NormalDist()
    return normal.inv_cdf(1.0 - 0.025 / pairs) / normal.inv_cdf(0.975)


def _largest_group(readings: Sequence[Reading], limit: float) -> tuple[int, ...]:
    """The most readings that agree pair by pair: neighbors by value; the tightest of equals."""
    order = sorted(range(len(readings)), key=lambda place: readings[place].value)
    best: tuple[int, ...] = ()
    for first in range(len(order)):
        for last in range(first, len(order)):
            group = order[first:last + 1]
            pairs = combinations((readings[place] for place in group), 2)
            agree = all(e_number(*pair) <= limit for pair in pairs)
            if agree and _better(group, best, readings):
                best = tuple(group)
    return tuple(sorted(best))


def _better(group: Sequence[int], best: Sequence[int], readings: Sequence[Reading]) -> bool:
    if len(group) != len(best):
        return len(group) > len(best)
    return _width(group, readings) < _width(best, readings)


def _width(group: Sequence[int], readings: Sequence[Reading]) -> float:
    values = [readings[place].value for place in group]
    return max(values) - min(values)


def _mean(readings: Sequence[Reading], group: Sequence[int]) -> tuple[float, float]:
    """Weighted mean and its expanded uncertainty, not below what never averages out."""
    chosen = [readings[place] for place in group]
    if any(each.uncertainty == 0.0 for each in chosen):
        return math.fsum(each.value for each in chosen) / len(chosen), 0.0
    weights = [each.uncertainty**-2 for each in chosen]
    total = math.fsum(weights)
    value = math.fsum(
        weight * each.value for weight, each in zip(weights, chosen, strict=True)
    ) / total
    floor = max(each.floor for each in chosen)
    random = math.fsum(
        (weight / total) ** 2 * max(each.uncertainty**2 - each.floor**2, 0.0)
        for weight, each in zip(weights, chosen, strict=True)
    )
    return value, math.sqrt(random + floor**2)


def _check(readings: Sequence[Reading]) -> None:
    if not readings:
        raise ReadingError("there is no reading to compare", "", "give two or more of one surface")
    for number, each in enumerate(readings, start=1):
        sizes = (each.value, each.uncertainty, each.floor)
        if not all(math.isfinite(size) for size in sizes) or min(sizes[1:]) < 0.0:
            raise ReadingError("a value or its uncertainty cannot be", f"reading {number}")
