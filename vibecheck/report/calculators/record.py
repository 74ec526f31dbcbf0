"""The page of a phone's record."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from vibecheck.calculators.record import RecordResult, Working
from vibecheck.calculators.record_orders import Next, OrderDoubt, OrderWord, OtherLine
from vibecheck.calculators.record_reading import Unclear
from vibecheck.metrology.note import Note
from vibecheck.metrology.record.examine import Nature
from vibecheck.metrology.record.humps import Hump, Rings
from vibecheck.metrology.record.judge import OrderVerdict, SettledBy
from vibecheck.metrology.record.scale import OPEN_SIZE_SHARE, ScaleState, SizeSource
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, Paragraph, Table, section
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.calculators.parts import any_of, line_name, part_name, result_page, titled
from vibecheck.report.figures import Figure, FigureKind, FigureMark
from vibecheck.report.wording import Wording

PEAKS_SHOWN = 6
_RATIOS = {"axle_ratio": "axle ratio", "overall_ratio": "overall ratio of the gear driven"}
_RINGS = {
    Rings.BODY: "the body on its springs",
    Rings.HOP_OR_HOLDER: "wheel hop or the phone's holder",
    Rings.HOLDER_OR_OTHER: "the phone's holder, a panel or another part that rings",
}
_NATURES = {Nature.RINGS: "part of a ringing", Nature.TURNS: "an order, see above",
            Nature.ALONE: ""}
_UNCLEAR = {
    Unclear.UP_NOT_KNOWN: "which way is up is not known, so the direction of the shake is not "
                          "either",
    Unclear.FORWARD_NOT_KNOWN: "the shake is not mostly up and down; say which axis of the phone "
                               "faced forward",
    Unclear.NO_CLEAR_DIRECTION: "no direction carries clearly more than the others",
}


def page(result: RecordResult, wording: Wording) -> tuple[Block, ...]:
    """What keeps step leads; every order's word, what rings, how people feel it, the spectrum."""
    felt = result.severity
    words = " or ".join(each.value.replace("_", " ") for each in felt.comfort)
    return result_page(
        _headline(result, wording),
        (*_orders(result, wording), *_scale(result), *_ringing(result), *_peaks(result),
         *titled("As people feel it", (
             f"weighted {felt.total:.3f} m/s2 ({words}); worst second {felt.worst_second:.3f} "
             "m/s2",))),
        _figure(result), "Strength of the shake, with the places of what turns.",
        (_note(note, wording) for note in result.notes),
        (_next(note, wording) for note in result.next),
    )


def working_text(note: Note) -> str:
    """What is being done with a long file."""
    if note.kind is Working.SPECTRUM:
        return f"{note.values['length_s']:.0f} s of record read; working out the spectrum"
    return "reading the file"


def _headline(result: RecordResult, wording: Wording) -> str:
    if not result.orders:
        return _headline_in_hertz(result)
    for verdict in (OrderVerdict.KEEPS_STEP, OrderVerdict.FITS, OrderVerdict.UNSURE,
                    OrderVerdict.ONE_SPEED):
        felt = _strongest(each for each in result.orders if each.felt and each.verdict is verdict)
        strange = [each for each in result.others if each.verdict is verdict]
        if strange and (not felt or strange[0].rms_m_s2 > (felt[0].rms_m_s2 or 0.0)):
            return _strange(strange[0], wording)
        if felt:
            return _named(felt, wording)
    if result.humps:
        return _ringing_text(result.humps[0]) + ", not a turning part"
    open_ones = any(each.verdict in (OrderVerdict.UNSEEN, OrderVerdict.COVERED)
                    for each in result.orders)
    return "nothing turning stands out" + (
        " of what this record could show; see what it could not" if open_ones else "")


def _headline_in_hertz(result: RecordResult) -> str:
    if len(result.speed_units) > 1:
        return (f"is the speed column in {any_of(result.speed_units)}? No order is looked at "
                "before that is said")
    if result.peaks and result.peaks[0].nature is not Nature.RINGS:
        return f"the strongest shake stands at {result.peaks[0].peak.at:.2f} Hz"
    if result.humps:
        return _ringing_text(result.humps[0]) + ", not a turning part"
    return "nothing stands out of the road's own noise"


def _strongest(words: Iterable[OrderWord]) -> list[OrderWord]:
    return sorted(words, key=lambda each: -(each.rms_m_s2 or 0.0))


