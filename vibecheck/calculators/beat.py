"""Beat: two tires that roll unlike, and the swelling that they make together."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.orders import beat
from vibecheck.metrology.orders.beat import Beat
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity

MEASURED_ROLL_M = 0.003  # expanded, of a roll-out over several turns without its own; from memory
COUNTED_PERIOD_SHARE = 0.1  # expanded, of a period counted by ear without its own; from memory
SHORTEST_MM, LONGEST_MM = 500.0, 6_000.0  # of a roll in one turn
SLOWEST_KMH, FASTEST_KMH = 5.0, 400.0
LONGEST_S = 3_600.0
MOST_ORDER = 50


@dataclass(frozen=True)
class BeatResult:
    """A swelling and what it says of two tires.

    Attributes
    ----------
    beat : period and difference, with uncertainties.
    from_period : whether the period was typed and the difference worked out.
    mean_roll_m : of the two, or of the one that is known [m].
    speed_kmh, order : at which road speed, and of which order the shake is.
    """

    beat: Beat
    from_period: bool
    mean_roll_m: float
    speed_kmh: float
    order: int

    @property
    def roll_apart_mm(self) -> tuple[float, float]:
        """How much farther one rolls in a turn, with k = 2 [mm]."""
        scale = 1000.0 * self.mean_roll_m
        return self.beat.difference * scale, self.beat.difference_uncertainty * scale


def run(texts: Texts, tell: Tell | None = None) -> BeatResult:
    """The period from two tires, or their difference from a period.

    Raises
    ------
    InputError family : a speed, roll, size or period that cannot be, or too little given.
    """
    typed = Typed(texts)
    speed = typed.up_to("speed", Quantity.SPEED, FASTEST_KMH)
    if speed is None or speed < SLOWEST_KMH:
        raise ReadingError("a beat needs a road speed", "speed", "write 105 km/h or 65 mph")
    order = _order(typed)
    rolls = [_roll(typed, end) for end in ("", "2")]
    if typed.text("period"):
        return _from_period(typed, rolls, speed, order)
    first, second = rolls
    if first is None or second is None:
        name = "tire" if first is None else "tire2"
        raise ReadingError("two tires are wanted, or one and the time between beats", name,
                           "write 205/55R16 or a roll as 1.950 m")
    with at_field("roll2" if typed.text("roll2") else "tire2"):
        # Two spreads that differ count as two equal ones of the same sum of squares.
        spread = math.hypot(first[1], second[1]) / math.sqrt(2.0)
        found = beat.from_sizes(speed, first[0], second[0], spread, order)
    return BeatResult(found, False, (first[0] + second[0]) / 2.0, speed, order)


def answers(result: BeatResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding."""
    return ()


def _from_period(
    typed: Typed, rolls: list[tuple[float, float] | None], speed: float, order: int
) -> BeatResult:
    known = [each for each in rolls if each is not None]
    if len(known) != 1:
        raise ReadingError("the time between beats wants one tire beside it", "period",
                           "give one tire or roll, or leave the time empty")
    period = typed.value("period", Quantity.NUMBER)
    assert period is not None
    if not 0.0 < period.value <= LONGEST_S:
        raise ReadingError(f"'{short(period.typed)}' is no time between beats", "period",
                           "write seconds, as 8")
    spread = COUNTED_PERIOD_SHARE * period.value if period.uncertainty is None else (
        period.uncertainty)
    with at_field("period"):
        found = beat.from_period(period.value, speed, known[0][0], spread, order)
    if found.difference >= 0.5:
        raise ReadingError(
            f"beats {short(period.typed)} s apart would mean tires of {found.difference:.0%} "
            "difference", "period", "count the time from one loudest moment to the next")
    return BeatResult(found, True, known[0][0], speed, order)


def _order(typed: Typed) -> int:
    order = typed.count("order")
    if order is not None and not 1 <= order <= MOST_ORDER:
        raise ReadingError(f"an order of {short(typed.text('order'))} cannot be", "order",
                           "write 1 for once per turn")
    return order or 1


def _roll(typed: Typed, end: str) -> tuple[float, float] | None:
    """How far a tire rolls in one turn and how well that is known, k = 2 [m]."""
    measured, size = typed.value(f"roll{end}", Quantity.LENGTH), typed.tire(f"tire{end}")
    if measured is not None and size is not None:
        raise ReadingError("size and roll say the same twice", f"roll{end}", "give one of them")
    if measured is not None:
        if not SHORTEST_MM <= measured.value <= LONGEST_MM:
            raise ReadingError(f"a roll of '{short(measured.typed)}' cannot be", f"roll{end}",
                               "write it with its unit, as 1.950 m or 76.8 in")
        known = measured.uncertainty
        return measured.value / 1000.0, MEASURED_ROLL_M if known is None else known / 1000.0
    if size is None:
        return None
    rolling: Rolling = size.rolling
    return rolling.circumference_m, rolling.uncertainty_m


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"tire": facts["tire_size"]} if facts.get("tire_size") else {}


CALCULATOR = Calculator(
    name="beat",
    about=(
        "Two wheels that shake a little and roll unlike drift in and out of step: the shake "
        "swells and fades at a steady speed. From two tire sizes, or better from two rolls "
        "measured on the floor, follows the time from one loudest moment to the next; from that "
        "time follows how unlike two tires roll. It cannot tell which of the two is the larger. "
        "Let a passenger count, not the driver."
    ),
    empty="Type the road speed, and two rolls, or one tire and the time between beats.",
    entries=(
        Field("speed", "Road speed", "105 {unit}", "Held steady.", Quantity.SPEED),
        Field("roll", "Roll of a tire", "1950 {unit}", "How far it rolls in one turn, loaded.",
              Quantity.LENGTH),
        Field("roll2", "Roll of another", "1919 {unit}", "The same of the other tire.",
              Quantity.LENGTH),
        Field("period", "Beats apart", "8 +/- 1",
              "Time from one loudest moment to the next [s], instead of the other tire."),
        Field(TIRE.name, "Or tire size", TIRE.hint, "Instead of the roll of one tire.",
              shape=Shape.TEXT),
        Field("tire2", "And another size", "215/55R16", "Instead of the roll of the other tire.",
              shape=Shape.TEXT),
        Field("order", "Order", "1", "Of the shake that swells; 1 for once per turn.",
              folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"speed": "105 km/h", "roll": "1950 mm +/- 2", "roll2": "1919 mm +/- 2"},
                "A new tire beside one with 5 mm less tread.",
                ("swells every 4.1",)),
        Example({"speed": "65 mph", "tire": "205/55R16", "period": "8 +/- 1"},
                "A hum that comes back every 8 seconds.",
                ("roll 0.83 +/- 0.10 % unlike",)),
    ),
)
