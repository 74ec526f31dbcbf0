"""The page of a phone's record."""

from __future__ import annotations

from vibecheck.calculators.record import Next, RecordResult, Working
from vibecheck.calculators.record_reading import Doubt
from vibecheck.metrology.note import Note
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.calculators.parts import line_name, result_page, titled
from vibecheck.report.figures import Figure, FigureKind, Mark
from vibecheck.report.wording import Wording

PEAKS_SHOWN = 6
_RATIOS = {"axle_ratio": "axle ratio", "overall_ratio": "overall ratio of the gear driven"}
_DOUBTS = {
    Doubt.NOT_FELT: "no order carries more than people can feel",
    Doubt.NOT_FELT_SO_FAR: "no order that the record can show carries more than people can feel",
    Doubt.NO_PART_THERE: "the strongest peak stands at order {order:.2f}, where none of the parts "
                         "known has one",
    Doubt.MORE_THAN_ONE_PART: "the strongest peak at order {order:.2f} may come from more than one "
                              "part",
    Doubt.UP_NOT_KNOWN: "which way is up is not known, so the direction of the shake is not either",
    Doubt.FORWARD_NOT_KNOWN: "the shake is not mostly up and down; say which axis of the phone "
                             "faced forward",
    Doubt.NO_CLEAR_DIRECTION: "no direction carries clearly more than the others",
}


def page(result: RecordResult, wording: Wording) -> tuple[Block, ...]:
    """What leads, peaks over orders and frequency, how people feel it, the spectrum."""
    felt = result.severity
    words = " or ".join(each.value.replace("_", " ") for each in felt.comfort)
    return result_page(
        _headline(result),
        (*_orders(result, wording), *_peaks(result), *titled("As people feel it", (
            f"weighted {felt.total:.3f} m/s2 ({words}); worst second {felt.worst_second:.3f} m/s2",
        ))),
        _figure(result), "Strength of the shake, with the places of what turns.",
        (_doubt(note) if isinstance(note.kind, Doubt) else note_text(note, wording)
         for note in result.notes),
        (_next(note, wording) for note in result.next),
    )


def working_text(note: Note) -> str:
    """What is being done with a long file."""
    if note.kind is Working.SPECTRUM:
        return f"{note.values['length_s']:.0f} s of record read; working out the spectrum"
    return "reading the file"


def _headline(result: RecordResult) -> str:
    if result.orders:
        first = result.orders[0]
        if result.order_state not in ("", "none_clear"):
            return f"the strongest shake keeps step with: {line_name(first.line)}"
        named = f": {line_name(first.line)}" if first.line else ""
        return f"the strongest shake stands at order {first.order:.2f}{named}"
    if result.peaks:
        return f"the strongest shake stands at {result.peaks[0].at:.2f} Hz"
    return "nothing stands out of the road's own noise"


def _orders(result: RecordResult, wording: Wording) -> tuple[Block, ...]:
    if not result.orders or result.slowest_kmh is None or result.fastest_kmh is None:
        return ()
    rows = tuple(
        (f"{each.order:.2f} +/- {each.uncertainty:.2f}", f"{each.rms_m_s2:.3f} m/s2",
         f"{line_name(each.line)} ({_sure(each.confidence)})" if each.line else "")
        for each in result.orders[:PEAKS_SHOWN])
    slow = wording.number(result.slowest_kmh, Quantity.SPEED)
    title = (f"Over wheel orders, {slow} to {wording.speed(result.fastest_kmh)}, "
             f"{result.turns:.0f} wheel turns")
    return section(title, (Table(("order", "strength", "from"), rows, frozenset((0, 1))),))


def _peaks(result: RecordResult) -> tuple[Block, ...]:
    rows = tuple((f"{peak.at:.2f} Hz +/- {peak.half_at:.2f}", f"{peak.rms:.3f} m/s2")
                 for peak in result.peaks[:PEAKS_SHOWN])
    table = Table(("frequency", "strength"), rows, frozenset((0, 1)))
    return section("Over frequency", (table,) if rows else ())


def _sure(confidence: float) -> str:
    return ">99 %" if confidence > 0.995 else f"{100.0 * confidence:.0f} %"


def _doubt(note: Note) -> str:
    return _DOUBTS[Doubt(note.kind)].format(**note.values)


def _next(note: Note, wording: Wording) -> str:
    v = note.values
    if note.kind is Next.GIVE_RATIOS:
        names = " and the ".join(_RATIOS[each] for each in v["ratios"])  # type: ignore[union-attr]
        return f"give the {names}, so that more parts can be named"
    if note.kind is Next.RECORD_FASTER:
        speed = wording.speed(float(v["speed_kmh"]))  # type: ignore[arg-type]
        return (f"{v['rate_hz']:.0f} samples a second show orders up to {v['highest_order']:.1f} "
                f"at {speed}: record faster, or drive slower, to see driveshaft and engine")
    if note.kind is Next.SWEEP:
        return "record a slow sweep with a speed column: it parts what turns from what does not"
    lacking = "tire size" if note.kind is Next.GIVE_TIRE else "speed"
    return f"give the {lacking}, so that peaks can be tied to what turns"


def _figure(result: RecordResult) -> Figure:
    curve = result.curve
    label, unit = ("wheel order", "order") if curve.over_orders else ("frequency [Hz]", "Hz")
    return Figure(
        FigureKind.SPECTRUM, f"Acceleration by {label}", label,
        f"(m/s2) per root of one {unit}", curve.at, curve.amplitude,
        marks=tuple(Mark(at, line_name(line) if line else f"{at:.1f} Hz")
                    for at, line in curve.marks),
    )
