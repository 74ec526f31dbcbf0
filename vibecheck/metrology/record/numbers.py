"""The columns of a table as arrays of numbers, block by block, with no object for a row.

Times are kept in double precision, everything else in single: 24 bits of 10 m/s2 are a millionth.
"""

from __future__ import annotations

import math
import re
import warnings as python_warnings
from collections.abc import Iterable, Sequence
from enum import Enum

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.record.table import Layout
from vibecheck.metrology.units.numerals import short

Real = npt.NDArray[np.float64]
Single = npt.NDArray[np.float32]

MOST_ROWS = 8_000_000
LARGEST_BAD_SHARE = 0.05  # of the rows; more and the file is not what it seems
GROWTH = 1.3  # of the arrays, where the file turns out longer than its first lines let expect
DAY_S = 86_400.0
LONGEST_STAMP = 40  # characters

_ZONE = re.compile(r"(?:Z|[+-]\d\d:?\d\d)$")
_CLOCK = re.compile(r"(?:.*[ T])?(\d{1,2}):(\d\d):(\d\d)(?:[:.](\d{1,9}))?")


LEAST_STAMPS_A_SECOND = 12  # so many stamps spread over a second do not all fall into its tenth


class Stamps(Enum):
    """How the clock column is written."""

    NUMBERS = 0
    DATES = 1  # ISO 8601
    CLOCK = 2  # hours, minutes, seconds and a decimal part after a colon or point


class Numbers:
    """Numbers of a table: the clock, then some groups of columns.

    Attributes
    ----------
    blank, bad : rows that lack a needed number, and rows that are not numbers.
    """

    def __init__(
        self, layout: Layout, clock: int, stamps: Stamps, groups: Sequence[Sequence[int]],
        where: str, expected_rows: int,
    ) -> None:
        """Room for groups of columns at these places; all of the first group must be there."""
        self.layout, self.where = layout, where
        self._clock, self._stamps = clock, stamps
        self._columns = [column for group in groups for column in group]
        self._needed = len(groups[0])
        room = max(expected_rows, 64)
        self._time = np.empty(room)
        self._groups = [np.empty((room, len(group)), dtype=np.float32) for group in groups]
        self._count = self._rows = self._line = 0
        self.blank = self.bad = 0
        self._first_bad = ""

    @property
    def time(self) -> Real:
        """(n,) the clock, in the file's unit, or in seconds for dates and clock times."""
        return self._time[: self._count]

    def group(self, number: int) -> Single:
        """(n, columns) of a group; nan where a number that is not needed lacks."""
        return self._groups[number][: self._count]

    def read(self, blocks: Iterable[str]) -> None:
        """Read all blocks; the lines before the table are passed over.

        Raises
        ------
        RecordError : more than 5 % of the rows are not numbers, none is left, or too many.
        """
        ahead = self.layout.start
        for block in blocks:
            lines = self.layout.lines_of(block)
            self._line += min(ahead, len(lines))
            lines, ahead = lines[ahead:], max(ahead - len(lines), 0)
            if lines:
                self._take(lines)
            self._line += len(lines)
        self._judge()

    def _take(self, lines: list[str]) -> None:
        try:
            time, values = self._at_once(lines)
            self._rows += len(time)
        except (ValueError, IndexError, UserWarning, DeprecationWarning):
            time, values = self._row_by_row(lines)
        fine = np.isfinite(time) & np.isfinite(values[:, : self._needed]).all(axis=1)
        if not fine.all():
            self.blank += int((~fine).sum())
            time, values = time[fine], values[fine]
        if self._rows > MOST_ROWS:
            raise RecordError(
                f"the file has more than {MOST_ROWS:,} rows", self.where,
                "cut the record to the minutes that shake",
            )
        self._make_room(len(time))
        end = self._count + len(time)
        self._time[self._count: end] = time
        first = 0
        with np.errstate(over="ignore"):
            for group in self._groups:
                group[self._count: end] = values[:, first: first + group.shape[1]]
                first += group.shape[1]
        self._count = end

    def _at_once(self, lines: list[str]) -> tuple[Real, Real]:
        delimiter = self.layout.delimiter or None
        with python_warnings.catch_warnings():
            python_warnings.simplefilter("error")
            if self._stamps is Stamps.NUMBERS:
                numbers = np.loadtxt(
                    lines, delimiter=delimiter, usecols=[self._clock, *self._columns], ndmin=2,
                    comments=None)
                return numbers[:, 0], numbers[:, 1:]
            texts = np.loadtxt(lines, delimiter=delimiter, usecols=[self._clock], ndmin=1,
                               comments=None, dtype=f"U{LONGEST_STAMP}")
            values = np.loadtxt(lines, delimiter=delimiter, usecols=self._columns, ndmin=2,
                                comments=None)
        return seconds_of(texts.tolist(), self._stamps), values

    def _row_by_row(self, lines: list[str]) -> tuple[Real, Real]:
        kept: list[list[float]] = []
        delimiter = self.layout.delimiter
        for place, line in enumerate(lines):
            if not line.strip():
                continue
            self._rows += 1
            cells = line.split(delimiter) if delimiter else line.split()
            try:
                kept.append([self._stamp(cells[self._clock]),
                             *(_number(cells[column]) for column in self._columns)])
            except (ValueError, IndexError):
                self.bad += 1
                number = self._line + place + 1
                self._first_bad = self._first_bad or f"line {number}: '{short(line)}'"
        rows = np.array(kept, dtype=np.float64).reshape(len(kept), len(self._columns) + 1)
        return rows[:, 0], rows[:, 1:]

    def _stamp(self, cell: str) -> float:
        if self._stamps is Stamps.NUMBERS or not cell.strip():
            return _number(cell)
        return float(seconds_of([cell.strip()], self._stamps)[0])

    def _make_room(self, more: int) -> None:
        needed = self._count + more
        if needed <= len(self._time):
            return
        room = max(needed, int(GROWTH * len(self._time)))
        self._time = np.resize(self._time, room)
        self._groups = [np.resize(group, (room, group.shape[1])) for group in self._groups]

    def _judge(self) -> None:
        if self.bad > max(1.0, LARGEST_BAD_SHARE * self._rows):
            raise RecordError(
                f"{self.bad} of {self._rows} rows are not numbers, first {self._first_bad}",
                self.where, "export the record again as numbers",
            )
        if self._count == 0:
            raise RecordError("no row holds numbers in all needed columns", self.where)


