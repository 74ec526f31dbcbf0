"""Orders: what shakes at which frequency, and which parts fit a measured one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import (
    DRIVELINE,
    SIZE_FROM,
    SPEED_FROM,
    TIRE,
    TREAD,
    driveline,
    known_driveline,
    order_state,
    size_source,
    speed_source,
    suspect,
    tread_mm,
)
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import InputError, ReadingError
from vibecheck.metrology.orders import rotating_parts as orders
from vibecheck.metrology.orders.rotating_parts import Fit, OrderLine, Pair
from vibecheck.metrology.orders.tire_size import TireKind, TireSize
from vibecheck.metrology.record.scale import (
    DASH_USUAL,
    GPS_SHARE,
    Prior,
    SizeSource,
    SpeedSource,
    expected_roll,
    prior_of,
)
from vibecheck.metrology.record.visible import AdvisedRate, advised_rate
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity, parse

USUAL_PEAK_HZ = 0.3  # expanded uncertainty of a peak if none is typed


@dataclass(frozen=True)
class MeasuredShake:
    """A measured frequency with its expanded uncertainty [Hz], and as it was typed."""

    hz: float
    uncertainty_hz: float
    typed: str


@dataclass(frozen=True)
class OrdersResult:
    """The order table, the fits of a measured frequency, and what cannot be told apart.

    Attributes
    ----------
    shown_kmh, source : the speed as read, and where.
    speed_kmh, speed_uncertainty_kmh : the true speed that it lets one expect, expanded [km/h].
    size_from : where the tire size was read.
    orders : as stated, with all that tire, wear, speed and the source of the size leave open.
    fits : of the measured frequency, held to the size as typed; another one is asked about.
    rate : how fast to record so that each of these orders is seen at this speed.
    """

    tire: TireSize
    shown_kmh: float
    source: SpeedSource
    size_from: SizeSource
    speed_kmh: float
    speed_uncertainty_kmh: float
    rate: AdvisedRate
    orders: tuple[OrderLine, ...]
    measured: MeasuredShake | None
    fits: tuple[Fit, ...]
    inseparable: tuple[Pair, ...]

    @property
    def states(self) -> tuple[str, ...]:
        """States of `record_order` that fit what was measured."""
        return tuple(dict.fromkeys(order_state(fit.line) for fit in self.fits if fit.fits))


def run(texts: Texts, tell: Tell | None = None) -> OrdersResult:
    """The table at this speed, and the parts that fit.

    Raises
    ------
    InputError family : a size, speed, ratio or frequency that cannot be.
    """
    typed = Typed(texts)
    size, speed = typed.tire(), typed.value("speed", Quantity.SPEED)
    if size is None or speed is None:
        missing = "tire" if size is None else "speed"
        raise ReadingError("nothing is given", missing, "write 205/55R16 and 105 km/h")
    source = speed_source(typed)
    spread = typed.uncertainty("speed_uncertainty", Quantity.SPEED)
    if spread is None:
        spread = speed.uncertainty
    known = driveline(typed)
    with at_field(suspect(known)):
        orders.order_table(speed.value, size.rolling, known, spread or 0.0)
    prior = _prior(typed, size, speed.value, spread, source)
    usual = expected_roll(size.rolling, prior.usual)
    table = orders.order_table(speed.value, usual, known, 0.0)
    measured = _measured(typed)
    fits: tuple[Fit, ...] = ()
    if measured is not None:
        with at_field("measured"):
            fits = orders.parts_that_fit(measured.hz, measured.uncertainty_hz, table)
    peak = USUAL_PEAK_HZ if measured is None else measured.uncertainty_hz
    pairs = orders.inseparable(table, speed.value, peak, usual, 0.0, _gears(typed))
    true_kmh, true_spread = _true_speed(speed.value, spread, source)
    rate = advised_rate([line.per_wheel_turn for line in table], true_kmh,
                        size.rolling.circumference_m)
    stated = orders.order_table(speed.value, expected_roll(size.rolling, prior.stated), known, 0.0)
    return OrdersResult(size, speed.value, source, size_source(typed), true_kmh, true_spread, rate,
                        stated, measured, fits, pairs)


def _prior(
    typed: Typed, size: TireSize, shown_kmh: float, spread_kmh: float | None, source: SpeedSource
) -> Prior:
    """What tire, wear and a speed as read let one expect of all orders together."""
    if spread_kmh is None and source is not SpeedSource.GPS:
        spread_kmh = orders.SPEEDOMETER_KMH
    share = None if spread_kmh is None else spread_kmh / shown_kmh
    return prior_of(size.rolling, source, tread_mm(typed), size.kind is TireKind.LIGHT_TRUCK, share,
                    size_from=size_source(typed))


def _true_speed(
    shown_kmh: float, typed_kmh: float | None, source: SpeedSource
) -> tuple[float, float]:
    """The true speed that a speed as read lets one expect, and its expanded uncertainty [km/h].

    A dash is never low: the middle of what it usually shows too much is taken off.
    """
    read = orders.SPEEDOMETER_KMH if typed_kmh is None else typed_kmh
    if source is SpeedSource.DASH:
        low, high = (shown_kmh / (1.0 + each) for each in reversed(DASH_USUAL))
        return (low + high) / 2.0, math.hypot((high - low) / math.sqrt(3.0), read)
    if typed_kmh is None and source is SpeedSource.GPS:
        read = 2.0 * GPS_SHARE * shown_kmh
    return shown_kmh, read


def answers(result: OrdersResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The order that fits, where one alone does."""
    if len(result.states) != 1 or result.measured is None:
        return ()
    return (FindingAnswer("record_order", result.states[0], readings=(result.measured.typed,),
                          angles=(f"{result.shown_kmh:g} km/h",)),)


