"""A whole record examined at once: spectrum, orders, what the peaks may stem from, severity.

With speed and tire the answer is in wheel orders; without them in Hz only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.car_orders import CarOrders
from vibecheck.metrology.record.even import EvenRecord, even
from vibecheck.metrology.record.humps import Hump, humps_of
from vibecheck.metrology.record.judge import SLOWEST_KMH, OrderVerdict, RecordJudgement, judge
from vibecheck.metrology.record.lines import Line
from vibecheck.metrology.record.load import Record
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.record.order_tracking import (
    Candidate,
    OrderSpectrum,
    Tie,
    order_peaks,
    order_spectrum,
    tie,
    with_constant_speed,
)
from vibecheck.metrology.record.peaks import Peak, peaks_of
from vibecheck.metrology.record.severity import Severity, severity_of
from vibecheck.metrology.record.spectrum import Spectrum, spectrum_of
from vibecheck.metrology.record.visible import SpeedBand, bands_of

LISTED_RMS = 0.0005  # m/s2; a fainter peak is not listed
ORDER_REACH = 0.05  # orders; a peak so near a line is that line
LOWEST_ORDER = 0.4  # below this a peak turns slower than half a wheel: not a wheel's part
HIGHEST_HZ = 200.0


class Nature(StrEnum):
    """What a peak over frequency is."""

    RINGS = "rings"  # part of a hump
    TURNS = "turns"  # an order that keeps step, or fits
    ALONE = "alone"  # narrow, and nothing that is known to turn


@dataclass(frozen=True, eq=False)
class Examined:
    """What a record says.

    Attributes
    ----------
    spectrum : over frequency.
    peaks : its peaks, strongest first, in Hz.
    orders : over wheel orders, or None without speed or tire.
    ties : each order peak with what it may stem from, strongest first.
    severity : weighted severity.
    notes : what was assumed and what is wrong with the record.
    humps : what rings, with its width; an order that was smeared by a change of speed left out.
    natures : of each of `peaks`, whether it rings, turns or stands for itself.
    judgement : every order of the car judged; None where the car's orders were not given, or
        without speed or tire.
    bands : speeds driven, with the highest order that each shows.
    """

    spectrum: Spectrum
    peaks: tuple[Peak, ...]
    orders: OrderSpectrum | None
    ties: tuple[Tie, ...]
    severity: Severity
    notes: tuple[Note, ...]
    humps: tuple[Hump, ...] = ()
    natures: tuple[Nature, ...] = ()
    judgement: RecordJudgement | None = None
    bands: tuple[SpeedBand, ...] = ()


def examine(
    record: Record,
    rolling_circumference_m: float | None = None,
    constant_kmh: float | None = None,
    candidates: Sequence[Candidate] = (),
    u_share: float = 0.0,
    car: CarOrders | None = None,
) -> Examined:
    """Examine a record.

    Where the unit of a speed column cannot be told (`Record.speed_units` has more than one), no
    order is looked at: the unit has to be asked first.

    Parameters
    ----------
    record : as loaded.
    rolling_circumference_m : way in one wheel turn [m], or None if the tire is not known.
    constant_kmh : the speed that was held [km/h], for a record without (or with a useless) speed.
    candidates : parts by wheel order; their uncertainty should hold that of the circumference.
    u_share : standard uncertainty of circumference and speed together [share of 1].
    car : its orders and the prior of their scale, to have every one of them judged.

    Raises
    ------
    RecordError : the record is too short, or order tracking was asked for and cannot be.
    """
    steady = even(record)
    notes = [*record.assumed, *record.warnings]
    if constant_kmh is not None:
        steady = with_constant_speed(steady, constant_kmh)
        notes.append(note(RecordNote.CONSTANT_SPEED, speed_kmh=constant_kmh))
    spectrum = spectrum_of(steady)
    highest_hz = min(HIGHEST_HZ, 0.45 * record.rate_hz)
    peaks = tuple(peak for peak in peaks_of(spectrum, highest=highest_hz)
                  if peak.rms >= LISTED_RMS)
    severity = severity_of(steady)
    orders: OrderSpectrum | None = None
    ties: tuple[Tie, ...] = ()
    judgement: RecordJudgement | None = None
    bands: tuple[SpeedBand, ...] = ()
    has_speed = steady.stretches[0].speed_ms is not None
    unclear = constant_kmh is None and len(record.speed_units) > 1
    if rolling_circumference_m is not None and has_speed and not unclear:
        orders = order_spectrum(steady, rolling_circumference_m)
        span = orders.highest_order - LOWEST_ORDER
        if span <= 0.0:
            raise RecordError(
                "the record was sampled too slowly to see the wheel turn", record.source,
                "record at 100 Hz or more",
            )
        found = [peak for peak in order_peaks(orders, LOWEST_ORDER) if peak.rms >= LISTED_RMS]
        if car is not None:
            judgement = judge(steady, rolling_circumference_m, car.turning, car.prior,
                              [peak.at for peak in found], car.unknown, constant_kmh is None)
            found = [peak for peak in found if _is_a_line(peak, judgement)]
        ties = tuple(tie(peak, candidates, span, u_share) for peak in found)
        bands = _bands(steady, rolling_circumference_m)
    elif not unclear:
        notes.append(note(RecordNote.NO_TIRE if has_speed else RecordNote.NO_SPEED))
    humps = _not_smeared(humps_of(spectrum, highest_hz), judgement, orders)
    natures = tuple(_nature(peak, humps, judgement, orders) for peak in peaks)
    return Examined(spectrum, peaks, orders, ties, severity, (*notes, *severity.notes), humps,
                    natures, judgement, bands)


def _lines(judgement: RecordJudgement | None) -> list[Line]:
    """Every line that keeps step or fits, whosever it is."""
    if judgement is None:
        return []
    lines = [each.line for each in judgement.orders
             if each.line is not None and each.verdict in (
                 OrderVerdict.KEEPS_STEP, OrderVerdict.FITS, OrderVerdict.UNSURE)]
    return lines + [each.line for each in judgement.unlisted]


def _is_a_line(peak: Peak, judgement: RecordJudgement) -> bool:
    return any(abs(peak.at - line.order) < ORDER_REACH for line in _lines(judgement))


def _track(line: Line, orders: OrderSpectrum) -> tuple[float, float]:
    """Frequencies that a line ran through [Hz]."""
    return (line.order * float(orders.wheel_hz.min()), line.order * float(orders.wheel_hz.max()))


def _not_smeared(
    humps: Sequence[Hump], judgement: RecordJudgement | None, orders: OrderSpectrum | None
) -> tuple[Hump, ...]:
    """Humps that are not the trace of an order through a change of speed."""
    if judgement is None or orders is None:
        return tuple(humps)
    kept = []
    for hump in humps:
        half = hump.width_hz / 2.0
        power = sum(line.rms**2 for line in _lines(judgement)
                    if _track(line, orders)[0] - half <= hump.at_hz
                    <= _track(line, orders)[1] + half)
        if power < 0.5 * hump.rms**2:
            kept.append(hump)
    return tuple(kept)


def _nature(
    peak: Peak, humps: Sequence[Hump], judgement: RecordJudgement | None,
    orders: OrderSpectrum | None,
) -> Nature:
    if orders is not None:
        for line in _lines(judgement):
            low, high = _track(line, orders)
            if low - 3.0 * peak.u_at - 0.25 <= peak.at <= high + 3.0 * peak.u_at + 0.25:
                return Nature.TURNS
    if any(abs(peak.at - hump.at_hz) <= hump.width_hz for hump in humps):
        return Nature.RINGS
    return Nature.ALONE


def _bands(record: EvenRecord, circumference_m: float) -> tuple[SpeedBand, ...]:
    speeds = [piece.speed_ms for piece in record.stretches if piece.speed_ms is not None]
    return bands_of(np.concatenate(speeds) * np.float32(3.6), record.rate_hz, circumference_m,
                    SLOWEST_KMH)