def _named(felt: list[OrderWord], wording: Wording) -> str:
    """What a felt line is; those of one place together."""
    first = felt[0]
    name = any_of([line_name(each.line) for each in felt
                   if each is first or each.line in first.rivals])
    strength = f"{first.rms_m_s2:.3f} m/s2"
    if first.verdict is OrderVerdict.KEEPS_STEP:
        return f"what shakes keeps step with: {name} ({strength})"
    if first.verdict is OrderVerdict.FITS:
        return (f"{name} fits at this one speed ({strength}); to prove it sweep "
                f"{_speeds(first.sweep_kmh, wording)}")
    if first.verdict is OrderVerdict.ONE_SPEED:
        return (f"a shake stands where {name} would at one speed and is gone at the others "
                f"({strength}): most likely not a turning part")
    return f"a shake at order {first.order:.2f} may be {name} or another part ({strength})"


def _strange(line: OtherLine, wording: Wording) -> str:
    may = f"; {any_of(map(part_name, line.unknown))} of unknown ratio may" if line.unknown else ""
    how = "keeps step" if line.verdict is OrderVerdict.KEEPS_STEP else "stands at this one speed"
    return (f"a shake {how} at order {line.order:.2f} ({line.rms_m_s2:.3f} m/s2), where no part "
            f"that is known has one{may}")


def _ringing_text(hump: Hump) -> str:
    return f"a ringing at {hump.at_hz:.1f} Hz, {hump.width_hz:.1f} Hz wide: {_RINGS[hump.rings]}"


def _orders(result: RecordResult, wording: Wording) -> tuple[Block, ...]:
    if not result.orders or result.slowest_kmh is None or result.fastest_kmh is None:
        return ()
    rows = [(line_name(each.line), _word(each, wording), _strength(each))
            for each in result.orders]
    rows += [("no part that is known", _at(each), f"{each.rms_m_s2:.3f}")
             for each in result.others]
    speeds = wording.speed(result.fastest_kmh)
    if result.swept:
        speeds = f"{wording.number(result.slowest_kmh, Quantity.SPEED)} to {speeds}"
    title = f"Orders of this car at {result.rate_hz:.0f} samples a second, {speeds}"
    return section(title, (Table(("order", "word", "m/s2"), tuple(rows), frozenset((2,))),))


_VERDICTS = {
    OrderVerdict.KEEPS_STEP: "keeps step", OrderVerdict.FITS: "fits",
    OrderVerdict.UNSURE: "unclear whose", OrderVerdict.ONE_SPEED: "at one speed only",
    OrderVerdict.ABSENT: "absent", OrderVerdict.COVERED: "covered",
}


def _word(each: OrderWord, wording: Wording) -> str:
    if each.verdict is OrderVerdict.UNSEEN:
        if each.proof is SettledBy.FASTER_RATE:
            return f"not visible above {wording.speed(each.seen_to_kmh)}"
        return "too little driving to tell"
    if each.verdict in (OrderVerdict.ABSENT, OrderVerdict.COVERED):
        part = "" if each.throughout or each.seen_kmh is None else (
            f" up to {wording.speed(each.seen_kmh[1])}")
        return _VERDICTS[each.verdict] + part
    return _at(each)


def _at(each: OrderWord | OtherLine) -> str:
    """The word of a line, and where it stands."""
    return f"{_VERDICTS[each.verdict]} at {each.order:.2f} ({each.low:.2f} to {each.high:.2f})"


def _strength(each: OrderWord) -> str:
    if each.rms_m_s2 is not None:
        return f"{each.rms_m_s2:.3f}"
    return "" if each.limit_m_s2 is None else f"under {each.limit_m_s2:.3f}"


def _scale(result: RecordResult) -> tuple[Block, ...]:
    lines = []
    if result.lag_s:
        lines.append(f"the speed in the file is {result.lag_s:.1f} s late; that was taken off")
    scale = result.scale
    if scale is not None and scale.state is not ScaleState.PRIOR_ONLY:
        at = (f"all orders stand {_off(scale.value)} ({_off(scale.low)} to {_off(scale.high)})")
        if scale.state is ScaleState.SCALE_OFF:
            lines.append(f"{at}; {_off(scale.expected_low)} to {_off(scale.expected_high)} was "
                         "expected: check tire size or speed")
        else:
            lines.append(f"{at}, as tire and speed let one expect")
    if not (result.others or any(each.order is not None for each in result.orders)):
        return titled("Tire and speed", lines)
    if result.size_from is SizeSource.TIRE:
        lines.append("the intervals of orders hold the tire size as it was read off the tire")
    elif result.size_from is not None:
        lines.append("the tire size was not read off the tire: the intervals of orders hold a "
                     f"size up to {100.0 * OPEN_SIZE_SHARE:.0f} % off")
    return titled("Tire and speed", lines)


def _off(scale: float) -> str:
    share = 100.0 * (scale - 1.0)
    return f"{abs(share):.1f} % {'high' if share >= 0.0 else 'low'}"


def _ringing(result: RecordResult) -> tuple[Block, ...]:
    lines = [f"{_ringing_text(each)} ({each.rms:.3f} m/s2)" for each in result.humps]
    return section("What rings", tuple(Paragraph(line) for line in lines))


