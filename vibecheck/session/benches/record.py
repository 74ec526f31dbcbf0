"""The record bench: an accelerometer file to spectrum, orders, direction and severity."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.record.examine import Examined, examine
from vibecheck.metrology.record.load import Record, load
from vibecheck.metrology.record.order_tracking import Tie
from vibecheck.metrology.record.peaks import Peak
from vibecheck.metrology.record.severity import Severity
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields, readout
from vibecheck.session.benches.result import BenchView, Section, no_surface
from vibecheck.session.benches.turning import DrivelineTyped, driveline

Tell = Callable[[str], None]
SEVERITY_SHARE = 0.15  # expanded, of a weighted value from a phone that lies fast; from memory
PEAKS_SHOWN = 6


class RecordTyped(DrivelineTyped, frozen=True, kw_only=True):
    """What a person types: the `file`, the `tire` size, and `speed` where one was held.

    A typed speed goes before a speed column. `forward` : the axis of the phone that pointed
    forward, x or y; without it sideways and lengthwise are not told apart.
    """

    file: str
    tire: str = ""
    speed: str = ""
    forward: str = ""


class Tied(Struct, frozen=True, kw_only=True):
    """One peak over wheel orders and the part it most likely comes from.

    `uncertainty` : expanded, 95 %, with tire and speed [wheel orders].
    """

    order: float
    uncertainty: float
    rms_m_s2: float
    part: str
    confidence: float
    state: str


class RecordView(BenchView, frozen=True, kw_only=True):
    """What a record says; `order_state` and `axis` are "" where the record does not tell."""

    calculator: ClassVar[str] = "record"

    file: str
    rate_hz: float
    length_s: float
    peaks: tuple[Peak, ...]
    orders: tuple[Tied, ...]
    slowest_kmh: float | None
    fastest_kmh: float | None
    severity: Severity
    order_state: str
    axis: str

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """Order, direction and severity, each where the record tells it."""
        no_surface(surface)
        total = self.severity.total
        found = [(finding, state) for finding, state in
                 (("record_order", self.order_state), ("record_axis", self.axis)) if state]
        found.append(("record_severity", f"{total:.3f} m/s2 +/- {SEVERITY_SHARE * total:.2g}"))
        behind = tuple(f"order {each.order:.2f}: {each.rms_m_s2:.3f} m/s2 ({each.part})"
                       for each in self.orders[:PEAKS_SHOWN])
        return tuple(Assignment(finding, value, None, behind) for finding, value in found)


def run(typed: RecordTyped, tell: Tell | None = None) -> RecordView:
    """Load and examine a record.

    Parameters
    ----------
    typed : what was typed.
    tell : is told what is being done, for a long record.

    Raises
    ------
    RecordError : the file or what it holds cannot be used.
    InputError family : a size, speed or ratio that cannot be.
    """
    say = tell or (lambda text: None)
    if not typed.file.strip():
        raise ReadingError("no file is named", "file", "name an exported CSV file")
    constant = _constant(typed)
    rolling = fields.rolling(typed.tire)
    driveline(typed)
    say("reading the file")
    record = load(Path(typed.file), use_speed=constant is None)
    say(f"{record.length_s:.0f} s of record read; working out the spectrum")
    record = _facing(record, typed.forward)
    lines = readout.lines_at(typed, rolling, record, constant)
    found = examine(
        record, None if rolling is None else rolling.circumference_m,
        None if constant is None else constant.value, readout.candidates(lines),
        readout.share_of(lines),
    )
    say("done")
    state, doubt = readout.order_state_of(found, lines)
    axis, about = readout.axis_of(found, record, bool(typed.forward.strip()))
    tied = tuple(_tied(each, readout.states(lines)) for each in found.ties)
    return RecordView(
        headline=_headline(found, tied, state),
        sections=_sections(found, tied),
        notes=(*found.notes, *(text for text in (doubt, about) if text)),
        next=_next(typed, record, found, state, readout.hidden_from(found, lines)),
        plot=readout.plot_of(found, lines),
        file=typed.file, rate_hz=record.rate_hz, length_s=record.length_s, peaks=found.peaks,
        orders=tied, severity=found.severity, order_state=state, axis=axis,
        slowest_kmh=None if found.orders is None else found.orders.slowest_kmh,
        fastest_kmh=None if found.orders is None else found.orders.fastest_kmh,
    )


def _constant(typed: RecordTyped) -> readout.Constant | None:
    found = fields.value(typed.speed, Quantity.SPEED, "speed")
    if found is None:
        if typed.engine_rpm.strip():
            raise ReadingError(
                "one engine speed does not fit a record in which the road speed changes",
                "engine_rpm", "give the overall ratio of the gear driven",
            )
        return None
    if found.value <= 0.0:
        raise ReadingError("the speed is not above zero", "speed", "write for example 100 km/h")
    return readout.Constant(found.value, found.uncertainty)


def _facing(record: Record, forward: str) -> Record:
    word = forward.strip().lower()
    if not word:
        return record
    if word not in ("x", "y"):
        raise ReadingError(f"'{short(forward)}' is no axis of a phone that lies", "forward",
                           "write x or y")
    with fields.at_field("forward"):
        return readout.facing(record, "xy".index(word))


def _tied(tie: Tie, states: dict[str, str]) -> Tied:
    name, confidence = tie.parts[0] if tie.parts else ("", 0.0)
    if tie.other > confidence:
        name, confidence = "something else", tie.other
    return Tied(
        order=tie.peak.at, uncertainty=tie.half_width,
        rms_m_s2=tie.peak.rms, part=name, confidence=confidence, state=states.get(name, ""),
    )


def _headline(found: Examined, tied: tuple[Tied, ...], state: str) -> str:
    if tied and state not in ("", "none_clear"):
        return f"the strongest shake keeps step with: {tied[0].part}"
    if tied:
        return f"the strongest shake stands at order {tied[0].order:.2f}: {tied[0].part}"
    if found.peaks:
        return f"the strongest shake stands at {found.peaks[0].at:.2f} Hz"
    return "nothing stands out of the road's own noise"


def _sections(found: Examined, tied: tuple[Tied, ...]) -> tuple[Section, ...]:
    sections = []
    if tied:
        assert found.orders is not None
        title = (f"Over wheel orders, {found.orders.slowest_kmh:.0f} to "
                 f"{found.orders.fastest_kmh:.0f} km/h, {found.orders.turns:.0f} wheel turns")
        rows = tuple(
            f"{each.order:6.2f} +/- {each.uncertainty:4.2f}  {each.rms_m_s2:6.3f} m/s2  "
            f"{each.part} ({_sure(each.confidence)})" for each in tied[:PEAKS_SHOWN])
        sections.append(Section(title=title, lines=rows))
    if found.peaks:
        rows = tuple(f"{peak.at:6.2f} Hz +/- {peak.half_at:4.2f}  "
                     f"{peak.rms:6.3f} m/s2" for peak in found.peaks[:PEAKS_SHOWN])
        sections.append(Section(title="Over frequency", lines=rows))
    felt = found.severity
    words = " or ".join(felt.words)
    sections.append(Section(title="As people feel it", lines=(
        f"weighted {felt.total:.3f} m/s2 ({words}); worst second {felt.worst_second:.3f} m/s2",
    )))
    return tuple(sections)


def _sure(confidence: float) -> str:
    return ">99 %" if confidence > 0.995 else f"{100.0 * confidence:.0f} %"


def _next(
    typed: RecordTyped, record: Record, found: Examined, state: str, hidden: float | None
) -> tuple[str, ...]:
    if found.orders is None:
        lacking = "tire size" if record.speed_ms is not None or typed.speed else "speed"
        return (f"give the {lacking}, so that peaks can be tied to what turns",)
    steps = [] if state else _unknown_ratios(typed)
    if hidden is not None:
        steps.append(
            f"{record.rate_hz:.0f} samples a second show orders up to {hidden:.1f} at "
            f"{found.orders.fastest_kmh:.0f} km/h: record faster, or drive slower, to see "
            "driveshaft and engine"
        )
    if typed.speed:
        steps.append("record a slow sweep with a speed column: it parts what turns from what "
                     "does not")
    return tuple(steps)


def _unknown_ratios(typed: RecordTyped) -> list[str]:
    """What to give so that more parts can be named."""
    known = driveline(typed)
    unknown = []
    if known.axle_ratio is None and known.has_driveshaft is not False:
        unknown.append("axle ratio")
    if known.overall_ratio is None and not known.electric:
        unknown.append("overall ratio of the gear driven")
    if not unknown:
        return []
    return [f"give the {' and the '.join(unknown)}, so that more parts can be named"]
