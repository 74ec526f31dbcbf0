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
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.runout.readings import PAST_THE_BEND, Caveat, Runout
from vibecheck.metrology.units.values import INCH_MM

REJECT_MM = INCH_MM / 8.0  # 3.175 mm, 49 CFR 570.10(b)
SMALL_ARC_DEG = 50.0
DEEP_MM = 1.0
OFFSET_SHARE = 0.8  # share of the runout that the 1st order makes when a wheel is only offset


class Surface(StrEnum):
    """The four surfaces a tire sits on."""

    INBOARD_RADIAL = "inboard radial"
    INBOARD_LATERAL = "inboard lateral"
    OUTBOARD_RADIAL = "outboard radial"
    OUTBOARD_LATERAL = "outboard lateral"

    @property
    def side(self) -> str:
        """Inboard or outboard."""
        return self.value.split()[0]


class Verdict(StrEnum):
    """What may be said of the wheel."""

    SOUND = "sound"
    UNDECIDED = "undecided"
    INCOMPLETE = "incomplete"
    OUT_OF_TOLERANCE = "out of tolerance"
    REJECT = "reject"
    MEASURE_TIRE_OFF = "measure with the tire off"


class Pattern(StrEnum):
    """What kind of damage the shape speaks for."""

    NONE = "none"
    DROP = "drop on a hard floor"
    STRIKE = "curb or pothole strike"
    LOCAL = "local bend of unclear origin"
    OFFSET = "offset or tilt without a local bend"
    UNKNOWN = "shape not measured"


@dataclass(frozen=True)
class SurfaceVerdict:
    """One surface: its runout and what it proves against tolerance and reject limit."""

    surface: Surface
    runout: Runout
    tolerance: Decision
    reject: Decision


@dataclass(frozen=True)
class WheelVerdict:
    """The verdict with its reasons.

    Attributes
    ----------
    verdict, pattern : in one word each.
    surfaces : every surface given, the worst first.
    missing : surfaces not given.
    tolerance_mm : the limit in force [mm].
    carrier_claim : a new wheel with an impact mark and a reading not proven within.
    sentences : the verdict, its reasons and what to do, in plain words.
    """

    verdict: Verdict
    pattern: Pattern
    surfaces: tuple[SurfaceVerdict, ...]
    missing: tuple[Surface, ...]
    tolerance_mm: float
    carrier_claim: bool
    sentences: tuple[str, ...]


