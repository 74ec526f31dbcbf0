"""Record: an accelerometer file to spectrum, orders, direction and severity."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from vibecheck.calculators import record_orders
from vibecheck.calculators import record_reading as reading
from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import (
    DRIVELINE,
    SIZE_FROM,
    SPEED_FROM,
    TIRE,
    TREAD,
    driveline,
    known_driveline,
    size_source,
    speed_source,
    tread_mm,
)
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.record_orders import (
    PERCEIVED_M_S2,
    Next,
    OrderWord,
    OtherLine,
    ScaleWord,
)
from vibecheck.calculators.record_reading import Constant, Curve
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.orders.rotating_parts import SPEED_KMH
from vibecheck.metrology.orders.tire_size import Rolling, TireKind
from vibecheck.metrology.record.car_orders import CarOrders
from vibecheck.metrology.record.examine import Examined, Nature, examine
from vibecheck.metrology.record.humps import Hump
from vibecheck.metrology.record.load import Record, load
from vibecheck.metrology.record.peaks import Peak
from vibecheck.metrology.record.scale import SizeSource, SpeedSource
from vibecheck.metrology.record.severity import Severity
from vibecheck.metrology.record.signal import SPEED_UNITS_M_S
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity

SEVERITY_SHARE = 0.15  # expanded, of a weighted value from a phone that lies fast; from memory
ROLL_OUT_MM = 10.0  # expanded, of one turn of a loaded wheel between two chalk marks; from memory
ROLL_OUT_MOST_MM = (1000.0, 4000.0)
ROLL_OUT_SHARE = 0.12  # a roll-out further off the tire's size was not of one turn of that tire
READINGS_KEPT = 6
EXAMPLE_FILE = Path(__file__).parent / "example_record.csv"  # invented, as its first line says


class Working(StrEnum):
    """What is being done with a long file."""

    READING = "reading"
    SPECTRUM = "spectrum"  # length_s


@dataclass(frozen=True)
class Shown:
    """A peak over frequency, and whether it rings, turns or stands for itself."""

    peak: Peak
    nature: Nature


@dataclass(frozen=True)
class RecordResult:
    """What a record says; `order_state` and `axis` are "" where the record does not tell.

    Attributes
    ----------
    file, rate_hz, length_s : of the record.
    peaks : over frequency, strongest first.
    humps : what rings, strongest first.
    orders : every order of this car with its word; empty without speed or tire.
    others : lines where no known part has an order, strongest first.
    scale : of all orders, or None without them.
    size_from : where the tire size was read; None without orders, or with a measured roll-out.
    lag_s : how late the speed was and was taken to be, or None where that was not told [s].
    slowest_kmh, fastest_kmh, turns : driven, where the orders come from.
    swept : whether the speed changed enough to tell what turns from what does not.
    speed_units : more than one where the unit of the speed column has to be asked.
    severity : as people feel it.
    order_state, axis : states of `record_order` and `record_axis`.
    notes : what was assumed, what is wrong, and why a state is not told.
    next : what would tell more.
    curve : for the figure.
    """

    file: str
    rate_hz: float
    length_s: float
    peaks: tuple[Shown, ...]
    humps: tuple[Hump, ...]
    orders: tuple[OrderWord, ...]
    others: tuple[OtherLine, ...]
    scale: ScaleWord | None
    size_from: SizeSource | None
    lag_s: float | None
    slowest_kmh: float | None
    fastest_kmh: float | None
    turns: float | None
    swept: bool
    speed_units: tuple[str, ...]
    severity: Severity
    order_state: str
    axis: str
    notes: tuple[Note, ...]
    next: tuple[Note, ...]
    curve: Curve


@dataclass(frozen=True, eq=False)
class _Orders:
    """What the judgement of a record gives to its result; empty without one."""

    words: tuple[OrderWord, ...] = ()
    others: tuple[OtherLine, ...] = ()
    scale: ScaleWord | None = None
    lag_s: float | None = None
    swept: bool = False
    state: str = ""
    notes: tuple[Note, ...] = ()
    next: tuple[Note, ...] = ()

    @property
    def marks(self) -> tuple[tuple[float, str], ...]:
        """Places of the orders asked about, and of lines that no known part explains."""
        known = dict.fromkeys((each.per_wheel_turn, each.line) for each in self.words)
        strange = [(each.order, "") for each in self.others if each.rms_m_s2 >= PERCEIVED_M_S2]
        return (*known, *strange)


def run(texts: Texts, tell: Tell | None = None) -> RecordResult:
    """Load and examine a record.

    Raises
    ------
    RecordError : the file or what it holds cannot be used.
    InputError family : a size, speed or ratio that cannot be.
    """
    say = tell or (lambda note: None)
    typed = Typed(texts)
    file = typed.text("file").strip("'\"")
    if not file:
        raise ReadingError("no file is named", "file", "name an exported CSV file")
    constant, unit = _constant(typed), _speed_unit(typed)
    rolling, car = _car(typed, constant)
    say(note(Working.READING))
    record = load(Path(file), use_speed=constant is None, speed_unit=unit)
    say(note(Working.SPECTRUM, length_s=record.length_s))
    record = _facing(record, typed.text("forward"))
    found = examine(
        record, None if rolling is None else rolling.circumference_m,
        None if constant is None else constant.value, car=car,
    )
    judged = _Orders() if car is None or rolling is None else _judged(found, car, rolling, record)
    axis, about = reading.axis_of(found, record, bool(typed.text("forward")))
    over = found.orders
    return RecordResult(
        file=file, rate_hz=record.rate_hz, length_s=record.length_s,
        peaks=tuple(map(Shown, found.peaks, found.natures)), humps=found.humps,
        orders=judged.words, others=judged.others, scale=judged.scale,
        size_from=_told_size(typed, judged), lag_s=judged.lag_s,
        slowest_kmh=None if over is None else over.slowest_kmh,
        fastest_kmh=None if over is None else over.fastest_kmh,
        turns=None if over is None else over.turns, swept=judged.swept,
        speed_units=record.speed_units,
        severity=found.severity, order_state=judged.state, axis=axis,
        notes=(*found.notes, *judged.notes, *about),
        next=(*_lacking(typed, record, found, judged.state), *judged.next),
        curve=reading.curve_of(found, judged.marks),
    )


def _judged(found: Examined, car: CarOrders, rolling: Rolling, record: Record) -> _Orders:
    judgement, over = found.judgement, found.orders
    if judgement is None or over is None:
        return _Orders()
    words = record_orders.words_of(judgement, over.fastest_kmh)
    others = record_orders.others_of(judgement, car)
    scale = record_orders.scale_word(judgement)
    state, doubts = record_orders.order_state_of(
        words, others, record_orders.hidden_parts(car, found.bands), judgement.swept)
    steps = record_orders.next_steps(
        words, car, scale, record.rate_hz, (over.slowest_kmh, over.fastest_kmh),
        rolling.circumference_m, judgement.swept)
    lag = judgement.lag
    return _Orders(words, others, scale, lag.seconds if lag.known else None, judgement.swept,
                   state, doubts, steps)


def answers(result: RecordResult, surface: str) -> tuple[FindingAnswer, ...]:
    """Order, direction and severity, each where the record tells it."""
    lines = sorted((each for each in result.orders if each.rms_m_s2 is not None),
                   key=lambda each: -(each.rms_m_s2 or 0.0))
    behind = tuple(f"order {each.order:.2f}: {each.rms_m_s2:.3f} m/s2 ({each.line}, "
                   f"{each.verdict.value})" for each in lines[:READINGS_KEPT])
    states = (("record_order", result.order_state), ("record_axis", result.axis))
    found = [FindingAnswer(finding, state, readings=behind) for finding, state in states if state]
    total = result.severity.total
    return (*found, FindingAnswer("record_severity", "", total, SEVERITY_SHARE * total,
                                  Quantity.ACCELERATION, "m/s2", behind))


def _constant(typed: Typed) -> Constant | None:
    found = typed.value("speed", Quantity.SPEED)
    if found is None:
        if typed.text("engine_rpm"):
            raise ReadingError(
                "one engine speed does not fit a record in which the road speed changes",
                "engine_rpm", "give the overall ratio of the gear driven",
            )
        return None
    if found.value <= 0.0:
        raise ReadingError("the speed is not above zero", "speed", "write for example 100 km/h")
    if found.value > SPEED_KMH[1]:
        raise ReadingError(f"a speed of {found.value:g} km/h is none a road vehicle has", "speed",
                           "write for example 100 km/h")
    return Constant(found.value, found.uncertainty)


def _told_size(typed: Typed, judged: _Orders) -> SizeSource | None:
    return size_source(typed) if judged.words and not typed.text("roll_out") else None


def _speed_unit(typed: Typed) -> str:
    word = typed.text("speed_unit").lower()
    if word and word not in SPEED_UNITS_M_S:
        raise ReadingError(f"'{short(word)}' is no unit of a speed column", "speed_unit",
                           "write km/h, mph or m/s")
    return word


def _car(typed: Typed, constant: Constant | None) -> tuple[Rolling | None, CarOrders | None]:
    """How far its tire rolls in one turn, and its orders; None where neither is known."""
    size, rolled = typed.tire(), _roll_out(typed)
    known, source, tread = driveline(typed), speed_source(typed), tread_mm(typed)
    rolling = rolled[0] if rolled is not None else None if size is None else size.rolling
    if rolling is None:
        return None, None
    share = None
    if constant is not None and constant.uncertainty is not None:
        share = constant.uncertainty / constant.value
    car = record_orders.car_of(
        rolling, known, source, tread, size is not None and size.kind is TireKind.LIGHT_TRUCK,
        share, None if rolled is None else rolled[1], None if constant is None else constant.value,
        size_source(typed))
    return rolling, car


def _roll_out(typed: Typed) -> tuple[Rolling, float] | None:
    """The way of one turn as measured, and its expanded uncertainty [m]."""
    found = typed.value("roll_out", Quantity.LENGTH, "mm")
    if found is None:
        return None
    size = typed.tire()
    usual = found.value if size is None else 1000.0 * size.rolling.circumference_m
    within = ROLL_OUT_MOST_MM[0] <= found.value <= ROLL_OUT_MOST_MM[1]
    if not within or abs(found.value / usual - 1.0) > ROLL_OUT_SHARE:
        tire = "a tire" if size is None or not within else size.designation
        raise ReadingError(f"{found.value / 1000.0:.3g} m is not one turn of {tire}", "roll_out",
                           f"measure one turn and write it as {usual / 1000.0:.2f} m" if within
                           else "measure one turn and write it as 1.93 m or 76 in")
    spread = ROLL_OUT_MM if found.uncertainty is None else found.uncertainty
    meters = found.value / 1000.0
    return Rolling(meters, meters, meters), spread / 1000.0


def _facing(record: Record, forward: str) -> Record:
    word = forward.lower()
    if not word:
        return record
    if word not in ("x", "y"):
        raise ReadingError(f"'{short(forward)}' is no axis of a phone that lies", "forward",
                           "write x or y")
    with at_field("forward"):
        return reading.facing(record, "xy".index(word))


def _lacking(typed: Typed, record: Record, found: Examined, state: str) -> tuple[Note, ...]:
    """What was not given and would tell more."""
    held = bool(typed.text("speed"))
    if found.orders is None:
        if not held and len(record.speed_units) > 1:
            return (note(Next.GIVE_SPEED_UNIT, candidates=record.speed_units),)
        return (note(Next.GIVE_TIRE if record.speed_ms is not None or held
                     else Next.GIVE_SPEED),)
    steps = [] if state else _unknown_ratios(typed)
    if speed_source(typed) is SpeedSource.UNKNOWN:
        steps.append(note(Next.GIVE_SOURCE))
    if size_source(typed) is not SizeSource.TIRE and not typed.text("roll_out"):
        steps.append(note(Next.READ_SIZE))
    return tuple(steps)


def _unknown_ratios(typed: Typed) -> list[Note]:
    """What to give so that more parts can be named."""
    known = driveline(typed)
    unknown = []
    if known.axle_ratio is None and known.has_driveshaft is not False:
        unknown.append("axle_ratio")
    if known.overall_ratio is None and not known.electric:
        unknown.append("overall_ratio")
    return [note(Next.GIVE_RATIOS, ratios=tuple(unknown))] if unknown else []


CALCULATOR = Calculator(
    name="record",
    about=(
        "Type or paste the name of an acceleration file as phones export it (CSV), and the tire "
        "size; press Enter or F10 to read it. Every order that this car has is looked at: a slow "
        "sweep of speeds, with the speed in the file, proves which part keeps step; one speed "
        "that was held shows only what fits. Fix the phone well, flat, and drive where it shakes "
        "and where it is lawful; a passenger handles the phone. A long file takes a moment: Esc "
        "stops the work."
    ),
    empty="Type the name of an acceleration file and press F10 to read it.",
    entries=(
        Field("file", "File", "shake.csv",
              "The CSV file that the phone exported: time, three axes, maybe speed.",
              shape=Shape.FILE),
        TIRE,
        SIZE_FROM,
        Field("speed", "Speed held", "100 {unit}",
              "Only if one speed was held, and the file has no speed of its own.", Quantity.SPEED),
        SPEED_FROM,
        Field("speed_unit", "Unit in the file", "km/h, mph or m/s",
              "Of the speed column, where its header does not say.", shape=Shape.CHOICE,
              choices=tuple(SPEED_UNITS_M_S)),
        Field("forward", "Pointed forward", "x or y",
              "The axis of the phone that pointed forward, if it lay flat.", shape=Shape.CHOICE,
              choices=("x", "y")),
        *DRIVELINE,
        TREAD,
        Field("roll_out", "Measured roll-out", "1.93 m",
              "The way of one turn, measured with the car loaded; it replaces the tire's size.",
              shape=Shape.TEXT, folded=True),
    ),
    run=run,
    answers=answers,
    known=known_driveline,
    examples=(
        Example({"file": str(EXAMPLE_FILE), "tire": "205/55R16"},
                "A file with time, x, y, z and speed, from a phone that lay fast: it says which "
                "order carries the shake. This one is invented and comes with the program.",
                ("Orders of this car", "As people feel it")),
        Example({"file": "drive.csv", "tire": "205/55R16", "axle_ratio": "3.73"},
                "Tire size and driveline come from the case where it knows them; order, direction "
                "and severity go into it.", ("As people feel it",), "--into visit.yaml"),
    ),
    reads_file=True,
)
