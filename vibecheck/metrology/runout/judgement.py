"""What a runout proves against a limit, and what would decide it where it proves nothing.

The bare numbers are judged by `decision`. Then what the numbers cannot know is held against them:
a pointer that never moved, a lone spike that may be weld or paint, a pointer that ran past its
zero, and, before "within" is said, a bend that no reading shows.

References
----------
1. ISO 14253-1:2017: proven within, proven beyond, or neither.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.places import WheelPlace
from vibecheck.metrology.runout.reading_uncertainty import K, rounding
from vibecheck.metrology.runout.repeats import Reading, Repeat, Repeats, together

if TYPE_CHECKING:
    from vibecheck.metrology.runout.readings import Runout


class Open(StrEnum):
    """Why a runout is neither proven within nor beyond."""

    STILL_POINTER = "still_pointer"
    SPIKE = "spike"
    PASSED_ZERO = "passed_zero"
    SLIPPED = "slipped"
    BETWEEN_READINGS = "between_readings"
    BESIDE_BEND = "beside_bend"
    REPEATS_DISAGREE = "repeats_disagree"
    UNCERTAINTY = "uncertainty"


class Decides(StrEnum):
    """What would decide it."""

    LIFT_THE_TIP = "lift_the_tip"
    LOOK_AT_THE_SPOT = "look_at_the_spot"
    COUNT_THE_TURNS = "count_the_turns"
    CLAMP_AND_READ_AGAIN = "clamp_and_read_again"
    HIGH_LOW_TURN = "high_low_turn"
    HIGH_LOW_PAST_THE_BEND = "high_low_past_the_bend"
    THIRD_READING = "third_reading"
    REPEAT = "repeat"
    FINER = "finer"


DECIDED_BY = {
    Open.STILL_POINTER: Decides.LIFT_THE_TIP,
    Open.SPIKE: Decides.LOOK_AT_THE_SPOT,
    Open.PASSED_ZERO: Decides.COUNT_THE_TURNS,
    Open.SLIPPED: Decides.CLAMP_AND_READ_AGAIN,
    Open.BETWEEN_READINGS: Decides.HIGH_LOW_TURN,
    Open.BESIDE_BEND: Decides.HIGH_LOW_PAST_THE_BEND,
    Open.REPEATS_DISAGREE: Decides.THIRD_READING,
}

READING_SUSPECT = (Open.STILL_POINTER, Open.SPIKE, Open.PASSED_ZERO, Open.SLIPPED,
                   Open.REPEATS_DISAGREE)


class OpenPoint(Struct, frozen=True):
    """One reason why nothing is proven.

    Attributes
    ----------
    why, decides : the reason, and what would settle it.
    low_mm, high_mm : the runout may be anything between, as far as this reason goes [mm].
    places : where to look; empty if it is not a matter of place.
    repeats : setting-ups in all whose mean would decide; None if no repeat is asked for.
    """

    why: Open
    decides: Decides
    low_mm: float
    high_mm: float
    places: tuple[WheelPlace, ...] = ()
    repeats: int | None = None


class Judgement(Struct, frozen=True):
    """What a runout proves.

    Attributes
    ----------
    zone : proven within, proven beyond, undecided.
    numbers : the decision by value and uncertainty alone.
    open : why it is undecided, the gravest first; empty if it is decided.
    repeats : what several readings of the surface say together; None of a single one.
    """

    zone: Zone
    numbers: Decision
    open: tuple[OpenPoint, ...] = ()
    repeats: Repeats | None = None

    @property
    def suspect(self) -> bool:
        """The reading itself may be wrong, whatever its uncertainty."""
        return any(point.why in READING_SUSPECT for point in self.open)


def judge_runout(runout: Runout, limit_mm: float, contact_seen: bool = False) -> Judgement:
    """Judge a runout against an upper limit.

    Parameters
    ----------
    runout : of one surface.
    limit_mm : largest high minus low accepted [mm].
    contact_seen : somebody saw the pointer move when the tip was lifted and let down.

    Raises
    ------
    ReadingError : a limit that cannot be.
    """
    numbers = decide(*runout.judged_mm, limit_mm)
    found = [
        *_still(runout, contact_seen),
        *_spiked(runout, limit_mm),
        *_past_zero(runout, limit_mm),
        *_between(runout, numbers, limit_mm),
    ]
    if numbers.zone is Zone.UNDECIDED:
        found.append(_too_uncertain(runout, numbers))
    return Judgement(Zone.UNDECIDED if found else numbers.zone, numbers, tuple(found))


def judge_repeats(
    runouts: Sequence[Runout], limit_mm: float, contact_seen: bool = False
) -> Judgement:
    """Judge several readings of one surface, each from its own setting-up.

    Where they agree their mean is judged; where not, nothing is proven until a third tells which
    stands out. What one of them saw (a slow turn sees every bend) counts for all. A pointer that
    never moved repeats no reading of one that did.

    Raises
    ------
    ReadingError : no reading, or a limit that cannot be.
    """
    moved = [place for place, each in enumerate(runouts) if contact_seen or not each.still]
    moved = moved or list(range(len(runouts)))
    found = together([_reading(runouts[place]) for place in moved])
    found = replace(found, used=tuple(moved[place] for place in found.used))
    if found.repeat is Repeat.DISAGREE:
        numbers = decide(found.value, found.uncertainty, limit_mm)
        point = _point(Open.REPEATS_DISAGREE, found.value - found.uncertainty,
                       found.value + found.uncertainty)
        return Judgement(Zone.UNDECIDED, numbers, (point,), found)
    used = [runouts[place] for place in found.used]
    best = min(used, key=lambda each: each.hidden_mm + each.unseen_mm)
    seen = contact_seen or not all(each.still for each in used)
    joined = best if len(used) == 1 else replace(
        best, tir_mm=found.value, uncertainty_mm=found.uncertainty, still=best.still and not seen
    )
    return replace(judge_runout(joined, limit_mm, seen), repeats=found)


def _reading(runout: Runout) -> Reading:
    floor = K * math.sqrt(2.0) * rounding(runout.division_mm)
    return Reading(runout.tir_mm, runout.uncertainty_mm, min(floor, runout.uncertainty_mm))


def _point(why: Open, low_mm: float, high_mm: float, *places: WheelPlace) -> OpenPoint:
    return OpenPoint(why, DECIDED_BY[why], max(0.0, low_mm), high_mm, places)


def _still(runout: Runout, contact_seen: bool) -> list[OpenPoint]:
    if not runout.still or contact_seen:
        return []
    return [_point(Open.STILL_POINTER, 0.0, runout.tir_mm)]


def _spiked(runout: Runout, limit_mm: float) -> list[OpenPoint]:
    """A spike matters where the runout without it does not prove the same."""
    without = runout.tir_without_spikes_mm
    if without is None:
        return []
    spread = runout.uncertainty_mm
    zones = {decide(size, spread, limit_mm).zone for size in (runout.tir_mm, without)}
    if len(zones) == 1:
        return []
    places = (WheelPlace(spike.angle_deg, 0.0, runout.mark) for spike in runout.spikes)
    return [_point(Open.SPIKE, without, runout.tir_mm, *places)]


def _past_zero(runout: Runout, limit_mm: float) -> list[OpenPoint]:
    if runout.zero is None:
        return []
    other = runout.zero.tir_mm
    if (other > limit_mm) is (runout.tir_mm > limit_mm):
        return []
    return [_point(Open.PASSED_ZERO, min(other, runout.tir_mm), max(other, runout.tir_mm))]


def _between(runout: Runout, numbers: Decision, limit_mm: float) -> list[OpenPoint]:
    most = numbers.value + numbers.uncertainty + runout.hidden_mm
    if numbers.zone is not Zone.WITHIN or runout.hidden_mm == 0.0 or most <= limit_mm:
        return []
    return [_point(Open.BETWEEN_READINGS, runout.tir_mm, runout.tir_mm + runout.hidden_mm)]


def _too_uncertain(runout: Runout, numbers: Decision) -> OpenPoint:
    low, high = numbers.value - numbers.uncertainty, numbers.value + numbers.uncertainty
    if runout.unseen_mm and runout.bend_place is not None:
        return _point(Open.BESIDE_BEND, low, high, runout.bend_place)
    if runout.drift is not None and runout.drift.slipped:
        return _point(Open.SLIPPED, low, high)
    decides = Decides.FINER if numbers.repeats_needed is None else Decides.REPEAT
    return OpenPoint(
        Open.UNCERTAINTY, decides, max(0.0, low), high, repeats=numbers.repeats_needed
    )
