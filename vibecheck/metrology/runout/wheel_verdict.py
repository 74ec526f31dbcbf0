"""The verdict on a wheel from its four bead surfaces, tire off.

A wheel is judged where the tire sits: bead seat (radial) and inner face of the flange (lateral),
inboard and outboard. The lip is cosmetic. With the tire on nothing condemns a wheel; a large
reading there is a reason to take the tire off and measure.

Facts of the trade used here are common practice without a source: about 0.5 mm is accepted for
aftermarket wheels and near 0.8 mm by some makers (the tolerance is handed in); a drop leaves a
low spot with a high spot beside it over a small arc at one bead, the other side straight; a curb
or pothole bends wide and deep; knurled bands give false readings. Where "small" ends and "deep"
begins is from memory.

References
----------
1. 49 CFR 570.10(b) (read): reject a wheel with more than 1/8 in of lateral or radial runout at
   either bead area, vehicles to 10,000 lb GVWR.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, Zone
from vibecheck.metrology.runout.judgement import Judgement, judge_repeats
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.units.values import INCH_MM

REJECT_MM = INCH_MM / 8.0  # 3.175 mm, 49 CFR 570.10(b)
SMALL_ARC_DEG = 50.0
DEEP_MM = 1.0
OFFSET_SHARE = 0.8  # share of the runout that the 1st order makes when a wheel is only offset


class Surface(StrEnum):
    """The four surfaces a tire sits on."""

    INBOARD_RADIAL = "inboard_radial"
    INBOARD_LATERAL = "inboard_lateral"
    OUTBOARD_RADIAL = "outboard_radial"
    OUTBOARD_LATERAL = "outboard_lateral"

    @property
    def side(self) -> str:
        """Inboard or outboard."""
        return self.value.partition("_")[0]


class Verdict(StrEnum):
    """What may be said of the wheel."""

    SOUND = "sound"
    UNDECIDED = "undecided"
    INCOMPLETE = "incomplete"
    OUT_OF_TOLERANCE = "out_of_tolerance"
    REJECT = "reject"
    MEASURE_TIRE_OFF = "measure_tire_off"


class Pattern(StrEnum):
    """What kind of damage the shape speaks for."""

    NONE = "none"
    DROP = "drop"  # on a hard floor
    STRIKE = "strike"  # of a curb or pothole
    LOCAL = "local"  # a bend of unclear origin
    OFFSET = "offset"  # or tilt, without a local bend
    UNKNOWN = "unknown"  # the shape was not measured


class SurfaceVerdict(Struct, frozen=True):
    """One surface: its runout and what it proves against tolerance and reject limit.

    `judgement` holds why it is open and what decides it; `tolerance` is the same as numbers.
    """

    surface: Surface
    runout: Runout
    tolerance: Decision
    reject: Decision
    judgement: Judgement

    @property
    def doubtful(self) -> bool:
        """A sound reading that is not within by its numbers."""
        return self.judgement.numbers.zone is not Zone.WITHIN and not self.judgement.suspect


class WheelVerdict(Struct, frozen=True):
    """The verdict with its reasons.

    Attributes
    ----------
    verdict, pattern : in one word each.
    surfaces : every surface given, the worst first; each with what leaves it open.
    missing : surfaces not given.
    tolerance_mm : the limit in force [mm].
    carrier_claim : a new wheel with an impact mark and a reading not proven within.
    lip_tir_mm : runout of the lip if somebody read it [mm]; cosmetic.
    """

    verdict: Verdict
    pattern: Pattern
    surfaces: tuple[SurfaceVerdict, ...]
    missing: tuple[Surface, ...]
    tolerance_mm: float
    carrier_claim: bool
    lip_tir_mm: float | None = None


def judge_wheel(
    readings: Mapping[Surface, Runout],
    tolerance_mm: float,
    tire_off: bool,
    new_wheel: bool = False,
    impact_mark: bool = False,
    lip_tir_mm: float | None = None,
    repeats: Mapping[Surface, Sequence[Runout]] | None = None,
    contact_seen: Collection[Surface] = (),
) -> WheelVerdict:
    """Judge one wheel.

    Parameters
    ----------
    readings : runout of the bead surfaces measured; of rim edge or sidewall if the tire is on.
    tolerance_mm : total runout accepted at each bead surface [mm].
    tire_off : whether the tire was off when these were read.
    new_wheel, impact_mark : what was seen of the wheel.
    lip_tir_mm : runout of the lip if somebody read it [mm]; it condemns nothing.
    repeats : further readings of the same surfaces, each from its own setting-up.
    contact_seen : surfaces at which the pointer was seen to move with the tip.

    Raises
    ------
    ReadingError : no reading at all, or a tolerance that is not above 0 and below the reject limit.
    """
    if not readings:
        raise ReadingError("there is no reading of the wheel", "", "measure one bead surface first")
    if not (math.isfinite(tolerance_mm) and 0.0 < tolerance_mm <= REJECT_MM):
        raise ReadingError(
            f"a tolerance of {tolerance_mm:g} mm cannot be", "",
            f"write more than 0 and up to {REJECT_MM:g} mm",
        )
    surfaces = tuple(sorted(
        (
            _judge(surface, (runout, *(repeats or {}).get(surface, ())), tolerance_mm,
                   surface in contact_seen)
            for surface, runout in readings.items()
        ),
        key=lambda each: (-each.runout.tir_mm, each.surface),
    ))
    missing = tuple(surface for surface in Surface if surface not in readings)
    verdict = _verdict(surfaces, missing, tire_off)
    pattern = _pattern(surfaces, tire_off)
    doubtful = any(each.doubtful for each in surfaces)
    claim = tire_off and new_wheel and impact_mark and doubtful
    return WheelVerdict(verdict, pattern, surfaces, missing, tolerance_mm, claim, lip_tir_mm)


def _judge(
    surface: Surface, runouts: Sequence[Runout], tolerance_mm: float, contact_seen: bool
) -> SurfaceVerdict:
    judged = judge_repeats(runouts, tolerance_mm, contact_seen)
    reject = judge_repeats(runouts, REJECT_MM, contact_seen)
    used = [runouts[place] for place in judged.repeats.used] if judged.repeats else [*runouts]
    shown = next((each for each in used if each.harmonics), used[0])  # the one with a shape
    return SurfaceVerdict(
        surface, shown, replace(judged.numbers, zone=judged.zone),
        replace(reject.numbers, zone=reject.zone), judged,
    )


def _verdict(
    surfaces: tuple[SurfaceVerdict, ...], missing: tuple[Surface, ...], tire_off: bool
) -> Verdict:
    if not tire_off:
        return Verdict.MEASURE_TIRE_OFF
    if any(each.reject.zone is Zone.BEYOND for each in surfaces):
        return Verdict.REJECT
    if any(each.tolerance.zone is Zone.BEYOND for each in surfaces):
        return Verdict.OUT_OF_TOLERANCE
    if any(each.tolerance.zone is Zone.UNDECIDED for each in surfaces):
        return Verdict.UNDECIDED
    return Verdict.INCOMPLETE if missing else Verdict.SOUND


def _pattern(surfaces: tuple[SurfaceVerdict, ...], tire_off: bool) -> Pattern:
    doubtful = [each for each in surfaces if each.doubtful]
    if not tire_off:
        return Pattern.UNKNOWN
    if not doubtful:
        return Pattern.NONE
    bent = [each for each in doubtful if each.runout.local_bend is not None]
    if not bent:
        return _shape_without_bend(doubtful[0].runout)
    bend = bent[0].runout.local_bend
    side = bent[0].surface.side
    others = [each for each in surfaces if each.surface.side != side]
    other_straight = bool(others) and all(
        each.judgement.numbers.zone is Zone.WITHIN for each in others
    )
    assert bend is not None
    if bend.width_deg <= SMALL_ARC_DEG and bend.dip_and_bulge and other_straight:
        return Pattern.DROP
    if bend.width_deg > SMALL_ARC_DEG and bend.height_mm >= DEEP_MM:
        return Pattern.STRIKE
    return Pattern.LOCAL


def _shape_without_bend(runout: Runout) -> Pattern:
    eccentricity = runout.eccentricity_mm
    if eccentricity is None:
        return Pattern.UNKNOWN
    whole = 2.0 * eccentricity >= OFFSET_SHARE * runout.tir_mm
    return Pattern.OFFSET if whole else Pattern.UNKNOWN
