"""Wheels side by side: what was read of each, what is still missing, and what becomes of it.

What becomes of a wheel follows from three things: how it looks, what its four bead surfaces prove,
and whether it is new and came by carrier. That a cracked wheel is scrap, that a damaged new one
goes back and a bent used one to somebody who answers for it, and that the truest two go to the
front, is common practice, no source.

"Keep" takes all four surfaces proven within and a look for cracks, dents and repairs. A wheel
proven beyond its limit by one setting-up alone may have been centered badly: it is not given away
before it was read round the turn, or set up afresh and read again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.calculators.wheel import SURFACES, WheelResult
from vibecheck.casebook.case import Entry
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.judgement import Decides
from vibecheck.metrology.runout.repeats import Repeat
from vibecheck.metrology.runout.wheel_verdict import (
    OFFSET_SHARE,
    Pattern,
    Surface,
    SurfaceVerdict,
    Verdict,
)
from vibecheck.session.limits import Limit
from vibecheck.session.wheel import WheelRules, judged_wheel

FINDINGS: Mapping[Surface, str] = {surface: name for name, surface in SURFACES.items()}
TABLE_ORDER = (Surface.INBOARD_RADIAL, Surface.OUTBOARD_RADIAL, Surface.INBOARD_LATERAL,
               Surface.OUTBOARD_LATERAL)
CRACK, REPAIR, MARK = "wheel_crack", "wheel_repair_seen", "impact_mark"
LOOKS = (CRACK, REPAIR, MARK)
FRONT = 2  # wheels at the front


class Look(StrEnum):
    """What a look at a wheel found, the gravest."""

    CLEAN = "clean"
    LIP = "lip"
    DENT = "dent"
    REPAIRED = "repaired"
    CRACKED = "cracked"


ANSWERS: Mapping[Look, Mapping[str, str]] = {  # a look as answers to the findings of the rules
    Look.CLEAN: {CRACK: "no", REPAIR: "no", MARK: "none"},
    Look.LIP: {CRACK: "no", REPAIR: "no", MARK: "lip_scuff"},
    Look.DENT: {CRACK: "no", REPAIR: "no", MARK: "dent"},
    Look.REPAIRED: {CRACK: "no", REPAIR: "yes"},
    Look.CRACKED: {CRACK: "yes"},
}


class Fate(StrEnum):
    """What becomes of a wheel."""

    KEEP = "keep"
    SWAP = "swap"
    CLAIM = "claim"
    REPAIR_SHOP = "repair_shop"
    SCRAP = "scrap"
    OPEN = "open"


class Reason(StrEnum):
    """Why, or what is still wanted."""

    CRACKED = "cracked"
    REPAIRED = "repaired"
    BEYOND_REJECT = "beyond_reject"
    BEYOND = "beyond"
    NOT_WITHIN = "not_within"
    DENTED = "dented"
    BENT_SHAPE = "bent_shape"
    CAME_SHIPPED = "came_shipped"
    NEW = "new"
    USED = "used"
    PROVEN_WITHIN = "proven_within"
    LIP_ONLY = "lip_only"
    # what is still wanted
    TO_MEASURE = "to_measure"
    TO_LOOK = "to_look"
    TO_DECIDE = "to_decide"
    TOO_CLOSE = "too_close"
    TO_CONFIRM = "to_confirm"
    NEW_OR_USED = "new_or_used"


class FrontWhy(StrEnum):
    """Why two wheels go to the front, or none."""

    TRUEST = "truest"
    ALIKE = "alike"
    ONLY_TWO = "only_two"
    TOO_FEW = "too_few"


@dataclass(frozen=True)
class WheelRow:
    """One wheel.

    Attributes
    ----------
    key, name : its number or corner, and what people call it.
    read : each surface that was read, as judged.
    result : what they say together; None without a reading.
    looks : what was answered of cracks, repairs and marks, by finding.
    fate : what becomes of it.
    why : the reasons, and what is wanted, the gravest first.
    readings : the entries that count, by surface.
    """

    key: str
    name: str
    read: Mapping[Surface, SurfaceVerdict]
    result: WheelResult | None
    looks: Mapping[str, str]
    fate: Fate
    why: tuple[Reason, ...]
    readings: Mapping[Surface, tuple[Entry, ...]]

    @property
    def missing(self) -> tuple[Surface, ...]:
        """Surfaces not read yet, in the order of the table."""
        return tuple(each for each in TABLE_ORDER if each not in self.read)

    @property
    def look(self) -> Look | None:
        """The gravest that was seen; None where the look is not done."""
        return look_of(self.looks)

    @property
    def unlooked(self) -> tuple[str, ...]:
        """What was not looked at."""
        return tuple(name for name in LOOKS if name not in self.looks)

    @property
    def worst(self) -> SurfaceVerdict | None:
        """The surface that runs out most."""
        return max(self.read.values(), key=lambda each: each.judgement.numbers.value, default=None)

    @property
    def wants_shape(self) -> tuple[Surface, ...]:
        """Surfaces whose shape is worth a turn: beyond by high and low alone, or near a dent."""
        zones = {Zone.BEYOND, *((Zone.UNDECIDED,) if self.looks.get(MARK) == "dent" else ())}
        return tuple(
            surface for surface in TABLE_ORDER
            if (found := self.read.get(surface)) is not None and not found.runout.harmonics
            and found.judgement.zone in zones
        )


@dataclass(frozen=True)
class Front:
    """Which wheels go to the front: their keys, and why."""

    keys: tuple[str, ...]
    why: FrontWhy


@dataclass(frozen=True)
class WheelTable:
    """All wheels, the limits in force, and which two go to the front."""

    rows: tuple[WheelRow, ...]
    limits: Mapping[Surface, Limit | None]
    front: Front

    def row(self, key: str) -> WheelRow:
        """The row of a wheel."""
        return next(row for row in self.rows if row.key == key)


def look_of(looks: Mapping[str, str]) -> Look | None:
    """The gravest that answers say of a look; None where it is not done to the end."""
    if looks.get(CRACK) == "yes":
        return Look.CRACKED
    if looks.get(REPAIR) == "yes":
        return Look.REPAIRED
    if looks.get(MARK) == "dent":
        return Look.DENT
    if looks.get(CRACK) != "no" or looks.get(REPAIR) != "no":
        return None
    return {"none": Look.CLEAN, "lip_scuff": Look.LIP}.get(looks.get(MARK, ""))


def wheel_row(
    rules: WheelRules, key: str, name: str, readings: Mapping[str, tuple[Entry, ...]],
    looks: Mapping[str, str], new: bool | None, shipped: bool,
) -> WheelRow:
    """One wheel, judged.

    Parameters
    ----------
    readings : the readings that count, by finding.
    looks : answers to `LOOKS`, by finding.
    new : None where nobody said.
    """
    result = judged_wheel(rules, readings, bool(new) and shipped, looks.get(MARK) == "dent")
    judged = result.judged if result else ()
    read = {each.surface: each for one in judged for each in one.surfaces}
    fate, why = _fate(read, result, look_of(looks), new, shipped)
    return WheelRow(key, name, read, result, looks, fate, why,
                    {SURFACES[finding]: entries for finding, entries in readings.items()})


def wheel_table(rules: WheelRules, rows: Sequence[WheelRow]) -> WheelTable:
    """The rows with the limits in force and the two for the front."""
    limits = {surface: rules.limit(FINDINGS[surface]) for surface in TABLE_ORDER}
    return WheelTable(tuple(rows), limits, _front(rows))


def _fate(
    read: Mapping[Surface, SurfaceVerdict], result: WheelResult | None, look: Look | None,
    new: bool | None, shipped: bool,
) -> tuple[Fate, tuple[Reason, ...]]:
    said = _condition(new, shipped)
    if look is Look.CRACKED:
        return _given_back(new, shipped, Fate.SCRAP), (Reason.CRACKED, *said)
    if look is Look.REPAIRED:
        return _given_back(new, shipped, Fate.SCRAP), (Reason.REPAIRED, *said)
    verdict = result.verdict if result else Verdict.INCOMPLETE
    beyond = verdict in (Verdict.REJECT, Verdict.OUT_OF_TOLERANCE)
    bent = beyond and any(_bent(each) for each in read.values())
    marked = look is Look.DENT
    if beyond and not any(_confirmed(each) for each in read.values()):
        wanted = (Reason.TO_CONFIRM, *_wanted(read, look, deciding=False))
        return Fate.OPEN, (_grade(verdict), *wanted)
    if new is None and (beyond or marked):
        return Fate.OPEN, (*((_grade(verdict),) if beyond else ()),
                           *((Reason.DENTED,) if marked else ()), Reason.NEW_OR_USED)
    if beyond:
        why = (_grade(verdict), *((Reason.BENT_SHAPE,) if bent else ()),
               *((Reason.DENTED,) if marked else ()), *said)
        by_carrier = shipped and (bent or marked)
        used = Fate.SCRAP if verdict is Verdict.REJECT else Fate.REPAIR_SHOP
        return _given_back(new, by_carrier, used), why
    if marked:
        doubtful = result is not None and result.carrier_claim
        why = (Reason.DENTED, *((Reason.NOT_WITHIN,) if doubtful else ()), *said)
        return _given_back(new, shipped, Fate.REPAIR_SHOP), why
    wanted = _wanted(read, look, deciding=True)
    if wanted:
        return Fate.OPEN, wanted
    lip = (Reason.LIP_ONLY,) if look is Look.LIP else ()
    return Fate.KEEP, (Reason.PROVEN_WITHIN, *lip)


def _condition(new: bool | None, shipped: bool) -> tuple[Reason, ...]:
    if new is None:
        return ()
    if not new:
        return (Reason.USED,)
    return (Reason.NEW, Reason.CAME_SHIPPED) if shipped else (Reason.NEW,)


def _given_back(new: bool | None, by_carrier: bool, else_: Fate) -> Fate:
    """A new wheel goes back, to the carrier's account or the seller's."""
    if not new:
        return else_
    return Fate.CLAIM if by_carrier else Fate.SWAP


def _grade(verdict: Verdict) -> Reason:
    return Reason.BEYOND_REJECT if verdict is Verdict.REJECT else Reason.BEYOND


def _bent(found: SurfaceVerdict) -> bool:
    return found.judgement.zone is Zone.BEYOND and found.runout.local_bend is not None


def _confirmed(found: SurfaceVerdict) -> bool:
    """Beyond, and not by one setting-up that may have been off center."""
    if found.judgement.zone is not Zone.BEYOND:
        return False
    repeats = found.judgement.repeats
    again = repeats is not None and len(repeats.used) > 1 and repeats.repeat in (
        Repeat.AGREE, Repeat.ONE_STANDS_OUT)
    eccentricity = found.runout.eccentricity_mm
    if again or eccentricity is None:
        return again
    return 2.0 * eccentricity < OFFSET_SHARE * found.runout.tir_mm


def _wanted(
    read: Mapping[Surface, SurfaceVerdict], look: Look | None, *, deciding: bool
) -> tuple[Reason, ...]:
    open_ones = [each.judgement.open[0] for each in read.values() if each.judgement.open]
    hopeless = [point for point in open_ones if point.decides is Decides.FINER]
    return (
        *((Reason.TOO_CLOSE,) if deciding and hopeless else ()),
        *((Reason.TO_DECIDE,) if deciding and len(open_ones) > len(hopeless) else ()),
        *((Reason.TO_MEASURE,) if len(read) < len(TABLE_ORDER) else ()),
        *((Reason.TO_LOOK,) if look is None else ()),
    )


def _front(rows: Sequence[WheelRow]) -> Front:
    """The two kept wheels that run truest, by the surface of each that runs out most."""
    kept = sorted((row for row in rows if row.fate is Fate.KEEP), key=lambda row: _size(row)[0])
    keys = tuple(row.key for row in kept[:FRONT])
    if len(kept) < FRONT:
        return Front((), FrontWhy.TOO_FEW)
    if len(kept) == FRONT:
        return Front(keys, FrontWhy.ONLY_TWO)
    (last, spread), (following, other) = _size(kept[FRONT - 1]), _size(kept[FRONT])
    alike = following - last <= math.hypot(spread, other)
    return Front(keys, FrontWhy.ALIKE if alike else FrontWhy.TRUEST)


def _size(row: WheelRow) -> tuple[float, float]:
    worst = row.worst
    assert worst is not None
    return worst.judgement.numbers.value, worst.judgement.numbers.uncertainty


def pattern_of(row: WheelRow) -> Pattern:
    """What the shape of a wheel's damage speaks for, from the gravest of its verdicts."""
    patterns = [each.pattern for each in row.result.judged] if row.result else []
    telling = [each for each in patterns if each not in (Pattern.NONE, Pattern.UNKNOWN)]
    return next(iter([*telling, *patterns]), Pattern.NONE)
