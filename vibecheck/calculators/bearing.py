"""Bearing: how often per turn a flaw on each of its parts strikes, and at which frequency."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.orders.bearing import DefectOrders, TurningRing, defect_orders
from vibecheck.metrology.orders.tire_size import wheel_hz
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity

SLIP_SHARE = 0.02  # real orders stand a percent or two off pure rolling [1 of orders.bearing]
USUAL_PEAK_HZ = 0.3  # expanded, of a measured frequency without its own; from memory
LARGEST_MM = 1_000.0
FASTEST_KMH = 400.0
FASTEST_HZ = 20_000.0
_LENGTH = Quantity.LENGTH


class BearingPart(StrEnum):
    """A part of a bearing."""

    CAGE = "cage"
    OUTER_RING = "outer_ring"
    BALL = "ball"
    INNER_RING = "inner_ring"


@dataclass(frozen=True)
class Strike:
    """A flaw on one part: strikes per turn of the wheel, and per second [Hz] where it is known."""

    part: BearingPart
    order: float
    hz: float | None


@dataclass(frozen=True)
class OrderMatch:
    """A part against the measured frequency, at its own order or twice it [Hz]."""

    part: BearingPart
    times: int
    gap_hz: float
    allowed_hz: float

    @property
    def fits(self) -> bool:
        """Whether it can be what was measured."""
        return abs(self.gap_hz) <= self.allowed_hz


@dataclass(frozen=True)
class BearingResult:
    """Orders of a flaw on every part, slowest first.

    Attributes
    ----------
    turning : the ring that turns with the wheel.
    turn_hz : of that ring; None without a speed.
    measured_hz, matches : what was measured, against every part, nearest first.
    """

    strikes: tuple[Strike, ...]
    turning: TurningRing
    turn_hz: float | None
    measured_hz: float | None
    matches: tuple[OrderMatch, ...]


def run(texts: Texts, tell: Tell | None = None) -> BearingResult:
    """Work out the orders, and name a measured frequency.

    Raises
    ------
    InputError family : a geometry, speed or frequency that cannot be, or too little given.
    """
    typed = Typed(texts)
    ring, found_hz = _ring(typed), _turn_hz(typed)
    orders = _orders(typed, ring)
    strikes = tuple(sorted(
        (Strike(part, getattr(orders, part.value),
                None if found_hz is None else found_hz * getattr(orders, part.value))
         for part in BearingPart), key=lambda each: each.order))
    measured = typed.value("measured", Quantity.FREQUENCY)
    hz = typed.up_to("measured", Quantity.FREQUENCY, FASTEST_HZ)
    matches: tuple[OrderMatch, ...] = ()
    if measured is not None and hz is not None:
        if found_hz is None:
            raise ReadingError("a measured frequency needs the speed", "speed",
                               "write 105 km/h and the tire size, or the turns as rpm")
        spread = USUAL_PEAK_HZ if measured.uncertainty is None else measured.uncertainty
        matches = _matches(strikes, hz, spread)
    return BearingResult(strikes, ring, found_hz, hz, matches)


def answers(result: BearingResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding: hearing and play decide on a bearing."""
    return ()


def _ring(typed: Typed) -> TurningRing:
    word = typed.text("turning").lower() or TurningRing.INNER.value
    if word not in list(TurningRing):
        raise ReadingError(f"'{short(word)}' is no ring", "turning", "write inner or outer")
    return TurningRing(word)


def _orders(typed: Typed, ring: TurningRing) -> DefectOrders:
    balls = typed.count("balls")
    ball, pitch = (typed.up_to(name, _LENGTH, LARGEST_MM) for name in ("ball", "pitch"))
    for name, value, example in (("balls", balls, "9"), ("ball", ball, "7.94 mm"),
                                 ("pitch", pitch, "39.04 mm")):
        if value is None:
            raise ReadingError("the geometry is not complete", name, f"write for example {example}")
    assert balls is not None and ball is not None and pitch is not None
    contact = typed.angle("contact") or 0.0
    where = "balls"
    if ball >= pitch:
        where = "ball"
    elif 3 <= balls <= 60 and not 0.0 <= contact < 90.0:
        where = "contact"
    with at_field(where):
        return defect_orders(balls, ball, pitch, contact, ring)


def _turn_hz(typed: Typed) -> float | None:
    turns = typed.up_to("rpm", Quantity.FREQUENCY, FASTEST_HZ, "rpm")
    speed, rolling = typed.up_to("speed", Quantity.SPEED, FASTEST_KMH), typed.rolling()
    if turns is not None and speed is not None:
        raise ReadingError("turns and road speed say the same twice", "rpm", "give one of them")
    if turns is not None or speed is None:
        return turns
    if rolling is None:
        raise ReadingError("a road speed needs the tire size", "tire", "write 205/55R16")
    return wheel_hz(speed, rolling.circumference_m)


def _matches(strikes: tuple[Strike, ...], hz: float, spread: float) -> tuple[OrderMatch, ...]:
    found = [
        OrderMatch(each.part, times, times * each.hz - hz,
                   math.hypot(spread, SLIP_SHARE * times * each.hz) or 1e-9)
        for each in strikes if each.hz is not None for times in (1, 2)
    ]
    return tuple(sorted(found, key=lambda each: abs(each.gap_hz) / each.allowed_hz))


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"tire": facts["tire_size"]} if facts.get("tire_size") else {}


CALCULATOR = Calculator(
    name="bearing",
    about=(
        "A flaw in a rolling bearing strikes at its own number of times per turn, never a whole "
        "one: that tells it from tires and joints. From the count and size of the balls and "
        "their circle follow the orders of a flaw on each part, and with a speed their "
        "frequencies. The geometry stands in the bearing maker's tables, or is measured on the "
        "bearing that came out. A wheel bearing with play or heat is not driven on, whatever a "
        "spectrum says."
    ),
    empty="Type the count of balls in one row, their diameter, and that of their circle.",
    entries=(
        Field("balls", "Balls in a row", "9", "Balls or rollers in one row."),
        Field("ball", "Ball diameter", "7.94 {unit}", "Of one ball or roller.", _LENGTH),
        Field("pitch", "Circle of balls", "39.04 {unit}",
              "Diameter of the circle of their centers: about bore and outside, halved.", _LENGTH),
        Field("contact", "Contact angle", "0", "0 deg if empty; 30 to 40 deg in most hub units.",
              Quantity.ANGLE),
        Field("turning", "Ring that turns", "inner",
              "The ring that turns with the wheel; inner if empty.", shape=Shape.CHOICE,
              choices=tuple(TurningRing)),
        Field("speed", "Road speed", "105 {unit}", "With the tire size.", Quantity.SPEED),
        TIRE,
        Field("rpm", "Or turns", "1797 rpm", "Of the bearing; a bare number counts in rpm.",
              Quantity.FREQUENCY, own_unit="rpm"),
        Field("measured", "Measured shake", "107 Hz", "If one was measured.", Quantity.FREQUENCY),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"balls": "9", "ball": "7.94 mm", "pitch": "39.04 mm", "rpm": "1797 rpm",
                 "measured": "107.3 Hz"},
                "A ball bearing of a published set of records.",
                ("a flaw on the outer ring",)),
        Example({"balls": "13", "ball": "0.472 in", "pitch": "2.56 in", "contact": "35 deg",
                 "turning": "outer", "speed": "65 mph", "tire": "205/55R16"},
                "A hub unit whose outer ring turns with the wheel.",
                ("flaw on",)),
    ),
)