def stamps_of(cells: Sequence[str]) -> Stamps | None:
    """How a few cells of a clock column are written; None if they are no clock."""
    for stamps in (Stamps.DATES, Stamps.CLOCK):
        try:
            if len(cells) and np.isfinite(seconds_of(cells, stamps)).all():
                return stamps
        except (ValueError, UserWarning, DeprecationWarning):
            continue
    return None


def seconds_of(cells: Sequence[str], stamps: Stamps) -> Real:
    """Written dates or clock times as seconds since 1970, or since midnight [s].

    Raises
    ------
    ValueError : one that is none.
    """
    if stamps is Stamps.CLOCK:
        return np.array([_clock_time(cell) for cell in cells])
    bare = [_ZONE.sub("", cell.strip()) for cell in cells]
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("error")
        dates = np.array(bare, dtype="datetime64[us]")
    if np.isnat(dates).any():
        raise ValueError("no date")
    return np.asarray((dates - np.datetime64(0, "us")).astype(np.float64) * 1e-6)


def over_midnight(time_s: Real) -> None:
    """Let clock times run on past midnight, in place."""
    drops = np.flatnonzero(np.diff(time_s) < -DAY_S / 2.0)
    for drop in drops:
        time_s[drop + 1:] += DAY_S


def pad_taken_off(time_s: Real) -> bool:
    """Let clock times with padded milliseconds run evenly, in place; whether they were such.

    Some phones write 160 milliseconds as `:0160`. A clock whose part of a second never reaches a
    tenth, though many stamps fall into every second, counts so.
    """
    whole = np.floor(time_s)
    part = time_s - whole
    seconds = float(whole[-1] - whole[0])
    if seconds < 2.0 or len(time_s) < LEAST_STAMPS_A_SECOND * seconds or part.max() >= 0.1:
        return False
    time_s += 9.0 * part
    return True


def _clock_time(cell: str) -> float:
    found = _CLOCK.fullmatch(cell.strip())
    if found is None:
        raise ValueError("no clock time")
    hours, minutes, seconds = int(found[1]), int(found[2]), int(found[3])
    if hours > 23 or minutes > 59 or seconds > 60:
        raise ValueError("no clock time")
    return 3600.0 * hours + 60.0 * minutes + seconds + float(f"0.{found[4] or 0}")


def _number(cell: str) -> float:
    text = cell.strip().strip('"')
    return float(text) if text else math.nan
