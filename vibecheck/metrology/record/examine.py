"""A whole record examined at once: spectrum, orders, what the peaks may stem from, severity.

With speed and tire the answer is in wheel orders; without them in Hz only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.even import even
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

LOWEST_ORDER = 0.4  # below this a peak turns slower than half a wheel: not a wheel's part
HIGHEST_HZ = 200.0


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
    """

    spectrum: Spectrum
    peaks: tuple[Peak, ...]
    orders: OrderSpectrum | None
    ties: tuple[Tie, ...]
    severity: Severity
    notes: tuple[Note, ...]


def examine(
    record: Record,
    rolling_circumference_m: float | None = None,
    constant_kmh: float | None = None,
    candidates: Sequence[Candidate] = (),
    u_share: float = 0.0,
) -> Examined:
    """Examine a record.

    Parameters
    ----------
    record : as loaded.
    rolling_circumference_m : way in one wheel turn [m], or None if the tire is not known.
    constant_kmh : the speed that was held [km/h], for a record without (or with a useless) speed.
    candidates : parts by wheel order; their uncertainty should hold that of the circumference.
    u_share : standard uncertainty of circumference and speed together [share of 1].

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
    peaks = peaks_of(spectrum, highest=min(HIGHEST_HZ, 0.45 * record.rate_hz))
    severity = severity_of(steady)
    orders: OrderSpectrum | None = None
    ties: tuple[Tie, ...] = ()
    has_speed = steady.stretches[0].speed_ms is not None
    if rolling_circumference_m is not None and has_speed:
        orders = order_spectrum(steady, rolling_circumference_m)
        span = orders.highest_order - LOWEST_ORDER
        if span <= 0.0:
            raise RecordError(
                "the record was sampled too slowly to see the wheel turn", record.source,
                "record at 100 Hz or more",
            )
        found = order_peaks(orders, LOWEST_ORDER)
        ties = tuple(tie(peak, candidates, span, u_share) for peak in found)
    else:
        notes.append(note(RecordNote.NO_TIRE if has_speed else RecordNote.NO_SPEED))
    return Examined(spectrum, peaks, orders, ties, severity, (*notes, *severity.notes))
