"""Order spectrum of a record with varying speed, and what a peak may stem from.

The road speed and the rolling circumference give the wheel's angle; the record is resampled at
even steps of that angle, so that what turns with the wheel stands still at its order while
everything else smears. Order 1 is once per wheel turn.

Assumption: no wheel slip, and a speed signal whose delay does not matter (a position sensor that
lags by one second during a gentle sweep shifts the orders by about 1 %). The rolling
circumference is uncertain by some 1.5 %, which shifts all orders alike. Neither is in a peak's
own uncertainty: both are a share of the order, and `tie` adds it. What a resonance on the way
does to a peak is taken off and is in its uncertainty (`passing`).

References
----------
1. K. R. Fyfe, E. D. S. Munck, Analysis of computed order tracking, Mechanical Systems and Signal
   Processing 11 (1997) 187-205 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record.even import EvenRecord, Stretch
from vibecheck.metrology.record.peaks import Peak, lobes_of, moved
from vibecheck.metrology.record.regrid import between_even, finer
from vibecheck.metrology.record.resonance_bias import shift_of
from vibecheck.metrology.record.spectrum import (
    Spectrum,
    averaged,
    grouped,
    neighbors_together,
)

Real = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.floating]

SLOWEST_KMH = 20.0  # below this wheel order 1 sinks into the body's own motion
SEGMENT_TURNS = 16  # resolution 1/16 order
FINER = 4  # times as many samples before a polynomial looks between them
MOST_SAMPLES_A_TURN = 256
MOST_S = 1800.0  # of a drive that are looked at
LONGEST_RUN = 1 << 16  # samples turned into angle at once, to bound the memory
CIRCUMFERENCE_M = (0.5, 5.0)  # m; from a kart to a heavy truck
SOMETHING_ELSE = 1.0  # prior weight of a part that is not on the list, against each that is
LEAST_U_SHARE = 0.002  # a candidate's place is never known better than this share


@dataclass(frozen=True, eq=False)
class OrderSpectrum:
    """Spectrum over wheel orders.

    Attributes
    ----------
    spectrum : density over order [(m/s2)^2 per order].
    highest_order : orders above this were sampled too slowly at the highest speed [unitless].
    slowest_kmh, fastest_kmh : range of the speed used [km/h].
    turns : wheel turns used [unitless].
    wheel_hz : (k,) wheel turns a second in the middle of each segment [Hz].
    hz_a_turn : (k,) how fast that changes [Hz per wheel turn].
    """

    spectrum: Spectrum
    highest_order: float
    slowest_kmh: float
    fastest_kmh: float
    turns: float
    wheel_hz: Real
    hz_a_turn: Real


@dataclass(frozen=True)
class Candidate:
    """Something that turns: its name and where its peak would stand.

    Attributes
    ----------
    name : in plain words, for example "wheel, 1st order".
    at : its place [Hz or wheel orders, as the peak].
    u_at : standard uncertainty of the place [same].
    """

    name: str
    at: float
    u_at: float


@dataclass(frozen=True)
class Tie:
    """What a peak may stem from.

    Attributes
    ----------
    peak : the peak.
    parts : (name, confidence 0 to 1), most likely first; confidences and `other` sum to 1.
    other : confidence that it is none of them [0 to 1].
    half_width : half width of the 95 % interval of the order, with the share that rolling
        circumference and speed are uncertain by [unit of the peak].
    """

    peak: Peak
    parts: tuple[tuple[str, float], ...]
    other: float
    half_width: float


def with_constant_speed(record: EvenRecord, speed_kmh: float) -> EvenRecord:
    """The record as driven at one constant speed [km/h]."""
    if not (math.isfinite(speed_kmh) and speed_kmh > 0.0):
        raise RecordError(f"a speed of {speed_kmh:g} km/h cannot be", "speed", "write 100")
    pieces = tuple(
        Stretch(piece.start_s, piece.acceleration,
                np.broadcast_to(np.float64(speed_kmh / 3.6), len(piece.acceleration)))
        for piece in record.stretches
    )
    return EvenRecord(record.rate_hz, pieces, record.upright)


def order_spectrum(
    record: EvenRecord, rolling_circumference_m: float, slowest_kmh: float = SLOWEST_KMH,
    segment_turns: int = SEGMENT_TURNS,
) -> OrderSpectrum:
    """Resample by wheel angle and average the spectrum over orders.

    Parameters
    ----------
    record : on an even grid, with speed.
    rolling_circumference_m : way of the car in one wheel turn [m].
    slowest_kmh : slower parts are left out [km/h].
    segment_turns : turns in a segment; the resolution is one over this [unitless].

    Raises
    ------
    RecordError : no speed, too slow throughout, or too few turns for three segments.
    """
    low, high = CIRCUMFERENCE_M
    if not low <= rolling_circumference_m <= high:
        raise RecordError(
            f"a rolling circumference of {rolling_circumference_m:g} m cannot be", "tire",
            "write the way in one turn in m, for example 1.95",
        )
    runs = _runs(record, slowest_kmh)
    slow = min(float(speed.min()) for speed, _ in runs)
    fast = max(float(speed.max()) for speed, _ in runs)
    # Nowhere fewer samples a turn than were recorded, so that nothing folds down.
    wanted = math.ceil(record.rate_hz * rolling_circumference_m / slow)
    per_turn = min(wanted + wanted % 2, MOST_SAMPLES_A_TURN)
    ways = [_turns(speed, record.rate_hz, rolling_circumference_m)[-1] for speed, _ in runs]
    turns = float(sum(ways))
    if max(ways) < 2 * segment_turns:
        raise RecordError(
            f"only {turns:.0f} wheel turns above {slowest_kmh:.0f} km/h", "record",
            "record half a minute or more at the speed that shakes",
        )
    expected = round(2.0 * turns / segment_turns)
    pace: list[npt.NDArray[np.floating]] = []

    def pieces() -> Iterator[Real]:
        for speed, acceleration in runs:
            piece = by_angle(speed, acceleration.astype(np.float64), record.rate_hz,
                             rolling_circumference_m, per_turn)
            length = segment_turns * per_turn
            count = max((len(piece) - length) // (length - length // 2) + 1, 0)
            pace.append(grouped(
                _pace(speed, record.rate_hz, rolling_circumference_m, count, segment_turns),
                neighbors_together(expected)))
            yield piece

    spectrum = averaged(pieces(), float(per_turn), segment_turns * per_turn, "order", expected)
    highest = record.rate_hz * rolling_circumference_m / fast / 2.0
    wheel_hz, hz_a_turn = np.concatenate(pace).T
    return OrderSpectrum(spectrum, min(highest, per_turn / 2.0), slow * 3.6, fast * 3.6, turns,
                         wheel_hz, hz_a_turn)


def order_peaks(orders: OrderSpectrum, lowest: float) -> tuple[Peak, ...]:
    """Peaks over wheel orders, what a resonance on the way does to their place taken off.

    Parameters
    ----------
    orders : the order spectrum.
    lowest : order to look from [unitless].
    """
    found = []
    for lobe in lobes_of(orders.spectrum, lowest, orders.highest_order):
        order = lobe.peak.at
        shift, u_shift = shift_of(
            lobe.strengths, order * orders.wheel_hz, order * orders.hz_a_turn, lobe.noise)
        found.append(moved(lobe.peak, -shift, u_shift))
    return tuple(found)


def by_angle(
    speed_ms: Numbers, values: Real, rate_hz: float, circumference_m: float, per_turn: int
) -> Real:
    """Values (n, k) at even time steps, resampled at even steps of wheel angle.

    Parameters
    ----------
    speed_ms : (n,) above zero throughout [m/s].
    values : (n, k).
    rate_hz : samples per second.
    circumference_m : rolling circumference [m].
    per_turn : samples wanted in a wheel turn.
    """
    time_s = np.arange(len(values)) / rate_hz
    turns = _turns(speed_ms, rate_hz, circumference_m)
    grid = np.arange(0.0, turns[-1], 1.0 / per_turn)
    at = np.interp(grid, turns, time_s) * (FINER * rate_hz)
    return between_even(at, FINER * len(values)).of(finer(values, FINER))


def tie(
    peak: Peak, candidates: Sequence[Candidate], span: float, u_share: float = 0.0
) -> Tie:
    """Confidence of each candidate by Bayes' rule.

    A candidate's peak is spread normally about its place by its own and the peak's uncertainty;
    something else could stand anywhere in the span. All are equally likely beforehand.

    Parameters
    ----------
    peak : from a spectrum.
    candidates : in the unit of the peak.
    span : width of the range that was looked at [unit of the peak].
    u_share : standard uncertainty of rolling circumference and speed together [share of 1]; the
        candidates' own uncertainties should hold it.
    """
    weights = []
    for candidate in candidates:
        u_place = max(candidate.u_at, LEAST_U_SHARE * candidate.at)
        spread = math.hypot(peak.u_at, u_place)
        off = (peak.at - candidate.at) / spread
        weights.append(math.exp(-0.5 * off * off) / (spread * math.sqrt(2.0 * math.pi)))
    nothing = SOMETHING_ELSE / max(span, 1e-9)
    whole = sum(weights) + nothing
    parts = sorted(
        ((candidate.name, weight / whole)
         for candidate, weight in zip(candidates, weights, strict=True)),
        key=lambda part: -part[1],
    )
    return Tie(peak, tuple(parts), nothing / whole, moved(peak, 0.0, u_share * peak.at).half_at)


def _turns(speed_ms: Numbers, rate_hz: float, circumference_m: float) -> Real:
    """(n,) wheel turns since the first sample."""
    middle = (speed_ms[1:].astype(np.float64) + speed_ms[:-1]) / 2.0
    way = np.concatenate([[0.0], np.cumsum(middle)]) / rate_hz
    return np.asarray(way / circumference_m)


def _pace(
    speed_ms: Numbers, rate_hz: float, circumference_m: float, count: int, segment_turns: int
) -> Real:
    """(count, 2) wheel turns a second in each half-overlapping segment, and its change a turn."""
    turns = _turns(speed_ms, rate_hz, circumference_m)
    starts = np.arange(count) * segment_turns / 2.0
    ends = np.interp(np.stack([starts, starts + segment_turns]), turns, speed_ms / circumference_m)
    return np.stack([ends.mean(axis=0), (ends[1] - ends[0]) / segment_turns], axis=1)


def _runs(record: EvenRecord, slowest_kmh: float) -> list[tuple[Numbers, Numbers]]:
    """Speed and acceleration of each run of samples above the slowest speed.

    Of a drive of some hours pieces here and there are taken, evenly over all of it.
    """
    runs = []
    for piece in record.stretches:
        if piece.speed_ms is None:
            raise RecordError(
                "the record has no speed", "record", "give the constant speed that was driven"
            )
        fast = np.concatenate([[False], piece.speed_ms >= slowest_kmh / 3.6, [False]])
        edges = np.flatnonzero(np.diff(fast.astype(np.int8)))
        for first, last in zip(edges[::2], edges[1::2], strict=True):
            parts = np.linspace(first, last, -(-(last - first) // LONGEST_RUN) + 1).astype(int)
            runs += [(piece.speed_ms[start:end], piece.acceleration[start:end])
                     for start, end in zip(parts, parts[1:], strict=False)
                     if end - start > record.rate_hz]
    every = math.ceil(sum(len(speed) for speed, _ in runs) / (MOST_S * record.rate_hz))
    runs = runs[:: max(every, 1)]
    if not runs:
        raise RecordError(
            f"the car was never faster than {slowest_kmh:.0f} km/h", "record",
            "record at the speed that shakes",
        )
    return runs