def judge_wheel(
    readings: Mapping[Surface, Runout],
    tolerance_mm: float,
    tire_off: bool,
    new_wheel: bool = False,
    impact_mark: bool = False,
    lip_tir_mm: float | None = None,
) -> WheelVerdict:
    """Judge one wheel.

    Parameters
    ----------
    readings : runout of the bead surfaces measured; of rim edge or sidewall if the tire is on.
    tolerance_mm : total runout accepted at each bead surface [mm].
    tire_off : whether the tire was off when these were read.
    new_wheel, impact_mark : what was seen of the wheel.
    lip_tir_mm : runout of the lip if somebody read it [mm]; it condemns nothing.

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
        (_judge(surface, runout, tolerance_mm) for surface, runout in readings.items()),
        key=lambda each: (-each.runout.tir_mm, each.surface),
    ))
    missing = tuple(surface for surface in Surface if surface not in readings)
    verdict = _verdict(surfaces, missing, tire_off)
    pattern = _pattern(surfaces, tire_off)
    doubtful = any(each.tolerance.zone is not Zone.WITHIN for each in surfaces)
    claim = tire_off and new_wheel and impact_mark and doubtful
    sentences = (
        _main_sentence(verdict, surfaces, missing, tolerance_mm),
        *_pattern_sentence(pattern, surfaces),
        *_cautions(surfaces, claim, lip_tir_mm, tolerance_mm),
    )
    return WheelVerdict(verdict, pattern, surfaces, missing, tolerance_mm, claim, sentences)


def _judge(surface: Surface, runout: Runout, tolerance_mm: float) -> SurfaceVerdict:
    return SurfaceVerdict(
        surface, runout,
        decide(*runout.judged_mm, tolerance_mm),
        decide(*runout.judged_mm, REJECT_MM),
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
    doubtful = [each for each in surfaces if each.tolerance.zone is not Zone.WITHIN]
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
    other_straight = bool(others) and all(each.tolerance.zone is Zone.WITHIN for each in others)
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


def _main_sentence(
    verdict: Verdict, surfaces: tuple[SurfaceVerdict, ...], missing: tuple[Surface, ...],
    tolerance_mm: float,
) -> str:
    worst = surfaces[0]
    reading = (
        f"{worst.runout.tir_mm:.2f} mm +/- {worst.runout.uncertainty_mm:.2f} at the "
        f"{worst.surface.value} surface"
    )
    if verdict is Verdict.MEASURE_TIRE_OFF:
        return (
            f"{reading} was read with the tire on and condemns nothing: take the tire off and "
            "measure the four bead surfaces"
        )
    if verdict is Verdict.REJECT:
        return (
            f"{reading} is proven beyond {REJECT_MM:.3f} mm (1/8 in), the reject limit of "
            "49 CFR 570.10(b): do not put this wheel back on the road"
        )
    if verdict is Verdict.OUT_OF_TOLERANCE:
        return f"{reading} is proven beyond the tolerance of {tolerance_mm:.2f} mm"
    if verdict is Verdict.UNDECIDED:
        return _undecided_sentence(surfaces, tolerance_mm)
    if verdict is Verdict.INCOMPLETE:
        names = ", ".join(surface.value for surface in missing)
        return f"what was measured is within {tolerance_mm:.2f} mm; still to measure: {names}"
    return f"all four bead surfaces are proven within {tolerance_mm:.2f} mm"


def _undecided_sentence(surfaces: tuple[SurfaceVerdict, ...], tolerance_mm: float) -> str:
    open_one = next(each for each in surfaces if each.tolerance.zone is Zone.UNDECIDED)
    decision = open_one.tolerance
    text = (
        f"{decision.value:.2f} mm +/- {decision.uncertainty:.2f} at the {open_one.surface.value} "
        f"surface is neither proven within {tolerance_mm:.2f} mm nor beyond it"
    )
    if open_one.runout.unseen_mm:
        return f"{text}: {PAST_THE_BEND}"
    if decision.needed_uncertainty <= 0.0:
        return f"{text}: no repeat will decide a reading on the limit itself"
    return f"{text}: an uncertainty of {decision.needed_uncertainty:.3f} mm would decide it"


def _pattern_sentence(
    pattern: Pattern, surfaces: tuple[SurfaceVerdict, ...]
) -> tuple[str, ...]:
    bend = next((e.runout.local_bend for e in surfaces if e.runout.local_bend is not None), None)
    if pattern is Pattern.OFFSET:
        return ("the surface is offset or tilted as a whole: check how the wheel was centered "
                "before blaming it",)
    if bend is None or pattern in (Pattern.NONE, Pattern.UNKNOWN):
        return ()
    place = f"around {bend.center_deg:.0f} deg over {bend.width_deg:.0f} deg"
    if pattern is Pattern.DROP:
        return (f"a low spot with a high spot beside it {place}, the other side straight: as after "
                "a drop on a hard floor",)
    if pattern is Pattern.STRIKE:
        return (f"bent {bend.height_mm:.2f} mm {place}, wide and deep: as after a curb or pothole",)
    return (f"bent {bend.height_mm:.2f} mm {place}",)


def _cautions(
    surfaces: tuple[SurfaceVerdict, ...], claim: bool, lip_tir_mm: float | None,
    tolerance_mm: float,
) -> tuple[str, ...]:
    found = []
    if claim:
        found.append(
            "a new wheel with an impact mark and such a reading is a damage claim against the "
            "carrier: keep the packing, take pictures and swap it, even though it might balance out"
        )
    for each in surfaces:
        kinds = {note.kind for note in each.runout.notes}
        if Caveat.SCATTER in kinds or Caveat.SPIKE in kinds:
            found.append(
                f"the {each.surface.value} readings jump: move the tip off any knurled band, weld "
                "or paint run and read again"
            )
    if lip_tir_mm is not None and lip_tir_mm > tolerance_mm:
        found.append(f"a lip that runs out by {lip_tir_mm:.2f} mm is cosmetic and condemns nothing")
    return tuple(found)
