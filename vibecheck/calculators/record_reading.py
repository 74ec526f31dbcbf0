"""From an examined record to its direction, and the curve to draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.examine import LOWEST_ORDER, Examined
from vibecheck.metrology.record.load import Record
from vibecheck.metrology.record.peaks import LOBE_BINS, LOWEST_HZ
from vibecheck.metrology.record.spectrum import Spectrum

SURE_OF_AXIS = 0.6
LEANS_MOST = 0.5  # an axis that points up by more than this share does not point forward
ORDERS_SHOWN, HZ_SHOWN = 4.5, 60.0
ROOM = 1.2


class Unclear(StrEnum):
    """Why a record does not tell a direction."""

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
    marks : (place, id of an order line; "" for a peak or a line of no known part).
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


def axis_of(found: Examined, record: Record, faced: bool) -> tuple[str, tuple[Note, ...]]:
    """State of `record_axis`, "" where the record does not tell; and why not."""
    spectrum = found.spectrum if found.orders is None else found.orders.spectrum
    peaks = found.peaks if found.orders is None else tuple(tie.peak for tie in found.ties)
    if not peaks:
        return "", ()
    if record.gravity is None:
        return "", (note(Unclear.UP_NOT_KNOWN),)
    shares = _axis_shares(spectrum, peaks[0].at)
    if shares[2] >= SURE_OF_AXIS:
        return "vertical", ()
    if not faced:
        return "", (note(Unclear.FORWARD_NOT_KNOWN),)
    names = ("lengthwise", "sideways", "vertical")
    most = int(np.argmax(shares))
    if shares[most] < SURE_OF_AXIS:
        return "", (note(Unclear.NO_CLEAR_DIRECTION),)
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


def curve_of(found: Examined, marks: Sequence[tuple[float, str]]) -> Curve:
    """Amplitude over orders with the parts marked, or over frequency with the peaks marked.

    Parameters
    ----------
    found : as examined.
    marks : (wheel order, id of an order line, or "" where no part is known).
    """
    if found.orders is None:
        peaks = tuple((peak.at, "") for peak in found.peaks[:3])
        return _curve(found.spectrum, LOWEST_HZ, HZ_SHOWN, False, peaks)
    highest = max([ORDERS_SHOWN, *(ROOM * at for at, _ in marks)])
    highest = min(highest, found.orders.highest_order)
    shown = tuple((at, line) for at, line in marks if at <= highest)
    return _curve(found.orders.spectrum, LOWEST_ORDER, highest, True, shown)


def _curve(
    spectrum: Spectrum, lowest: float, highest: float, over_orders: bool,
    marks: tuple[tuple[float, str], ...],
) -> Curve:
    shown = (spectrum.at >= lowest) & (spectrum.at <= highest)
    amplitude = np.sqrt(spectrum.total[shown])
    return Curve(tuple(float(place) for place in spectrum.at[shown]),
                 tuple(float(size) for size in amplitude), over_orders, marks)
