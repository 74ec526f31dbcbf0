"""Runout: high minus low over one full turn, its shape, and what it proves against a limit.

Angles follow `vectors`. Uncertainties are expanded, about 95 %: k = 2 where the spread is known,
Student's t where the scatter of the readings tells it.

Assumptions: the gauge touches all the way round; the axis of rotation is the reference (wheel on
its centering, bearing without play). What may be said of a runout against a limit is worked out in
`judgement`.

References
----------
1. ISO 1101:2017, 18.15 and ASME Y14.5-2018: circular runout is the full indicator movement over
   one turn. A surface that is only offset by e has a runout of 2 e.
2. ISO 14253-1:2017: a limit is proven kept or proven exceeded only beyond the uncertainty.
3. JCGM 100:2008 (GUM), 4.3.7: a reading rounded to a division has a standard uncertainty of
   division / sqrt(12).
4. Makers' service manuals (read): ignore weld, paint runs and scratches when reading a wheel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from vibecheck.distributions import NORMAL_TWO_SIDED_95, student_t_two_sided_95
from vibecheck.errors import ReadingError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.places import Mark, Way, WheelPlace
from vibecheck.metrology.runout.between import CENTER_STEP_DEG, farthest_tir
from vibecheck.metrology.runout.drift import (
    Drift,
    PassedZero,
    pair_passed_zero,
    passed_zero,
    stands_still,
)
from vibecheck.metrology.runout.harmonics import (
    Floats,
    Harmonic,
    HarmonicFit,
    condition,
    design,
    fit,
    harmonics_of,
)
from vibecheck.metrology.runout.local_bend import LocalBend, Spike, find_bend, spikes
from vibecheck.metrology.runout.reading_uncertainty import (
    DRIFT_SD_MM,
    SETUP_SD_MM,
    K,
    of_high_minus_low,
    of_typed,
    rounding,
)
from vibecheck.metrology.runout.tir_uncertainty import curve_on, curve_tir, half_width
from vibecheck.metrology.runout.turn_list import (
    TurnList,
    check_division,
    check_total,
    check_value,
    readings_round_a_turn,
)
from vibecheck.metrology.runout.wander import widening
from vibecheck.metrology.units.values import Measured
from vibecheck.metrology.vectors import wrap

USUAL_DIVISION_MM = 0.01
READINGS_FOR_THREE_ORDERS = 18
SCATTER_STEPS = 3.0  # scatter beyond so many divisions is not the gauge's
SCATTER_MM = 0.05
WIDE_GAP_DEG = 75.0
UNSEEN_STEPS = 3.0  # divisions; a smaller miss beside a bend is plain uncertainty
ILL_CONDITIONED = 10.0  # condition number of the fit


class Caveat(StrEnum):
    """What a person must know before believing a runout; behind each stand its values."""

    FEW_READINGS = "few_readings"  # count, better, fitted, wanted
    UNEVEN_ANGLES = "uneven_angles"  # gap_deg
    SPIKE = "spike"  # angle_deg
    SPIKE_IGNORED = "spike_ignored"  # angle_deg
    SCATTER = "scatter"  # scatter_mm
    POINTER_STILL = "pointer_still"
    HIGH_LOW_ONLY = "high_low_only"
    BETWEEN_READINGS = "between_readings"  # unseen_mm


class Runout(Struct, frozen=True):
    """What one turn of one surface says.

    Attributes
    ----------
    tir_mm, uncertainty_mm : high minus low as read, drift taken off, and its expanded
        uncertainty [mm]: division, setting-up, drift, scatter and, for readings round a turn, the
        low orders between them. A bend between them is `hidden_mm`.
    count : readings used.
    high_mm, low_mm : extreme readings [mm]; high_deg, low_deg where [deg], None if not known.
    harmonics : orders 1 to 3 as far as the readings allow; order 1 is the eccentricity.
    scatter_mm : standard deviation about the fitted shape [mm], None for a high/low pair.
    curve_tir_mm, curve_uncertainty_mm : high minus low of the fitted shape [mm]: less moved by
        scatter than the readings; the uncertainty is None beside a local bend.
    local_bend : a sharp bend, if the readings show one.
    spikes : readings that stand out alone; they stay in the TIR and are left out of the fit.
    tir_without_spikes_mm : high minus low of the other readings [mm]; None without spikes.
    unseen_mm : how much farther a bend that was found may go between the readings [mm]; not in
        the uncertainty.
    hidden_mm : how much a bend that no reading shows may add [mm]; not in the uncertainty.
    still : the pointer never moved by more than a division.
    drift : what the closing reading shows; None without one.
    zero : the pointer may have run past the zero of its dial; None if not.
    division_mm : of the gauge, or of the digits typed if coarser [mm].
    mark : what the angles count from, clockwise seen from outside.
    notes : caveats for the person, a `Caveat` each.
    """

    tir_mm: float
    uncertainty_mm: float
    count: int
    high_mm: float
    low_mm: float
    high_deg: float | None = None
    low_deg: float | None = None
    harmonics: tuple[Harmonic, ...] = ()
    scatter_mm: float | None = None
    curve_tir_mm: float | None = None
    curve_uncertainty_mm: float | None = None
    local_bend: LocalBend | None = None
    spikes: tuple[Spike, ...] = ()
    tir_without_spikes_mm: float | None = None
    unseen_mm: float = 0.0
    hidden_mm: float = 0.0
    still: bool = False
    drift: Drift | None = None
    zero: PassedZero | None = None
    division_mm: float = USUAL_DIVISION_MM
    mark: Mark = Mark.VALVE_STEM
    notes: tuple[Note, ...] = ()

    @property
    def judged_mm(self) -> tuple[float, float]:
        """Value and expanded uncertainty to hold against a limit [mm].

        What lies unseen between readings can only add, so it moves the middle and widens.
        """
        half = self.unseen_mm / 2.0
        return self.tir_mm + half, self.uncertainty_mm + half

    @property
    def eccentricity_mm(self) -> float | None:
        """Amplitude of the 1st order [mm]: offset of a radial surface, tilt of a lateral one."""
        return self.harmonics[0].amplitude_mm if self.harmonics else None

    @property
    def bend_place(self) -> WheelPlace | None:
        """Middle and width of the sharp bend, to be chalked on the wheel."""
        bend = self.local_bend
        if bend is None:
            return None
        return WheelPlace(wrap(bend.center_deg), bend.width_deg, self.mark)

    @property
    def high_place(self) -> WheelPlace | None:
        """Where the highest reading was taken."""
        return None if self.high_deg is None else WheelPlace(self.high_deg, 0.0, self.mark)

    @property
    def low_place(self) -> WheelPlace | None:
        """Where the lowest reading was taken."""
        return None if self.low_deg is None else WheelPlace(self.low_deg, 0.0, self.mark)


def tir_uncertainty(
    resolution_mm: float, repeat_sd_mm: float = 0.0, n: int = 1, setup_sd_mm: float = SETUP_SD_MM
) -> float:
    """Expanded uncertainty of high minus low, k = 2 [mm].

    Parameters
    ----------
    resolution_mm : one division of the gauge [mm].
    repeat_sd_mm : standard deviation of a repeated reading at one place [mm].
    n : turns averaged; repetition averages out, the division and the setting-up do not.
    setup_sd_mm : standard deviation from one setting-up to the next [mm].
    """
    check_division(resolution_mm)
    return K * of_high_minus_low(resolution_mm, repeat_sd_mm, setup_sd_mm, n)


def from_high_low(
    high_mm: float,
    low_mm: float,
    resolution_mm: float = USUAL_DIVISION_MM,
    repeat_sd_mm: float = 0.0,
    n: int = 1,
    where: str = "",
    setup_sd_mm: float = SETUP_SD_MM,
) -> Runout:
    """Runout from the highest and lowest pointer position over one slow turn [mm].

    The pointer is watched all the way round, so no bend hides from it.

    Raises
    ------
    ReadingError : a value no gauge shows, a total that cannot be, or a high below the low.
    """
    for value in (high_mm, low_mm):
        check_value(value, where)
    if high_mm < low_mm:
        raise ReadingError(
            f"the high of {high_mm:g} mm lies below the low of {low_mm:g} mm", where,
            "write the higher reading first; where the pointer passed the zero of its dial, count "
            "on past it or write a minus before it",
        )
    check_total(high_mm - low_mm, where)
    uncertainty = tir_uncertainty(resolution_mm, repeat_sd_mm, n, setup_sd_mm)
    return Runout(
        high_mm - low_mm, uncertainty, 2 * n, high_mm, low_mm,
        still=stands_still((high_mm, low_mm), resolution_mm),
        zero=pair_passed_zero(high_mm, low_mm), division_mm=resolution_mm,
        notes=(note(Caveat.HIGH_LOW_ONLY),),
    )


def from_tir(
    tir: Measured, resolution_mm: float = USUAL_DIVISION_MM, where: str = "",
    setup_sd_mm: float = SETUP_SD_MM,
) -> Runout:
    """Runout from a total indicated runout as typed, taken to be read off one slow turn.

    A typed uncertainty stands for the setting-up, never for less than the rounding.

    Raises
    ------
    ReadingError : a negative value, or one no gauge shows.
    """
    check_value(tir.value, where)
    if tir.value < 0.0:
        raise ReadingError(
            f"a total runout of {tir.value:g} mm is negative", where,
            "write high minus low, or high and low as two readings",
        )
    pair = from_high_low(tir.value, 0.0, resolution_mm, where=where)
    spread = K * of_typed(tir, setup_sd_mm, resolution_mm)
    return replace(
        pair, uncertainty_mm=spread, count=1, zero=None, division_mm=max(resolution_mm, tir.step)
    )


def from_readings(
    readings_mm: Sequence[float],
    angles_deg: Sequence[float] | None = None,
    resolution_mm: float = USUAL_DIVISION_MM,
    repeat_sd_mm: float | None = None,
    orders: int = 3,
    ignore_deg: Sequence[float] = (),
    where: str = "",
    setup_sd_mm: float = SETUP_SD_MM,
    drift_sd_mm: float = DRIFT_SD_MM,
    closed: bool = False,
    counted: Way = Way.CLOCKWISE,
    mark: Mark = Mark.VALVE_STEM,
) -> Runout:
    """Runout from readings round one turn.

    Parameters
    ----------
    readings_mm : in the order taken [mm], at least 6.
    angles_deg : where each was taken [deg], any spacing; None means evenly round the turn.
    resolution_mm : one division of the gauge [mm].
    repeat_sd_mm : of one repeated reading [mm]; None lets the scatter about the shape tell.
    orders : highest order to fit, 1 to 3; fewer readings allow fewer.
    ignore_deg : places where a person has seen weld, paint or a scratch: left out, and noted.
    where : surface to name in a complaint.
    setup_sd_mm : standard deviation of a runout from one setting-up to the next [mm].
    drift_sd_mm : of the gauge over a turn, where no closing reading shows it [mm].
    closed : the last reading was taken at the first place again. Angles that end at 360 deg after
        0 say so by themselves.
    counted : which way the angles, or the order of the list, count on the wheel seen from outside.
    mark : what the angles count from.

    Raises
    ------
    ReadingError : too few readings, a repeated angle, more than a turn, or impossible values.
    """
    tir_uncertainty(resolution_mm, repeat_sd_mm or 0.0, 1, setup_sd_mm)  # refuses what cannot be
    if orders not in (1, 2, 3):
        raise ReadingError(f"{orders} orders cannot be fitted", where, "write 1, 2 or 3")
    turn = readings_round_a_turn(readings_mm, angles_deg, ignore_deg, where, closed)
    readings, angles = turn.readings_mm, turn.angles_deg
    if turn.closing_mm is not None:
        readings = _creep_taken_off(turn, float(readings_mm[0]))
    if counted is Way.COUNTERCLOCKWISE:
        angles = np.array([wrap(-angle) for angle in angles])
    highest = min(orders, (len(readings) - 3) // 2)
    wild = spikes(readings, angles, highest, resolution_mm)
    keep = np.ones(len(readings), dtype=bool)
    keep[list(wild)] = False
    bend, scatter, freedom = find_bend(readings[keep], angles[keep], highest, resolution_mm)
    division = rounding(resolution_mm)
    known = None if repeat_sd_mm is None else math.hypot(repeat_sd_mm, division)
    spread = max(scatter, division) if known is None else known
    coverage = student_t_two_sided_95(freedom) if known is None else K
    shape = fit(readings[keep], angles[keep], highest, spread)
    curve, curve_spread = curve_tir(readings[keep], angles[keep], shape, bend)
    if known is None:
        straying = readings[keep] - curve_on(
            angles[keep], readings[keep], angles[keep], shape, bend)
        curve_spread *= widening(straying, angles[keep], highest)
    drift = _drift(turn, float(readings_mm[0]), spread)
    apart = abs(float(turn.gone[keep][readings[keep].argmax()]
                      - turn.gone[keep][readings[keep].argmin()]))
    doubt = drift.doubt_mm(apart) if drift else drift_sd_mm * apart
    whole = math.hypot(coverage * curve_spread, K * setup_sd_mm, K * doubt)
    off = curve - float(np.ptp(readings[keep]))
    uncertainty = half_width(off, whole / NORMAL_TWO_SIDED_95, NORMAL_TWO_SIDED_95)
    uncertainty = max(uncertainty, K * of_high_minus_low(resolution_mm, 0.0, 0.0))
    unseen = bend.unseen_mm(angles[keep]) if bend else 0.0
    if unseen <= UNSEEN_STEPS * resolution_mm:
        uncertainty, unseen = math.hypot(uncertainty, unseen), 0.0
    return Runout(
        float(np.ptp(readings)), uncertainty, len(readings),
        float(readings.max()), float(readings.min()),
        float(angles[readings.argmax()]), float(angles[readings.argmin()]),
        harmonics_of(shape, coverage), scatter, curve,
        None if bend else coverage * curve_spread, bend,
        _spikes(readings, angles, wild, shape),
        float(np.ptp(readings[keep])) if wild else None,
        unseen,
        _hidden(readings, angles, keep, shape, bend, spread),
        stands_still(list(turn.readings_mm), resolution_mm), drift,
        passed_zero(turn.readings_mm[np.argsort(turn.angles_deg)]), resolution_mm, mark,
        (*_notes(readings, angles, wild, turn.left_out_deg, highest, orders, scatter,
                 resolution_mm),
         *_unseen_note(unseen)),
    )


def _creep_taken_off(turn: TurnList, first_mm: float) -> Floats:
    assert turn.closing_mm is not None
    return np.asarray(turn.readings_mm - (turn.closing_mm - first_mm) * turn.gone)


def _drift(turn: TurnList, first_mm: float, spread_mm: float) -> Drift | None:
    if turn.closing_mm is None:
        return None
    return Drift(turn.closing_mm - first_mm, math.sqrt(2.0) * spread_mm)


def _hidden(
    readings: Floats, angles: Floats, keep: NDArray[np.bool_], shape: HarmonicFit,
    bend: LocalBend | None, spread: float,
) -> float:
    """How much a bend that no reading shows may add to the high minus low [mm].

    The fit leans toward a flank that it is given; what it leaves over is scaled up for that.
    """
    left = readings - curve_on(angles, readings[keep], angles[keep], shape, bend)
    freedom = max(1, int(keep.sum()) - len(shape.coefficients))
    left = np.where(keep, left * len(readings) / freedom, left)
    fine = np.arange(0.0, 360.0, CENTER_STEP_DEG)
    curve = curve_on(fine, readings[keep], angles[keep], shape, bend)
    return max(0.0, farthest_tir(angles, left, spread, curve) - float(np.ptp(readings)))


def _spikes(
    readings: Floats, angles: Floats, wild: tuple[int, ...], shape: HarmonicFit
) -> tuple[Spike, ...]:
    curve = design(angles, (len(shape.coefficients) - 1) // 2) @ shape.coefficients
    return tuple(
        Spike(float(angles[place]), float(readings[place]), float(readings[place] - curve[place]))
        for place in wild
    )


def _unseen_note(unseen: float) -> tuple[Note, ...]:
    return (note(Caveat.BETWEEN_READINGS, unseen_mm=unseen),) if unseen else ()


def _notes(
    readings: Floats, angles: Floats, wild: tuple[int, ...], left_out: tuple[float, ...],
    fitted: int, wanted: int, scatter: float, resolution: float,
) -> tuple[Note, ...]:
    notes = [note(Caveat.SPIKE, angle_deg=float(angles[place])) for place in wild]
    notes += [note(Caveat.SPIKE_IGNORED, angle_deg=angle) for angle in left_out]
    if len(readings) < READINGS_FOR_THREE_ORDERS:
        notes.append(note(Caveat.FEW_READINGS, count=len(readings),
                          better=READINGS_FOR_THREE_ORDERS, fitted=fitted, wanted=wanted))
    gap = float(np.diff(np.append(np.sort(angles), angles.min() + 360.0)).max())
    if gap > WIDE_GAP_DEG or condition(angles, fitted) > ILL_CONDITIONED:
        notes.append(note(Caveat.UNEVEN_ANGLES, gap_deg=gap))
    if scatter > max(SCATTER_MM, SCATTER_STEPS * resolution):
        notes.append(note(Caveat.SCATTER, scatter_mm=scatter))
    if float(np.ptp(readings)) == 0.0:
        notes.append(note(Caveat.POINTER_STILL))
    return tuple(notes)