def _measured(typed: Typed) -> MeasuredShake | None:
    found = typed.value("measured", Quantity.FREQUENCY)
    if found is None:
        return None
    spread = USUAL_PEAK_HZ if found.uncertainty is None else found.uncertainty
    return MeasuredShake(found.value, spread, found.typed)


def _gears(typed: Typed) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in typed.text("gear").split(";"):
        if not text.strip():
            continue
        name, _, ratio = text.partition("=")
        try:
            value = parse(ratio, Quantity.NUMBER, None, "gear").value
        except InputError:
            value = 0.0
        if not name.strip() or value <= 0.0:
            raise ReadingError(f"'{short(text)}' is not a gear", "gear", "write fourth=3.9")
        found[name.strip()] = value
    return found


CALCULATOR = Calculator(
    name="orders",
    about=(
        "Whatever turns shakes in step with its turns. From the tire and the road speed follow "
        "the frequencies of wheel, shafts and engine; a shake that was measured in Hz is tied to "
        "the parts that fit it, and it says which parts cannot be told apart at this speed and "
        "where they part. Ratios count turns per turn of the wheel."
    ),
    empty="Type the tire size and the road speed.",
    entries=(
        TIRE,
        SIZE_FROM,
        Field("speed", "Road speed", "105 {unit}", "The speed at which it shakes.",
              Quantity.SPEED),
        SPEED_FROM,
        Field("measured", "Measured shake", "14.9 Hz +/- 0.3",
              "The frequency of the shake, if one was measured.", Quantity.FREQUENCY),
        *DRIVELINE,
        TREAD,
        Field("speed_uncertainty", "Speed known to", "2 {unit}",
              "How well the speed was read, at about 95 %; 2 km/h if empty, 1 % by GPS.",
              Quantity.SPEED, folded=True),
        Field("gear", "Other gears", "third=4.8; fourth=3.9",
              "Engine turns per wheel turn, to find the gear that tells two parts apart.",
              shape=Shape.TEXT, folded=True, often=True),
    ),
    run=run,
    answers=answers,
    known=known_driveline,
    examples=(
        Example({"tire": "205/55R16", "size_from": "tire", "speed": "105 km/h", "speed_from": "gps",
                 "measured": "15.2 Hz +/- 0.3", "axle_ratio": "3.73"},
                "A wheel of this tire turns about 15 times a second at 105 km/h: a shake measured "
                "at 15.2 Hz comes once per turn of a wheel, the driveshaft would shake near 57 Hz.",
                ("wheel, 1st order fits: -0.11 Hz off",)),
    ),
)
