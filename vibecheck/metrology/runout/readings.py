"""Runout: high minus low over one full turn, its shape, and what it proves against a limit.

Angles follow `vectors`. Uncertainties are expanded, about 95 %: k = 2 where the spread is known,
Student's t where the scatter of the readings tells it.

Assumptions: the gauge stands still and touches all the way round; the axis of rotation is the
reference (wheel on its centering, bearing without play).

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
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from vibecheck.distributions import student_t_two_sided_95
from vibecheck.errors import ReadingError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.runout.harmonics import (
    Floats,
    Harmonic,
    HarmonicFit,
    design,
    fit,
    harmonics_of,
)
from vibecheck.metrology.runout.local_bend import LocalBend, Spike, find_bend, spikes
from vibecheck.metrology.runout.tir_uncertainty import curve_tir, half_width
from vibecheck.metrology.runout.turn_list import (
    check_division,
    check_value,
    readings_round_a_turn,
)
from vibecheck.metrology.units.values import Measured

USUAL_DIVISION_MM = 0.01
READINGS_FOR_THREE_ORDERS = 18
K = 2.0
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


@dataclass(frozen=True)
class Runout:
    """What one turn of one surface says.

    Attributes
    ----------
    tir_mm, uncertainty_mm : high minus low as read, and its expanded uncertainty [mm]; for
        readings round a turn that holds what lies between them and what scatter adds.
    count : readings used.
    high_mm, low_mm : extreme readings [mm]; high_deg, low_deg where [deg], None if not known.
    harmonics : orders 1 to 3 as far as the readings allow; order 1 is the eccentricity.
    scatter_mm : standard deviation about the fitted shape [mm], None for a high/low pair.
    curve_tir_mm, curve_uncertainty_mm : high minus low of the fitted shape [mm]: less moved by
        scatter than the readings; the uncertainty is None beside a local bend.
    local_bend : a sharp bend, if the readings show one.
    spikes : readings that stand out alone; they stay in the TIR and are left out of the fit.
    tir_without_spikes_mm : high minus low of the other readings [mm]; None without spikes.
    unseen_mm : how much farther a bend may go between the readings [mm]; not in the uncertainty.
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


def tir_uncertainty(resolution_mm: float, repeat_sd_mm: float = 0.0, n: int = 1) -> float:
    """Expanded uncertainty of high minus low, k = 2 [mm].

    Parameters
    ----------
    resolution_mm : one division of the gauge [mm].
    repeat_sd_mm : standard deviation of a repeated reading at one place [mm].
    n : turns averaged; repetition averages out, the division does not.

    Notes
    -----
    U = 2 sqrt(2 (d^2 / 12 + s^2 / n)): two readings, high and low, each rounded and repeated.
    """
    check_division(resolution_mm)
    if not (math.isfinite(repeat_sd_mm) and repeat_sd_mm >= 0.0 and n >= 1):
        raise ReadingError(
            "a repeat spread is zero or more, over one turn or more", "", "write for example 0.01"
        )
    return K * math.sqrt(2.0 * (resolution_mm**2 / 12.0 + repeat_sd_mm**2 / n))


def from_high_low(
    high_mm: float,
    low_mm: float,
    resolution_mm: float = USUAL_DIVISION_MM,
    repeat_sd_mm: float = 0.0,
    n: int = 1,
    where: str = "",
) -> Runout:
    """Runout from the highest and lowest pointer position over one turn [mm].

    Raises
    ------
    ReadingError : a value no gauge shows, or a high below the low.
    """
    for value in (high_mm, low_mm):
        check_value(value, where)
    if high_mm < low_mm:
        raise ReadingError(
            f"the high of {high_mm:g} mm lies below the low of {low_mm:g} mm", where,
            "write the higher reading first",
        )
    uncertainty = tir_uncertainty(resolution_mm, repeat_sd_mm, n)
    return Runout(high_mm - low_mm, uncertainty, 2 * n, high_mm, low_mm,
                  notes=(note(Caveat.HIGH_LOW_ONLY),))


def from_tir(tir: Measured, resolution_mm: float = USUAL_DIVISION_MM, where: str = "") -> Runout:
    """Runout from a total indicated runout as typed; a typed uncertainty goes before the gauge's.

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
    spread = tir.uncertainty
    if spread is None:  # the total was rounded once, to the digits typed
        spread = max(pair.uncertainty_mm, K * tir.digit_uncertainty)
    return Runout(tir.value, spread, 1, tir.value, 0.0, notes=pair.notes)


def from_readings(
    readings_mm: Sequence[float],
    angles_deg: Sequence[float] | None = None,
    resolution_mm: float = USUAL_DIVISION_MM,
    repeat_sd_mm: float | None = None,
    orders: int = 3,
    ignore_deg: Sequence[float] = (),
    where: str = "",
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

    Raises
    ------
    ReadingError : too few readings, a repeated angle, more than a turn, or impossible values.
    """
    tir_uncertainty(resolution_mm, repeat_sd_mm or 0.0)  # refuses what no gauge has
    if orders not in (1, 2, 3):
        raise ReadingError(f"{orders} orders cannot be fitted", where, "write 1, 2 or 3")
    readings, angles, left_out = readings_round_a_turn(readings_mm, angles_deg, ignore_deg, where)
    highest = min(orders, (len(readings) - 3) // 2)
    wild = spikes(readings, angles, highest, resolution_mm)
    keep = np.ones(len(readings), dtype=bool)
    keep[list(wild)] = False
    bend, scatter, freedom = find_bend(readings[keep], angles[keep], highest, resolution_mm)
    division = resolution_mm / math.sqrt(12.0)
    known = None if repeat_sd_mm is None else math.hypot(repeat_sd_mm, division)
    spread = max(scatter, division) if known is None else known
    coverage = student_t_two_sided_95(freedom) if known is None else K
    shape = fit(readings[keep], angles[keep], highest, spread)
    curve, curve_spread = curve_tir(readings[keep], angles[keep], shape, bend)
    uncertainty = half_width(curve - float(np.ptp(readings[keep])), curve_spread, coverage)
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
        (*_notes(readings, angles, wild, left_out, highest, orders, scatter, resolution_mm),
         *_unseen_note(unseen)),
    )


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
    if gap > WIDE_GAP_DEG or np.linalg.cond(design(angles, fitted)) > ILL_CONDITIONED:
        notes.append(note(Caveat.UNEVEN_ANGLES, gap_deg=gap))
    if scatter > max(SCATTER_MM, SCATTER_STEPS * resolution):
        notes.append(note(Caveat.SCATTER, scatter_mm=scatter))
    if float(np.ptp(readings)) == 0.0:
        notes.append(note(Caveat.POINTER_STILL))
    return tuple(notes)
