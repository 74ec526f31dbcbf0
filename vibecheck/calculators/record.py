"""Record: an accelerometer file to spectrum, orders, direction and severity."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from vibecheck.calculators import record_reading as reading
from vibecheck.calculators.calculator import Answer, Calculator, Example, Tell
from vibecheck.calculators.driveline import DRIVELINE, TIRE, driveline, known_driveline
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.record_reading import Constant, Curve
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.examine import Examined, examine
from vibecheck.metrology.record.load import Record, load
from vibecheck.metrology.record.order_tracking import Tie
from vibecheck.metrology.record.peaks import Peak
from vibecheck.metrology.record.severity import Severity
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity

SEVERITY_SHARE = 0.15  # expanded, of a weighted value from a phone that lies fast; from memory
PEAKS_KEPT = 6
SOMETHING_ELSE = "something_else"
EXAMPLE_FILE = Path(__file__).parent / "example_record.csv"  # invented, as its first line says


class Working(StrEnum):
    """What is being done with a long file."""

    READING = "reading"
    SPECTRUM = "spectrum"  # length_s


class Next(StrEnum):
    """What would tell more."""

    GIVE_TIRE = "give_tire"
    GIVE_SPEED = "give_speed"
    GIVE_RATIOS = "give_ratios"  # ratios: "axle_ratio", "overall_ratio"
    RECORD_FASTER = "record_faster"  # rate_hz, highest_order, speed_kmh
    SWEEP = "sweep"


@dataclass(frozen=True)
class Tied:
    """One peak over wheel orders and the line it most likely comes from.

    `uncertainty` : expanded, 95 %, with tire and speed [wheel orders]. `line` : id of an order
    line, or `something_else`, or "". `state` : of the finding `record_order`, or "".
    """

    order: float
    uncertainty: float
    rms_m_s2: float
    line: str
    confidence: float
    state: str


@dataclass(frozen=True)
class RecordResult:
    """What a record says; `order_state` and `axis` are "" where the record does not tell.

    Attributes
    ----------
    file, rate_hz, length_s : of the record.
    peaks : over frequency, strongest first.
    orders : over wheel orders, strongest first; empty without speed or tire.
    slowest_kmh, fastest_kmh, turns : driven, where the orders come from.
    severity : as people feel it.
    order_state, axis : states of `record_order` and `record_axis`.
    notes : what was assumed, what is wrong, and why a state is not told.
    next : what would tell more.
    curve : for the figure.
    """

    file: str
    rate_hz: float
    length_s: float
    peaks: tuple[Peak, ...]
    orders: tuple[Tied, ...]
    slowest_kmh: float | None
    fastest_kmh: float | None
    turns: float | None
    severity: Severity
    order_state: str
    axis: str
    notes: tuple[Note, ...]
    next: tuple[Note, ...]
    curve: Curve


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
    constant = _constant(typed)
    rolling = typed.rolling()
    known = driveline(typed)
    say(note(Working.READING))
    record = load(Path(file), use_speed=constant is None)
    say(note(Working.SPECTRUM, length_s=record.length_s))
    record = _facing(record, typed.text("forward"))
    lines = reading.lines_at(known, rolling, record, constant)
    found = examine(
        record, None if rolling is None else rolling.circumference_m,
        None if constant is None else constant.value, reading.candidates(lines),
        reading.share_of(lines),
    )
    state, doubt = reading.order_state_of(found, lines)
    axis, about = reading.axis_of(found, record, bool(typed.text("forward")))
    states = reading.states(lines)
    over = found.orders
    return RecordResult(
        file=file, rate_hz=record.rate_hz, length_s=record.length_s, peaks=found.peaks,
        orders=tuple(_tied(each, states) for each in found.ties),
        slowest_kmh=None if over is None else over.slowest_kmh,
        fastest_kmh=None if over is None else over.fastest_kmh,
        turns=None if over is None else over.turns,
        severity=found.severity, order_state=state, axis=axis,
        notes=(*found.notes, *doubt, *about),
        next=_next(typed, record, found, state, reading.hidden_from(found, lines)),
        curve=reading.curve_of(found, lines),
    )


def answers(result: RecordResult, surface: str) -> tuple[Answer, ...]:
    """Order, direction and severity, each where the record tells it."""
    behind = tuple(f"order {each.order:.2f}: {each.rms_m_s2:.3f} m/s2 ({each.line})"
                   for each in result.orders[:PEAKS_KEPT])
    states = (("record_order", result.order_state), ("record_axis", result.axis))
    found = [Answer(finding, state, readings=behind) for finding, state in states if state]
    total = result.severity.total
    return (*found, Answer("record_severity", "", total, SEVERITY_SHARE * total,
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
    return Constant(found.value, found.uncertainty)


def _facing(record: Record, forward: str) -> Record:
    word = forward.lower()
    if not word:
        return record
    if word not in ("x", "y"):
        raise ReadingError(f"'{short(forward)}' is no axis of a phone that lies", "forward",
                           "write x or y")
    with at_field("forward"):
        return reading.facing(record, "xy".index(word))


def _tied(tie: Tie, states: Mapping[str, str]) -> Tied:
    line, confidence = tie.parts[0] if tie.parts else ("", 0.0)
    if tie.other > confidence:
        line, confidence = SOMETHING_ELSE, tie.other
    return Tied(tie.peak.at, tie.half_width, tie.peak.rms, line, confidence, states.get(line, ""))


def _next(
    typed: Typed, record: Record, found: Examined, state: str, hidden: float | None
) -> tuple[Note, ...]:
    if found.orders is None:
        has_speed = record.speed_ms is not None or typed.text("speed")
        return (note(Next.GIVE_TIRE if has_speed else Next.GIVE_SPEED),)
    steps = [] if state else _unknown_ratios(typed)
    if hidden is not None:
        steps.append(note(Next.RECORD_FASTER, rate_hz=record.rate_hz, highest_order=hidden,
                          speed_kmh=found.orders.fastest_kmh))
    if typed.text("speed"):
        steps.append(note(Next.SWEEP))
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
        "size; press Enter or F10 to read it. With the speed in the file, or a speed that was "
        "held, the shake is tied to what turns. Fix the phone well, flat, and drive where it "
        "shakes; a passenger handles the phone. A long file takes a moment: Esc stops the work."
    ),
    empty="Type the name of an acceleration file and press F10 to read it.",
    entries=(
        Field("file", "File", "shake.csv",
              "The CSV file that the phone exported: time, three axes, maybe speed.",
              shape=Shape.FILE),
        TIRE,
        Field("speed", "Speed held", "100 {unit}",
              "Only if one speed was held, and the file has no speed of its own.", Quantity.SPEED),
        Field("forward", "Pointed forward", "x or y",
              "The axis of the phone that pointed forward, if it lay flat.", shape=Shape.CHOICE,
              choices=("x", "y")),
        *DRIVELINE,
    ),
    run=run,
    answers=answers,
    known=known_driveline,
    examples=(
        Example({"file": str(EXAMPLE_FILE), "tire": "205/55R16"},
                "A file with time, x, y, z and speed, from a phone that lay fast: it says which "
                "order carries the shake. This one is invented and comes with the program.",
                ("Over wheel orders", "As people feel it")),
        Example({"file": "drive.csv", "tire": "205/55R16", "axle_ratio": "3.73"},
                "Tire size and driveline come from the case where it knows them; order, direction "
                "and severity go into it.", ("As people feel it",), "--into visit.yaml"),
    ),
    reads_file=True,
)
