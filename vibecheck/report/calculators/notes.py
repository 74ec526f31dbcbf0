"""The notes of measured results in words: caveats of a runout, what a record had to be taken as."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from vibecheck.metrology.note import Note
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.runout.readings import Caveat
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.wording import Wording

PAST_THE_BEND = "turn slowly past the bend and read its high and its low"
Say = Callable[[Mapping[str, Any], Wording], str]


def _few(v: Mapping[str, Any], _: Wording) -> str:
    text = (f"{v['count']} readings are too few for a sure fit of three orders: take "
            f"{v['better']} or more")
    cut = v["fitted"] < v["wanted"]
    return text + (f"; only {v['fitted']} of {v['wanted']} orders are fitted" if cut else "")


def _time_unit(v: Mapping[str, Any], _: Wording) -> str:
    lead = f"the header says {v['named']}, but" if v["named"] else "the header names no time unit;"
    return f"{lead} the steps fit {v['taken']}"


_SAY: dict[str, Say] = {
    Caveat.FEW_READINGS: _few,
    Caveat.UNEVEN_ANGLES: lambda v, w: (
        f"the widest gap between readings is {v['gap_deg']:.0f} deg: the shape there is a guess"),
    Caveat.SPIKE: lambda v, w: (
        f"the reading at {w.angle(v['angle_deg'])} stands out alone: look for weld, paint, a "
        "scratch or dirt there, and read every 5 deg around it"),
    Caveat.SPIKE_IGNORED: lambda v, w: (
        f"the reading at {w.angle(v['angle_deg'])} is left out as asked"),
    Caveat.SCATTER: lambda v, w: (
        f"the readings scatter by {w.length(v['scatter_mm'])} about the shape: keep the tip off "
        "knurled bands and check that the gauge stands firm"),
    Caveat.POINTER_STILL: lambda v, w: "the pointer never moved: does the tip touch?",
    Caveat.HIGH_LOW_ONLY: lambda v, w: "high and low alone do not tell a bend from an offset",
    Caveat.BETWEEN_READINGS: lambda v, w: (
        "the highest or lowest place of the bend may lie between the readings, by up to "
        f"{w.length(v['unseen_mm'])}: {PAST_THE_BEND}"),
    RecordNote.NO_HEADER: lambda v, w: (
        "there is no header; the columns were taken as time, x, y, z"),
    RecordNote.COLUMNS_TAKEN: lambda v, w: f"columns taken: {', '.join(v['columns'])}",
    RecordNote.DECIMAL_COMMAS: lambda v, w: "decimal commas were read",
    RecordNote.ROWS_PASSED_OVER: lambda v, w: (
        f"{v['count']} rows without a full acceleration were passed over"),
    RecordNote.ROWS_NO_NUMBERS: lambda v, w: (
        f"{v['count']} rows were not numbers and were left out"),
    RecordNote.TIME_UNIT_JUDGED: _time_unit,
    RecordNote.CLOCK_MILLISECONDS: lambda v, w: (
        "the last digits of the clock never pass 0999 and were taken as milliseconds"),
    RecordNote.CLOCK_JITTER: lambda v, w: (
        f"the clock jitters by {1e3 * v['jitter_s']:.2g} ms; it was made even"),
    RecordNote.CLOCK_BACKWARD: lambda v, w: (
        f"the clock ran backward {v['count']} times; the rows were sorted"),
    RecordNote.STAMPS_REPEATED: lambda v, w: (
        f"{v['count']} rows repeat the time of the row before and were left out"),
    RecordNote.SLOW_SAMPLING: lambda v, w: (
        f"{v['rate_hz']:.0f} samples a second show nothing above {v['rate_hz'] / 2:.0f} Hz; "
        "100 or more is good"),
    RecordNote.GAPS: lambda v, w: (
        f"{v['count']} {'gap' if v['count'] == 1 else 'gaps'}, {v['lost_s']:.1f} s in all; "
        "nothing was filled in"),
    RecordNote.SATURATED: lambda v, w: (
        f"the {v['axis']} axis reached its limit of {v['limit']:.4g} {v['count']} times"),
    RecordNote.UNIT_AGAINST_HEADER: lambda v, w: (
        f"the header says {v['named']}, but gravity reads {v['gravity']:.3g}: {v['taken']} was "
        "taken"),
    RecordNote.UNIT_BY_GRAVITY: lambda v, w: (
        f"the header names no unit; gravity reads {v['gravity']:.3g}, so {v['taken']} was taken"),
    RecordNote.UNIT_UNKNOWN: lambda v, w: (
        "the header names no unit and gravity is absent; m/s2 was taken"),
    RecordNote.GRAVITY_REMOVED: lambda v, w: (
        "gravity was removed by the phone; which way is up is not known"),
    RecordNote.GRAVITY_UNSTEADY: lambda v, w: (
        f"the mean reads {v['mean_m_s2']:.1f} m/s2 instead of 9.8; the phone may have moved"),
    RecordNote.GRAVITY_INSIDE: lambda v, w: (
        "the record contains gravity; its direction was taken as up"),
    RecordNote.GRAVITY_APART: lambda v, w: (
        "gravity is given apart; its direction was taken as up"),
    RecordNote.SPEED_BLANK: lambda v, w: "the speed column is blank and was left out",
    RecordNote.SPEED_UNIT_JUDGED: lambda v, w: (
        f"the header names no speed unit; {v['taken']} was taken"),
    RecordNote.SPEED_UNIT_AMBIGUOUS: lambda v, w: (
        f"the header names no speed unit and {v['highest']:g} may be "
        f"{' or '.join(v['candidates'])}: say which; no order is looked at before"),
    RecordNote.SPEED_HELD: lambda v, w: (
        "the speed is held between updates; straight lines were drawn between them"),
    RecordNote.CONSTANT_SPEED: lambda v, w: (
        f"a constant speed of {w.size(v['speed_kmh'], Quantity.SPEED)} was taken"),
    RecordNote.NO_TIRE: lambda v, w: (
        "without the tire size peaks cannot be tied to wheel orders"),
    RecordNote.NO_SPEED: lambda v, w: "without the speed peaks cannot be tied to wheel orders",
    RecordNote.UP_UNKNOWN: lambda v, w: (
        "which way is up is not known; the phone's z axis was taken as up"),
    RecordNote.BAND_CUT: lambda v, w: (
        f"nothing above {v['highest_hz']:.0f} Hz was recorded; it is left out"),
    RecordNote.JOLTS: lambda v, w: (
        "single jolts stand out; the mean understates how they feel"),
}


def note_text(note: Note, wording: Wording) -> str:
    """A note as one sentence, its values in the reader's units."""
    return _SAY[note.kind](note.values, wording)
