"""An accelerometer record as phones export it, with a plain report of what was assumed.

`load` takes a file, `read_record` a text. What was assumed (units, gravity, columns) and what is
wrong with the record (gaps, repeated stamps) comes back with it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.clock import Clock, clock_of
from vibecheck.metrology.record.columns import Column, Columns, columns_of
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.record.numbers import (
    Numbers,
    Stamps,
    over_midnight,
    pad_taken_off,
    stamps_of,
)
from vibecheck.metrology.record.signal import signal_of, speed_of
from vibecheck.metrology.record.table import Layout, cells_of, layout_of
from vibecheck.metrology.record.textblocks import blocks_of_file, blocks_of_text, size_of

Real = npt.NDArray[np.float64]

HEAD_ROWS = 50  # rows looked at to see whether a clock column holds numbers
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9.]+(?:[eE][+-]?[0-9]+)?")


@dataclass(frozen=True, eq=False)
class Record:
    """A cleaned accelerometer record.

    Attributes
    ----------
    time_s : (n,) from the first sample, rising [s].
    acceleration : (n, 3) in the phone's own axes [m/s2].
    speed_ms : (n,) road speed [m/s], or None.
    rate_hz : usual sampling rate [Hz].
    jitter_s : standard deviation of the clock's steps [s].
    gaps : start and end of each gap [s].
    gravity : (3,) mean gravity vector [m/s2], or None where it is not in the record.
    assumed : what was assumed.
    warnings : what is wrong with the record.
    source : the file's name.
    speed_units : units that the speed column may be in, the one taken first; more than one where
        neither header nor numbers tell, so that it should be asked.
    """

    time_s: Real
    acceleration: npt.NDArray[np.floating]
    speed_ms: npt.NDArray[np.floating] | None
    rate_hz: float
    jitter_s: float
    gaps: tuple[tuple[float, float], ...]
    gravity: Real | None
    assumed: tuple[Note, ...]
    warnings: tuple[Note, ...]
    source: str
    speed_units: tuple[str, ...] = ()

    @property
    def length_s(self) -> float:
        """Time from the first to the last sample [s]."""
        return float(self.time_s[-1])


def load(path: str | Path, use_speed: bool = True, speed_unit: str = "") -> Record:
    """Load a record from a CSV file of at most 600 MB.

    Parameters
    ----------
    path : the file.
    use_speed : whether to look at a speed column; False for a record whose speed is of no use.
    speed_unit : "m/s", "km/h" or "mph" where the header names none; "" to judge it by the numbers.

    Raises
    ------
    RecordError : the file or what it holds cannot be used.
    """
    file = Path(path)
    size = size_of(file)
    return _read(lambda: blocks_of_file(file), size, str(path), use_speed, speed_unit)


def read_record(
    text: str, where: str = "record", use_speed: bool = True, speed_unit: str = ""
) -> Record:
    """Read a record from a text; see `load`."""
    return _read(lambda: blocks_of_text(text), len(text), where, use_speed, speed_unit)


def _read(
    blocks: Callable[[], Iterator[str]], size: int, where: str, use_speed: bool, speed_unit: str
) -> Record:
    layout = layout_of(next(blocks(), ""), where)
    columns = columns_of(layout.names, layout.width, where)
    clock_column, stamps = _clock_column(layout, columns, where)
    speed_column = columns.speed if use_speed else None
    groups = [columns.axes, () if speed_column is None else (speed_column,), columns.gravity_axes]
    a_line = sum(len(line) + 1 for line in layout.head) / len(layout.head)
    numbers = Numbers(layout, clock_column.index, stamps,
                      [[column.index for column in group] for group in groups], where,
                      int(1.02 * size / a_line))
    numbers.read(blocks())
    padded = False
    if stamps is Stamps.CLOCK:
        over_midnight(numbers.time)
        padded = pad_taken_off(numbers.time)
    unit = clock_column.unit if stamps is Stamps.NUMBERS else "s"
    clock = clock_of(numbers.time, unit, where, in_place=True)
    notes, faults = _table_notes(layout, columns, clock_column, numbers.blank, numbers.bad)
    if padded:
        notes.append(note(RecordNote.CLOCK_MILLISECONDS))
    if speed_column is not None and speed_unit:
        speed_column = Column(speed_column.index, speed_column.name, speed_unit)
    return _assembled(clock, numbers, columns, speed_column, notes, faults, where)


def _assembled(
    clock: Clock, numbers: Numbers, columns: Columns, speed_column: Column | None,
    notes: list[Note], faults: list[Note], where: str,
) -> Record:
    raw, speeds, apart = (numbers.group(each) for each in range(3))
    if clock.keep is not None:
        raw, speeds, apart = raw[clock.keep], speeds[clock.keep], apart[clock.keep]
    signal = signal_of(raw, columns.axes[0].unit, where)
    gravity = signal.gravity
    said = list(signal.notes)
    if gravity is None and columns.gravity_axes:
        gravity = _given_apart(apart)
    if signal.gravity is None and gravity is not None:
        said = [*said[:-1], note(RecordNote.GRAVITY_APART)]
    speed: npt.NDArray[np.floating] | None = None
    units: tuple[str, ...] = ()
    if speed_column is not None:
        found = speed_of(clock.time_s, speeds[:, 0], speed_column.unit, where)
        speed, units = found.speed_ms, found.units
        said += found.notes
    return Record(
        time_s=clock.time_s, acceleration=signal.acceleration, speed_ms=speed,
        rate_hz=clock.rate_hz, jitter_s=clock.jitter_s, gaps=clock.gaps, gravity=gravity,
        assumed=(*notes, *clock.notes, *said),
        warnings=(*faults, *clock.warnings, *signal.warnings), source=where, speed_units=units,
    )


def _given_apart(vectors: npt.NDArray[np.floating]) -> Real | None:
    """The median of gravity vectors that stand in columns of their own."""
    fine = vectors[np.isfinite(vectors).all(axis=1)]
    middle = np.median(fine, axis=0).astype(np.float64) if len(fine) else np.zeros(3)
    return middle if middle.any() else None


def _clock_column(layout: Layout, columns: Columns, where: str) -> tuple[Column, Stamps]:
    """The first clock candidate that holds numbers; failing that, one with dates or times."""
    head = [cells_of(row, layout.delimiter) for row in layout.head[:HEAD_ROWS]]
    held = {column: [row[column.index] for row in head
                     if column.index < len(row) and row[column.index]]
            for column in columns.clock}
    for column, cells in held.items():
        if any(_PLAIN_NUMBER.fullmatch(cell) for cell in cells):
            return column, Stamps.NUMBERS
    for column, cells in held.items():
        stamps = stamps_of(cells)
        if stamps is not None:
            return column, stamps
    raise RecordError(
        "the clock column holds no numbers", where, "export the time in seconds from the start"
    )


def _table_notes(
    layout: Layout, columns: Columns, clock: Column, blank: int, bad: int
) -> tuple[list[Note], list[Note]]:
    notes: list[Note] = []
    faults: list[Note] = []
    if columns.by_position:
        notes.append(note(RecordNote.NO_HEADER))
    else:
        names = tuple(column.name for column in (clock, *columns.axes))
        notes.append(note(RecordNote.COLUMNS_TAKEN, columns=names))
    if layout.decimal_comma:
        notes.append(note(RecordNote.DECIMAL_COMMAS))
    if blank:
        notes.append(note(RecordNote.ROWS_PASSED_OVER, count=blank))
    if bad:
        faults.append(note(RecordNote.ROWS_NO_NUMBERS, count=bad))
    return notes, faults
