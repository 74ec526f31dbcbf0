"""From an examined record to findings: which order, which direction, and the curve to draw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from vibecheck.calculators.driveline import order_state
from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.orders.rotating_parts import (
    SPEEDOMETER_KMH,
    Driveline,
    OrderLine,
    Part,
    order_table,
)
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.record.examine import LOWEST_ORDER, Examined
from vibecheck.metrology.record.load import Record
from vibecheck.metrology.record.order_tracking import SLOWEST_KMH, Candidate
from vibecheck.metrology.record.peaks import LOBE_BINS, LOWEST_HZ
from vibecheck.metrology.record.spectrum import Spectrum

PERCEIVED_M_S2 = 0.015 / math.sqrt(2.0)  # rms; half of alert people feel a peak of 0.015 m/s2,
# ISO 2631-1:1997, annex C.3 (from memory)
RECORDED_SPEED_SHARE = 0.02  # expanded, of a position sensor's speed with its lag; from memory
SURE_OF_ORDER = 0.6
SURE_OF_AXIS = 0.6
LEANS_MOST = 0.5  # an axis that points up by more than this share does not point forward
PARTS_REACH = 4.5  # orders a driveshaft or crank of a usual car reaches, if not known; from memory
ORDERS_SHOWN, HZ_SHOWN = 4.5, 60.0
ROOM = 1.2


class Doubt(StrEnum):
    """Why a record does not tell an order or a direction."""

    NOT_FELT = "not_felt"
    NOT_FELT_SO_FAR = "not_felt_so_far"  # a part may hide above what the record can show
    NO_PART_THERE = "no_part_there"  # order
    MORE_THAN_ONE_PART = "more_than_one_part"  # order
    UP_NOT_KNOWN = "up_not_known"
    FORWARD_NOT_KNOWN = "forward_not_known"
    NO_CLEAR_DIRECTION = "no_clear_direction"


@dataclass(frozen=True)
class Curve:
    """Amplitude over wheel orders or frequency, with named places.

    Attributes
    ----------
    at, amplitude : place [wheel order or Hz] and (m/s2) per root of one of them.
    over_orders : whether the place is a wheel order.
    marks : (place, id of an order line; "" for a peak in Hz).
    """

    at: tuple[float, ...]
    amplitude: tuple[float, ...]
    over_orders: bool
    marks: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class Constant:
    """A speed that was held, with its expanded uncertainty if typed [km/h]."""

    value: float
    uncertainty: float | None


def lines_at(
    known: Driveline, rolling: Rolling | None, record: Record, constant: Constant | None
) -> tuple[OrderLine, ...]:
    """The orders this vehicle can shake at, at the speed held or the mean speed of the record.

    Empty without tire or speed.
    """
    if rolling is None:
        return ()
    if constant is not None:
        spread = SPEEDOMETER_KMH if constant.uncertainty is None else constant.uncertainty
        return order_table(constant.value, rolling, known, spread)
    if record.speed_ms is None:
        return ()
    driven = record.speed_ms[record.speed_ms >= SLOWEST_KMH / 3.6]
    mean = float(driven.mean()) * 3.6 if len(driven) else SLOWEST_KMH
    return order_table(mean, rolling, known, RECORDED_SPEED_SHARE * mean)


def candidates(lines: Sequence[OrderLine]) -> tuple[Candidate, ...]:
    """The lines as places over wheel orders with their standard uncertainty."""
    return tuple(
        Candidate(line.id, line.per_wheel_turn,
                  line.per_wheel_turn * line.uncertainty_hz / line.hz / 2.0)
        for line in lines
    )


def share_of(lines: Sequence[OrderLine]) -> float:
    """Standard uncertainty of tire and speed together [share of 1]; 0 without lines."""
    return next((line.uncertainty_hz / line.hz / 2.0 for line in lines
                 if line.part is Part.WHEEL), 0.0)


def states(lines: Sequence[OrderLine]) -> dict[str, str]:
    """State of `record_order` by the id of a line."""
    return {line.id: order_state(line) for line in lines}


def order_state_of(
    found: Examined, lines: Sequence[OrderLine]
) -> tuple[str, tuple[Note, ...]]:
    """State of `record_order`, "" where the record does not tell; and why not."""
    if found.orders is None:
        return "", ()
    if not found.ties or found.ties[0].peak.rms < PERCEIVED_M_S2:
        if hidden_from(found, lines) is not None:
            return "", (note(Doubt.NOT_FELT_SO_FAR),)
        return "none_clear", (note(Doubt.NOT_FELT),)
    first = found.ties[0]
    by_state: dict[str, float] = {}
    known = states(lines)
    for name, confidence in first.parts:
        by_state[known[name]] = by_state.get(known[name], 0.0) + confidence
    best = max(by_state, key=lambda state: by_state[state], default="")
    if best and by_state[best] >= SURE_OF_ORDER:
        return best, ()
    kind = Doubt.NO_PART_THERE if first.other >= 0.5 else Doubt.MORE_THAN_ONE_PART
    return "", (note(kind, order=first.peak.at),)


def hidden_from(found: Examined, lines: Sequence[OrderLine]) -> float | None:
    """The order above which the record was sampled too slowly, if something may hide there."""
    if found.orders is None:
        return None
    wanted = max([PARTS_REACH, *(line.per_wheel_turn for line in lines)])
    return found.orders.highest_order if found.orders.highest_order < wanted else None


def axis_of(found: Examined, record: Record, faced: bool) -> tuple[str, tuple[Note, ...]]:
    """State of `record_axis`, "" where the record does not tell; and why not."""
    spectrum = found.spectrum if found.orders is None else found.orders.spectrum
    peaks = found.peaks if found.orders is None else tuple(tie.peak for tie in found.ties)
    if not peaks:
        return "", ()
    if record.gravity is None:
        return "", (note(Doubt.UP_NOT_KNOWN),)
    shares = _axis_shares(spectrum, peaks[0].at)
    if shares[2] >= SURE_OF_AXIS:
        return "vertical", ()
    if not faced:
        return "", (note(Doubt.FORWARD_NOT_KNOWN),)
    names = ("lengthwise", "sideways", "vertical")
    most = int(np.argmax(shares))
    if shares[most] < SURE_OF_AXIS:
        return "", (note(Doubt.NO_CLEAR_DIRECTION),)
    return names[most], ()


def _axis_shares(spectrum: Spectrum, at: float) -> list[float]:
    bin_ = int(np.argmin(np.abs(spectrum.at - at)))
    power = spectrum.density[max(bin_ - LOBE_BINS, 0): bin_ + LOBE_BINS + 1].sum(axis=0)
    return [float(share) for share in power / power.sum()]


def facing(record: Record, axis: int) -> Record:
    """The record turned so that its axes are forward, left and up.

    Parameters
    ----------
    record : with gravity.
    axis : the phone's axis that pointed forward, 0 for x or 1 for y.

    Raises
    ------
    RecordError : gravity is not in the record, or that axis points up.
    """
    if record.gravity is None:
        raise RecordError("without gravity in the record its axes cannot be turned", record.source,
                          "export the acceleration with gravity")
    size = float(np.linalg.norm(record.gravity))
    up = record.gravity / size
    if abs(float(up[axis])) > LEANS_MOST:
        raise RecordError(f"the {'xy'[axis]} axis points up or down, not forward", record.source,
                          "name the axis that pointed forward")
    ahead = np.eye(3)[axis] - up[axis] * up
    ahead /= np.linalg.norm(ahead)
    turn = np.array([ahead, np.cross(up, ahead), up])
    return replace(
        record, acceleration=record.acceleration @ turn.T, gravity=np.array([0.0, 0.0, size])
    )


def curve_of(found: Examined, lines: Sequence[OrderLine]) -> Curve:
    """Amplitude over orders with the parts marked, or over frequency with the peaks marked."""
    if found.orders is None:
        peaks = tuple((peak.at, "") for peak in found.peaks[:3])
        return _curve(found.spectrum, LOWEST_HZ, HZ_SHOWN, False, peaks)
    highest = max([ORDERS_SHOWN, *(ROOM * line.per_wheel_turn for line in lines)])
    highest = min(highest, found.orders.highest_order)
    marks = tuple((line.per_wheel_turn, line.id) for line in lines
                  if line.per_wheel_turn <= highest)
    return _curve(found.orders.spectrum, LOWEST_ORDER, highest, True, marks)


def _curve(
    spectrum: Spectrum, lowest: float, highest: float, over_orders: bool,
    marks: tuple[tuple[float, str], ...],
) -> Curve:
    shown = (spectrum.at >= lowest) & (spectrum.at <= highest)
    amplitude = np.sqrt(spectrum.total[shown])
    return Curve(tuple(float(place) for place in spectrum.at[shown]),
                 tuple(float(size) for size in amplitude), over_orders, marks)
