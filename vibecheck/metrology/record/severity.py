"""How strongly people feel it: frequency-weighted acceleration after ISO 2631-1.

Up-and-down motion is weighted by Wk, horizontal motion by Wd; 0.5 to 80 Hz. A phone in a cup
holder or on the floor is not a seat pad: the numbers compare a car before and after a repair, or
two cars with the phone in the same place, and give no health judgement.

References
----------
1. ISO 2631-1:1997, Mechanical vibration and shock, evaluation of human exposure to whole-body
   vibration, part 1, Table 3 and annex C.2.3 (comfort words): from memory.
2. ISO 8041:2005, Human response to vibration, measuring instrumentation: the transfer functions
   and their parameters (from memory, checked against the table of [1]).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.even import EvenRecord, Stretch
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.record.regrid import fast_length

Real = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

LOW_HZ, HIGH_HZ = 0.4, 100.0  # band limits, both curves [2]
BUTTERWORTH_Q = 1.0 / math.sqrt(2.0)
TRANSITION_HZ = {"k": 12.5, "d": 2.0}  # f3 = f4 [2]
TRANSITION_Q = 0.63  # Q4, both curves [2]
STEP_FROM_HZ, STEP_TO_HZ = 2.37, 3.35  # f5, f6 of Wk [2]
STEP_Q = 0.91  # Q5 = Q6 of Wk [2]
RUNNING_S = 1.0  # s, window of the running rms [1]
LARGE_CREST = 9.0  # above this the plain rms understates [1]
BLOCK_S = 240.0  # s weighted at once
PAD_S = 8.0  # s of silence after a stretch, so that its end does not ring into its start


class Comfort(StrEnum):
    """How people in public transport call it [1]."""

    NOT_UNCOMFORTABLE = "not_uncomfortable"
    A_LITTLE = "a_little_uncomfortable"
    FAIRLY = "fairly_uncomfortable"
    UNCOMFORTABLE = "uncomfortable"
    VERY = "very_uncomfortable"
    EXTREMELY = "extremely_uncomfortable"


COMFORT = (  # weighted total, from, to [m/s2]; the bands overlap as in [1]
    (0.0, 0.315, Comfort.NOT_UNCOMFORTABLE),
    (0.315, 0.63, Comfort.A_LITTLE),
    (0.5, 1.0, Comfort.FAIRLY),
    (0.8, 1.6, Comfort.UNCOMFORTABLE),
    (1.25, 2.5, Comfort.VERY),
    (2.0, math.inf, Comfort.EXTREMELY),
)


class Curve(StrEnum):
    """A weighting curve of ISO 2631-1."""

    VERTICAL = "k"
    HORIZONTAL = "d"


@dataclass(frozen=True)
class Severity:
    """Weighted acceleration.

    Attributes
    ----------
    axes : weighted rms of two horizontal directions and up [m/s2].
    total : root of the sum of their squares [m/s2].
    worst_second : highest weighted total over one running second [m/s2].
    crest : highest weighted value over rms, worst axis [unitless].
    comfort : comfort classes whose bands hold the total; two where bands overlap.
    notes : what was assumed.
    """

    axes: tuple[float, float, float]
    total: float
    worst_second: float
    crest: float
    comfort: tuple[Comfort, ...]
    notes: tuple[Note, ...]


def transfer(frequency_hz: Real, curve: Curve) -> Complex:
    """Complex transfer function of a weighting [unitless] at frequencies [Hz], 0 at 0 Hz."""
    s = np.asarray(2j * np.pi * np.asarray(frequency_hz), dtype=np.complex128)
    low, high, turn = (2.0 * math.pi * f for f in (LOW_HZ, HIGH_HZ, TRANSITION_HZ[curve.value]))
    result = np.asarray(s**2 / (s**2 + s * low / BUTTERWORTH_Q + low**2))
    result = result * high**2 / (s**2 + s * high / BUTTERWORTH_Q + high**2)
    result = result * (1.0 + s / turn) / (1.0 + s / (TRANSITION_Q * turn) + (s / turn) ** 2)
    if curve is Curve.VERTICAL:
        start, end = 2.0 * math.pi * STEP_FROM_HZ, 2.0 * math.pi * STEP_TO_HZ
        rise = 1.0 + s / (STEP_Q * start) + (s / start) ** 2
        result = result * rise / (1.0 + s / (STEP_Q * end) + (s / end) ** 2)
        result = result * (start / end) ** 2
    return np.asarray(result, dtype=np.complex128)


def severity_of(record: EvenRecord) -> Severity:
    """Weighted severity of a whole record.

    Parameters
    ----------
    record : on an even grid; where up is not known, the phone's z axis is taken as up.
    """
    notes: list[Note] = []
    if not record.upright:
        notes.append(note(RecordNote.UP_UNKNOWN))
    if record.rate_hz / 2.0 < 80.0:
        notes.append(note(RecordNote.BAND_CUT, highest_hz=record.rate_hz / 2.0))
    count, squares, highest, worst = 0, np.zeros(3), np.zeros(3), 0.0
    for piece in record.stretches:
        for weighted, fresh in _weighted_blocks(piece, record.rate_hz):
            count += len(weighted) - fresh
            squares += (weighted[fresh:] ** 2).sum(axis=0)
            highest = np.maximum(highest, np.abs(weighted[fresh:]).max(axis=0))
            worst = max(worst, _worst_second(weighted, record.rate_hz))
    squares /= count
    axes = np.sqrt(squares)
    total = float(np.sqrt(squares.sum()))
    crest = float((highest / np.maximum(axes, 1e-12)).max())
    if crest > LARGE_CREST:
        notes.append(note(RecordNote.JOLTS))
    return Severity(
        (float(axes[0]), float(axes[1]), float(axes[2])), total, worst, crest,
        comfort_of(total), tuple(notes),
    )


def comfort_of(total: float) -> tuple[Comfort, ...]:
    """The comfort classes whose bands hold a weighted total [m/s2] [1]."""
    return tuple(comfort for low, high, comfort in COMFORT if low <= total < high)


def _weighted_blocks(piece: Stretch, rate_hz: float) -> Iterator[tuple[Real, int]]:
    """Weighted acceleration of a stretch [m/s2], (n, 3) block by block.

    Each block begins with the last second of the one before; the number says how many of its
    samples that are.
    """
    every, second = round(BLOCK_S * rate_hz), round(RUNNING_S * rate_hz)
    count = len(piece.acceleration)
    pad = round(PAD_S * rate_hz)
    for begin in range(0, count, every):
        end = min(begin + every, count)
        ahead, fresh = max(begin - pad - second, 0), max(begin - second, 0)
        past = min(end + pad, count)
        weighted = _weighted(piece.acceleration[ahead:past], rate_hz)
        yield weighted[fresh - ahead: end - ahead], begin - fresh


def _weighted(values: npt.NDArray[np.floating], rate_hz: float) -> Real:
    """(n, 3) weighted acceleration [m/s2]."""
    count = len(values)
    length = fast_length(count + round(PAD_S * rate_hz))
    at = np.asarray(np.fft.rfftfreq(length, 1.0 / rate_hz), dtype=np.float64)
    result = np.empty((count, 3))
    curves = {curve: transfer(at, curve) for curve in Curve}
    for axis in range(3):
        curve = Curve.VERTICAL if axis == 2 else Curve.HORIZONTAL
        spectrum = np.fft.rfft(values[:, axis].astype(np.float64), length)
        result[:, axis] = np.fft.irfft(spectrum * curves[curve], length)[:count]
    return result


def _worst_second(piece: Real, rate_hz: float) -> float:
    width = max(round(RUNNING_S * rate_hz), 1)
    sums = np.concatenate([[0.0], np.cumsum((piece**2).sum(axis=1))])
    if len(sums) <= width:
        return math.sqrt(float(sums[-1]) / (len(sums) - 1))
    return math.sqrt(max(float((sums[width:] - sums[:-width]).max()) / width, 0.0))
