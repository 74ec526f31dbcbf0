"""An accelerometer record as phones export it, with a plain report of what was assumed.

`load` takes a file, `read_record` a text. What was assumed (units, gravity, columns) and what is
wrong with the record (gaps, repeated stamps) comes back with it.
"""

from __future__ import annotations

import re
import warnings as python_warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note, note
from vibecheck.metrology.record.clock import Clock, clock_of
from vibecheck.metrology.record.columns import Column, Columns, columns_of
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.record.signal import signal_of, speed_of
from vibecheck.metrology.record.table import Table, cells_of, column_numbers, read_text, table_of

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
    """

    time_s: Real
    acceleration: Real
    speed_ms: Real | None
    rate_hz: float
    jitter_s: float
    gaps: tuple[tuple[float, float], ...]
    gravity: Real | None
    assumed: tuple[Note, ...]
    warnings: tuple[Note, ...]
    source: str

    @property
    def length_s(self) -> float:
        """Time from the first to the last sample [s]."""
        return float(self.time_s[-1])


def load(path: str | Path, use_speed: bool = True) -> Record:
    """Load a record from a CSV file of at most 200 MB.

    Parameters
    ----------
    path : the file.
    use_speed : whether to look at a speed column; False for a record whose speed is of no use.

    Raises
    ------
    RecordError : the file or what it holds cannot be used.
    """
    return read_record(read_text(Path(path)), str(path), use_speed)


def read_record(text: str, where: str = "record", use_speed: bool = True) -> Record:
    """Read a record from a text; see `load`."""
    table = table_of(text, where)
    columns = columns_of(table.names, table.width, where)
    clock_column, stamps = _clock_column(table, columns, where)
    speed_column = columns.speed if use_speed else None
    used = [*columns.axes, *columns.gravity_axes]
    if stamps is None:
        used.insert(0, clock_column)
    needed = 4 if stamps is None else 3
    picked = [column.index for column in used]
    if speed_column is not None:
        picked.append(speed_column.index)
    if stamps is None:
        numbers, blank, bad = column_numbers(table, picked, needed, where)
        raw_clock, rest = numbers[:, 0], numbers[:, 1:]
    else:
        rest, blank, bad = column_numbers(table, picked, needed, where)
        if len(rest) != len(stamps):
            raise RecordError("some rows lack an axis or a time", where, "export all cells")
        raw_clock = stamps
    clock = clock_of(raw_clock, clock_column.unit if stamps is None else "s", where)
    rest = rest[clock.keep]
    notes, faults = _table_notes(table, columns, clock_column, blank, bad)
    return _assembled(clock, rest, columns, speed_column, notes, faults, where)


def _assembled(
    clock: Clock, rest: Real, columns: Columns, speed_column: Column | None,
    notes: list[Note], faults: list[Note], where: str,
) -> Record:
    signal = signal_of(np.ascontiguousarray(rest[:, :3]), columns.axes[0].unit, where)
    gravity = signal.gravity
    said = list(signal.notes)
    apart = rest[np.isfinite(rest[:, 3:6]).all(axis=1), 3:6] if columns.gravity_axes else rest[:0]
    if gravity is None and len(apart) and np.median(apart, axis=0).any():
        gravity = np.median(apart, axis=0)
        said = [*said[:-1], note(RecordNote.GRAVITY_APART)]
    speed: Real | None = None
    if speed_column is not None:
        speed, speed_notes = speed_of(clock.time_s, rest[:, -1], speed_column.unit, where)
        said += speed_notes
    return Record(
        time_s=clock.time_s, acceleration=signal.acceleration, speed_ms=speed,
        rate_hz=clock.rate_hz, jitter_s=clock.jitter_s, gaps=clock.gaps, gravity=gravity,
        assumed=(*notes, *clock.notes, *said),
        warnings=(*faults, *clock.warnings, *signal.warnings), source=where,
    )


def _clock_column(
    table: Table, columns: Columns, where: str
) -> tuple[Column, Real | None]:
    """The first clock candidate that holds numbers; failing that, one that holds dates."""
    head = [cells_of(row, table.delimiter) for row in table.rows[:HEAD_ROWS]]
    for column in columns.clock:
        cells = [row[column.index] for row in head if column.index < len(row)]
        if any(_PLAIN_NUMBER.fullmatch(cell) for cell in cells):
            return column, None
    for column in columns.clock:
        stamps = _dates(table, column)
        if stamps is not None:
            return column, stamps
    raise RecordError(
        "the clock column holds no numbers", where, "export the time in seconds from the start"
    )


def _dates(table: Table, column: Column) -> Real | None:
    """A column of ISO 8601 dates as seconds from its first row, or None if it holds none."""
    try:
        texts = [cells_of(row, table.delimiter)[column.index] for row in table.rows]
        bare = [re.sub(r"(?:Z|[+-]\d\d:?\d\d)$", "", text) for text in texts]
        with python_warnings.catch_warnings():
            python_warnings.simplefilter("error")
            stamps = np.array(bare, dtype="datetime64[us]")
    except (ValueError, IndexError, UserWarning, DeprecationWarning):
        return None
    if np.isnat(stamps).any():
        return None
    return np.asarray((stamps - stamps[0]).astype(np.float64) * 1e-6, dtype=np.float64)


def _table_notes(
    table: Table, columns: Columns, clock: Column, blank: int, bad: int
) -> tuple[list[Note], list[Note]]:
    notes: list[Note] = []
    faults: list[Note] = []
    if columns.by_position:
        notes.append(note(RecordNote.NO_HEADER))
    else:
        names = tuple(column.name for column in (clock, *columns.axes))
        notes.append(note(RecordNote.COLUMNS_TAKEN, columns=names))
    if table.decimal_comma:
        notes.append(note(RecordNote.DECIMAL_COMMAS))
    if blank:
        notes.append(note(RecordNote.ROWS_PASSED_OVER, count=blank))
    if bad:
        faults.append(note(RecordNote.ROWS_NO_NUMBERS, count=bad))
    return notes, faults
