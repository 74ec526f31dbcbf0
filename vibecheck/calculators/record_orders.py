"""From a record's judgement to values of a result: each order's word, one finding, what to do next.

The law: only an order that keeps step answers `record_order`; nothing answers it "nothing stands
out" unless every order that the car has, or may have, would have shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from vibecheck.calculators.driveline import order_state, suspect
from vibecheck.calculators.typed import at_field
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.orders.rotating_parts import Driveline, OrderLine, Part, order_table
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.record.car_orders import CarOrders, car_orders
from vibecheck.metrology.record.judge import (
    SWEEP_FROM,
    SWEEP_TO,
    JudgedOrder,
    OrderVerdict,
    PartOrder,
    RecordJudgement,
    SettledBy,
)
from vibecheck.metrology.record.lines import Line
from vibecheck.metrology.record.scale import ScaleState, SizeSource, SpeedSource
from vibecheck.metrology.record.visible import SpeedBand, advised_rate

PERCEIVED_M_S2 = 0.015 / math.sqrt(2.0)  # rms; half of alert people feel a peak of 0.015 m/s2,
# ISO 2631-1:1997, annex C.3 (from memory)
SEEN_THROUGH = 0.97  # of the fastest speed driven; an order seen so far was seen throughout
FIRES = (1.5, 4.0)  # firings in a turn of the crank, three to eight cylinders
SHAFT_ORDERS = 2.0  # a driveshaft of unknown ratio shakes up to so often in its turn


class OrderDoubt(StrEnum):
    """Why a record does not tell which part shakes."""

    FAINT = "faint"  # all was seen, and nothing is strong enough to be felt
    ONLY_FITS = "only_fits"  # line
    AT_ONE_SPEED = "at_one_speed"  # line
    NO_PART_THERE = "no_part_there"  # order, parts (that may be there)
    MORE_THAN_ONE_PART = "more_than_one_part"  # order, lines
    STEADY = "steady"  # only one speed was driven
    UNSEEN = "unseen"  # lines, parts
    COVERED = "covered"  # lines
    SCALE_LOW_OR_HIGH = "scale_low_or_high"  # share


class Next(StrEnum):
    """What would tell more."""

    GIVE_TIRE = "give_tire"
    GIVE_SPEED = "give_speed"
    GIVE_SPEED_UNIT = "give_speed_unit"  # candidates
    GIVE_SOURCE = "give_source"
    READ_SIZE = "read_size"
    GIVE_RATIOS = "give_ratios"  # ratios: "axle_ratio", "overall_ratio"
    RECORD_FASTER = "record_faster"  # rate_hz, advised_hz, speed_kmh
    SWEEP = "sweep"  # low_kmh, high_kmh
    OTHER_GEAR = "other_gear"  # parts
    LONGER = "longer"
    MEASURE_ROLL = "measure_roll"


@dataclass(frozen=True)
class OrderWord:
    """What the record says of one order of this car.

    Attributes
    ----------
    line, state : id of the order, and the state of `record_order` that it stands for.
    per_wheel_turn : where it stands [wheel orders].
    verdict, confidence : what the record says; that the line is this part's [0 to 1].
    order, low, high : where a line was seen, with its 95 % interval [wheel orders], or None.
    rms_m_s2 : of that line, or None.
    limit_m_s2 : a shake from here on would have been found; None where it could not be seen.
    seen_kmh : speeds at which it could be seen, or None; seen_to_kmh : up to where at this rate.
    throughout : whether that is all that was driven.
    rivals : ids of other orders in the same place. unknown : parts of unknown ratio that may
    stand there.
    proof : what would settle it. sweep_kmh : the sweep that would.
    """

    line: str
    state: str
    per_wheel_turn: float
    verdict: OrderVerdict
    confidence: float
    order: float | None
    low: float | None
    high: float | None
    rms_m_s2: float | None
    limit_m_s2: float | None
    seen_kmh: tuple[float, float] | None
    seen_to_kmh: float
    throughout: bool
    rivals: tuple[str, ...]
    unknown: tuple[Part, ...]
    proof: SettledBy | None
    sweep_kmh: tuple[float, float] | None

    @property
    def felt(self) -> bool:
        """Whether a line is there that people feel."""
        return self.rms_m_s2 is not None and self.rms_m_s2 >= PERCEIVED_M_S2


@dataclass(frozen=True)
class OtherLine:
    """A line where no known part has an order, with the parts of unknown ratio that may be it."""

    order: float
    low: float
    high: float
    rms_m_s2: float
    verdict: OrderVerdict
    unknown: tuple[Part, ...]


@dataclass(frozen=True)
class ScaleWord:
    """The scale of all orders: 1.03 if all stand 3 % high; 95 % intervals, found and expected."""

    state: ScaleState
    value: float
    low: float
    high: float
    expected_low: float
    expected_high: float


def car_of(
    rolling: Rolling, known: Driveline, source: SpeedSource, tread_mm: float | None, truck: bool,
    speed_share: float | None, measured_u_m: float | None, held_kmh: float | None,
    size_from: SizeSource,
) -> CarOrders:
    """The car's orders, with an engine speed as read from the rev counter at a speed held.

    Parameters as of `car_orders`; held_kmh : the speed held, or None [km/h].

    Raises
    ------
    VehicleError : a ratio, count or engine speed that no road vehicle has.
    """
    with at_field(suspect(known)):
        car = car_orders(rolling, known, source, tread_mm, truck, speed_share, measured_u_m,
                         size_from)
        if known.engine_rpm is None or held_kmh is None or known.electric:
            return replace(car, unknown=(*car.unknown, *_firing(known)))
        # The rev counter's own frequency does not follow the scale: it is held to what is seen.
        counted = [line for line in order_table(held_kmh, rolling, known) if not line.geared]
    places = tuple((line.part, line.per_wheel_turn * (1.0 - line.uncertainty_hz / line.hz),
                    line.per_wheel_turn * (1.0 + line.uncertainty_hz / line.hz))
                   for line in counted)
    others = tuple(each for each in car.unknown
                   if each[0] not in (Part.ENGINE_CRANK, Part.ENGINE_FIRING))
    return replace(car, unknown=(*others, *places))


def _firing(known: Driveline) -> tuple[tuple[Part, float, float], ...]:
    """Where the engine may fire if its ratio is known and its cylinders are not."""
    if known.overall_ratio is None or known.cylinders is not None or known.electric:
        return ()
    low, high = (each * known.overall_ratio for each in FIRES)
    return ((Part.ENGINE_FIRING, low, high),)


def words_of(judgement: RecordJudgement, fastest_kmh: float) -> tuple[OrderWord, ...]:
    """Every order of the car with its word."""
    return tuple(_word(each, fastest_kmh) for each in judgement.orders)


def _word(each: JudgedOrder, fastest_kmh: float) -> OrderWord:
    seen = each.seen_kmh
    return OrderWord(
        _id(each.turning), _state(each.turning), each.turning.per_wheel_turn, each.verdict,
        each.confidence, each.order, each.low, each.high,
        None if each.line is None else each.line.rms,
        each.limit_rms if math.isfinite(each.limit_rms) else None, seen, each.seen_to_kmh,
        seen is not None and seen[1] >= SEEN_THROUGH * fastest_kmh,
        tuple(_id(other) for other in each.rivals), each.unknown, each.proof, each.sweep_kmh,
    )


def _as_line(turning: PartOrder) -> OrderLine:
    return OrderLine(turning.part, turning.order, turning.per_wheel_turn, 0.0, 0.0)


def _id(turning: PartOrder) -> str:
    return _as_line(turning).id


def _state(turning: PartOrder) -> str:
    return order_state(_as_line(turning))


def others_of(judgement: RecordJudgement, car: CarOrders) -> tuple[OtherLine, ...]:
    """Lines that no known part explains, strongest first."""
    found = [OtherLine(each.order, each.low, each.high, each.line.rms, each.verdict,
                       parts_near(car, each.line)) for each in judgement.unlisted]
    return tuple(sorted(found, key=lambda each: -each.rms_m_s2))


def parts_near(car: CarOrders, line: Line) -> tuple[Part, ...]:
    """Parts of unknown ratio that may stand where a line is."""
    return tuple(dict.fromkeys(
        part for part, low, high in car.unknown if low <= line.order <= high))


def scale_word(judgement: RecordJudgement) -> ScaleWord:
    """The scale as a result holds it."""
    scale = judgement.scale
    return ScaleWord(scale.state, scale.value, scale.low, scale.high, scale.expected_low,
                     scale.expected_high)


def order_state_of(
    words: Sequence[OrderWord], others: Sequence[OtherLine], hidden: tuple[Part, ...], swept: bool
) -> tuple[str, tuple[Note, ...]]:
    """State of `record_order`, "" where the record does not tell; and why not.

    Parameters
    ----------
    words, others : every order, and every line that none of them explains.
    hidden : parts of unknown ratio that may shake faster than the record shows.
    swept : whether more than one speed was driven.
    """
    felt = sorted((each for each in words if each.felt), key=lambda each: -(each.rms_m_s2 or 0.0))
    strange = [each for each in others if each.rms_m_s2 >= PERCEIVED_M_S2]
    first = next((each for each in felt if each.verdict is OrderVerdict.KEEPS_STEP), None)
    if first is not None:
        return _answered(first, felt, strange)
    if strange and (not felt or strange[0].rms_m_s2 > (felt[0].rms_m_s2 or 0.0)):
        return "", (_nobody(strange[0]),)
    if felt:
        return "", (_unproven(felt[0]),)
    return _nothing(words, hidden, swept)


def _answered(
    first: OrderWord, felt: Sequence[OrderWord], strange: Sequence[OtherLine]
) -> tuple[str, tuple[Note, ...]]:
    """The strongest order that keeps step, unless another line carries more."""
    mine = first.rms_m_s2 or 0.0
    if strange and strange[0].rms_m_s2 > mine:
        return "", (_nobody(strange[0]),)
    louder = next((each for each in felt if each is not first
                   and (each.rms_m_s2 or 0.0) > mine and each.verdict is not OrderVerdict.ONE_SPEED
                   and not _same_place(each, first)), None)
    if louder is not None:
        return "", (_unproven(louder),)
    shared = [each for each in felt if each.line in first.rivals]
    if any(each.state != first.state for each in shared):
        lines = (first.line, *(each.line for each in shared))
        return "", (note(OrderDoubt.MORE_THAN_ONE_PART, order=first.order or 0.0, lines=lines),)
    return first.state, ()


def _same_place(one: OrderWord, other: OrderWord) -> bool:
    return other.line in one.rivals or one.line in other.rivals


def _nobody(line: OtherLine) -> Note:
    return note(OrderDoubt.NO_PART_THERE, order=line.order, parts=line.unknown)


def _unproven(each: OrderWord) -> Note:
    if each.verdict is OrderVerdict.FITS:
        return note(OrderDoubt.ONLY_FITS, line=each.line)
    if each.verdict is OrderVerdict.ONE_SPEED:
        return note(OrderDoubt.AT_ONE_SPEED, line=each.line)
    return note(OrderDoubt.MORE_THAN_ONE_PART, order=each.order or 0.0,
                lines=(each.line, *each.rivals))


def _nothing(
    words: Sequence[OrderWord], hidden: tuple[Part, ...], swept: bool
) -> tuple[str, tuple[Note, ...]]:
    """Nothing is felt: that speaks against the parts only if each would have shown."""
    unseen = tuple(each.line for each in words
                   if each.verdict is OrderVerdict.UNSEEN or not each.throughout)
    covered = tuple(each.line for each in words if each.verdict is OrderVerdict.COVERED)
    reasons = []
    if not swept:
        reasons.append(note(OrderDoubt.STEADY))
    if unseen or hidden:
        reasons.append(note(OrderDoubt.UNSEEN, lines=unseen, parts=hidden))
    if covered:
        reasons.append(note(OrderDoubt.COVERED, lines=covered))
    return ("", tuple(reasons)) if reasons else ("none_clear", (note(OrderDoubt.FAINT),))


def hidden_parts(car: CarOrders, bands: Iterable[SpeedBand]) -> tuple[Part, ...]:
    """Parts of unknown ratio that may shake faster than the record shows at some speed driven."""
    shown = min((band.highest_order for band in bands), default=0.0)
    return tuple(dict.fromkeys(
        part for part, _, high in car.unknown
        if high * (SHAFT_ORDERS if part is Part.DRIVESHAFT else 1.0) > shown))


def next_steps(
    words: Sequence[OrderWord], car: CarOrders, scale: ScaleWord, rate_hz: float,
    driven_kmh: tuple[float, float], circumference_m: float, swept: bool,
) -> tuple[Note, ...]:
    """What would settle what is open, the most telling first."""
    low, high = driven_kmh
    steps = []
    sweep = next((each.sweep_kmh for each in _by_strength(words) if each.sweep_kmh), None)
    if sweep is None and not swept:
        sweep = SWEEP_FROM * low, SWEEP_TO * high
    if sweep is not None:
        steps.append(note(Next.SWEEP, low_kmh=sweep[0], high_kmh=sweep[1]))
    gear = next((each.unknown for each in _by_strength(words) if each.felt and each.unknown), ())
    if gear:
        steps.append(note(Next.OTHER_GEAR, parts=gear))
    if scale.state is ScaleState.SCALE_OFF:
        steps.append(note(Next.MEASURE_ROLL))
    wanted = [each.per_wheel_turn for each in words]
    wanted += [top for part, _, top in car.unknown if part is not Part.ENGINE_FIRING]
    advised = advised_rate(wanted, high, circumference_m)
    if advised.needed_hz > rate_hz:
        steps.append(note(Next.RECORD_FASTER, rate_hz=rate_hz, advised_hz=advised.advised_hz,
                          speed_kmh=high))
    if any(each.proof is SettledBy.LONGER for each in words):
        steps.append(note(Next.LONGER))
    return tuple(steps)


def _by_strength(words: Sequence[OrderWord]) -> list[OrderWord]:
    return sorted(words, key=lambda each: -(each.rms_m_s2 or 0.0))