def _peaks(result: RecordResult) -> tuple[Block, ...]:
    rows = tuple((f"{each.peak.at:.2f} Hz +/- {each.peak.half_at:.2f}", f"{each.peak.rms:.3f} m/s2",
                  _NATURES[each.nature]) for each in result.peaks[:PEAKS_SHOWN])
    table = Table(("frequency", "strength", "what it is"), rows, frozenset((0, 1)))
    return section("Over frequency", (table,) if rows else ())


def _speeds(kmh: tuple[float, float] | None, wording: Wording) -> str:
    if kmh is None:
        return "slowly through a range of speeds"
    return f"from {wording.number(kmh[0], Quantity.SPEED)} to {wording.speed(kmh[1])}"


def _note(note: Note, wording: Wording) -> str:
    if isinstance(note.kind, Unclear):
        return _UNCLEAR[note.kind]
    return _doubt(note) if isinstance(note.kind, OrderDoubt) else note_text(note, wording)


def _doubt(note: Note) -> str:
    """Why no order goes into a case."""
    v: Any = note.values
    lines = [line_name(each) for each in v.get("lines", ())]
    match note.kind:
        case OrderDoubt.FAINT:
            return ("every order of this car would have been seen, and none carries more than "
                    "people can feel")
        case OrderDoubt.ONLY_FITS:
            return f"one speed alone does not prove {line_name(v['line'])}"
        case OrderDoubt.AT_ONE_SPEED:
            return f"what stood at {line_name(v['line'])} does not follow the speed"
        case OrderDoubt.NO_PART_THERE:
            return (f"the strongest line stands at order {v['order']:.2f}, where none of the parts "
                    "known has one")
        case OrderDoubt.MORE_THAN_ONE_PART:
            return (f"the line at order {v['order']:.2f} may come from more than one part"
                    + (f": {any_of(lines)}" if len(lines) > 1 else ""))
        case OrderDoubt.STEADY:
            return "only one speed was driven: that speaks against no part at the other speeds"
        case OrderDoubt.COVERED:
            return f"the road or a ringing was too loud to speak against: {any_of(lines)}"
    names = [*lines, *(f"{part_name(each)} of unknown ratio" for each in v["parts"])]
    return f"not seen at every speed driven, so nothing speaks against: {any_of(names)}"


def _next(note: Note, wording: Wording) -> str:
    v: Any = note.values
    match note.kind:
        case Next.GIVE_RATIOS:
            names = " and the ".join(_RATIOS[each] for each in v["ratios"])
            return f"give the {names}, so that more parts can be named"
        case Next.RECORD_FASTER:
            return (f"record {v['advised_hz']:.0f} samples a second instead of {v['rate_hz']:.0f}: "
                    f"that shows every order of this car up to {wording.speed(v['speed_kmh'])}")
        case Next.SWEEP:
            speeds = _speeds((v["low_kmh"], v["high_kmh"]), wording)
            return (f"record a slow sweep up and down {speeds} with a speed column, where that is "
                    "lawful: it tells what turns from what does not")
        case Next.OTHER_GEAR:
            return (f"{any_of(map(part_name, v['parts']))} of unknown ratio may stand there too: "
                    "record the same speeds in another gear, or give the ratio")
        case Next.LONGER:
            return "record longer, or on a smoother road, to see what is covered"
        case Next.MEASURE_ROLL:
            return ("check the tire size and where the speed was read, or measure the way of one "
                    "turn of the wheel and give it")
        case Next.GIVE_SPEED_UNIT:
            return f"say whether the speed column is in {any_of(v['candidates'])}"
        case Next.GIVE_SOURCE:
            return "say whether the speed was read from the dash (reads high, never low) or by GPS"
        case Next.READ_SIZE:
            return ("read the tire size off the side of the tire that is fitted and say so "
                    "(size read from: tire): that holds every order closer")
    lacking = "tire size" if note.kind is Next.GIVE_TIRE else "speed"
    return f"give the {lacking}, so that peaks can be tied to what turns"


def _figure(result: RecordResult) -> Figure:
    curve = result.curve
    label, unit = ("wheel order", "order") if curve.over_orders else ("frequency [Hz]", "Hz")
    return Figure(
        FigureKind.SPECTRUM, f"Acceleration by {label}", label,
        f"(m/s2) per root of one {unit}", curve.at, curve.amplitude,
        marks=tuple(FigureMark(at, _mark(at, line, curve.over_orders)) for at, line in curve.marks),
    )


def _mark(at: float, line: str, over_orders: bool) -> str:
    if line:
        return line_name(line)
    return f"no known part, order {at:.2f}" if over_orders else f"{at:.1f} Hz"
