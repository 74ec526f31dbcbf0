"""From the bytes of an exported table to columns of numbers: delimiter, decimal mark, header.

Any text table is taken: commas, semicolons, tabs or blanks between columns; decimal points or
commas; lines of remarks before the header; a second header line of units; quoted cells; rows cut
short. What was assumed is the caller's to tell.

What these functions do not check: what the columns mean (see `record_columns`).
"""

from __future__ import annotations

import codecs
import math
import re
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from vibecheck.errors import RecordError
from vibecheck.metrology.units.numerals import short

Real = npt.NDArray[np.float64]

MOST_BYTES = 200_000_000  # about 4 hours at 200 Hz
MOST_ROWS = 4_000_000
HEAD_LINES = 200  # the table must start within these
LINES_AHEAD = 4  # half of these must be numbers too, or a remark was taken for data
LARGEST_BAD_SHARE = 0.05  # of the rows; more and the file is not what it seems

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+(?:[eE][+-]?\d{1,3})?")
_UNIT_CELL = re.compile(
    r"[(\[]?\s*(?:m/s\^?2|m/s²|m/s/s|g|mg|s|ms|us|µs|ns|sec|seconds|m/s|km/h|mph|rad/s|deg|°|"
    r"degrees|deg/s|%|hz|-|)\s*[)\]]?", re.IGNORECASE,
)


@dataclass(frozen=True)
class Table:
    """A table found in a text.

    Attributes
    ----------
    names : the header cells, () if there is no header line.
    rows : the data lines, decimal points throughout.
    delimiter : what stands between the cells; "" means blanks.
    decimal_comma : whether the file wrote decimal commas.
    first_line : line number of the first data line in the file, from 1.
    width : cells in a data line.
    """

    names: tuple[str, ...]
    rows: list[str]
    delimiter: str
    decimal_comma: bool
    first_line: int
    width: int


def read_text(path: Path) -> str:
    """The whole text of a file of at most 200 MB.

    Raises
    ------
    RecordError : there is no such file, it is none, it is too large (its size is looked up before
        anything is read), or it is not text.
    """
    where = str(path)
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise RecordError("this is not a file", where, "name an exported CSV file")
        if status.st_size > MOST_BYTES:
            raise RecordError(
                f"the file is {status.st_size / 1e6:,.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB",
                where, "cut the record to the minutes that shake",
            )
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise RecordError(f"the file cannot be read ({reason})", where) from None
    return decoded(data, where)


def decoded(data: bytes, where: str) -> str:
    """Bytes as text: UTF-8, UTF-16 with its mark, or else Latin-1.

    Raises
    ------
    RecordError : the bytes are no text.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError:
            data = b"\0"
    if b"\0" in data:
        raise RecordError("the file is not text", where, "export the record as CSV")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def table_of(text: str, where: str) -> Table:
    """Find the table in a text.

    Raises
    ------
    RecordError : the text is empty, holds no rows of numbers, too many rows, or commas that part
        both cells and decimals.
    """
    if not text.strip():
        raise RecordError("the file is empty", where, "export the record again")
    lines = text.splitlines()
    if len(lines) > MOST_ROWS:
        raise RecordError(
            f"the file has {len(lines):,} rows, more than {MOST_ROWS:,}", where,
            "cut the record to the minutes that shake",
        )
    lines = _unquoted(lines)
    start, delimiter = _start_of_data(lines, where)
    rows = [line for line in lines[start:] if line.strip()]
    width = len(cells_of(rows[0], delimiter))
    names = _header(lines[:start], delimiter, width, where)
    comma = _has_decimal_comma(rows, delimiter, where)
    if comma:
        rows = [line.replace(",", ".") for line in rows]
    return Table(names, rows, delimiter, comma, start + 1, width)


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line, stripped."""
    cells = line.split(delimiter) if delimiter else line.split()
    return [cell.strip() for cell in cells]


def column_numbers(
    table: Table, columns: Sequence[int], needed: int, where: str
) -> tuple[Real, int, int]:
    """Columns of a table as numbers.

    Parameters
    ----------
    table : the table.
    columns : positions of the columns, from 0.
    needed : how many of the first columns must be there; a blank in another becomes nan.
    where : the file, for complaints.

    Returns
    -------
    numbers (rows, columns) of the rows that have all needed ones, the count of rows that lack
    one, and the count of rows that are not numbers.

    Raises
    ------
    RecordError : more than 5 % of the rows are not numbers, or none is left.
    """
    try:
        numbers = np.loadtxt(
            table.rows, delimiter=table.delimiter or None, usecols=list(columns), ndmin=2,
            comments=None,
        )
        blank, bad = 0, 0
    except (ValueError, IndexError, UserWarning):
        numbers, blank, bad = _row_by_row(table, columns, needed, where)
    fine = np.isfinite(numbers[:, :needed]).all(axis=1)
    if not fine.any():
        raise RecordError("no row holds numbers in all needed columns", where)
    if not fine.all():
        blank += int((~fine).sum())
        numbers = numbers[fine]
    return numbers, blank, bad


def _row_by_row(
    table: Table, columns: Sequence[int], needed: int, where: str
) -> tuple[Real, int, int]:
    kept: list[list[float]] = []
    blank = bad = 0
    first_bad = ""
    for count, line in enumerate(table.rows):
        cells = line.split(table.delimiter) if table.delimiter else line.split()
        try:
            row = [_number(cells[column]) for column in columns]
        except (ValueError, IndexError):
            bad += 1
            first_bad = first_bad or f"line {table.first_line + count}: '{short(line)}'"
            continue
        if any(math.isnan(value) for value in row[:needed]):
            blank += 1
            continue
        kept.append(row)
    if bad > max(1.0, LARGEST_BAD_SHARE * len(table.rows)):
        raise RecordError(
            f"{bad} of {len(table.rows)} rows are not numbers, first {first_bad}", where,
            "export the record again as numbers",
        )
    if not kept:
        raise RecordError("no row holds numbers in all needed columns", where)
    return np.array(kept, dtype=np.float64), blank, bad


def _number(cell: str) -> float:
    text = cell.strip()
    return float(text) if text else math.nan


def _unquoted(lines: list[str]) -> list[str]:
    """Without quotation marks; quoted cells that hold commas are parted by semicolons instead."""
    sample = lines[: HEAD_LINES]
    if not any('"' in line for line in sample):
        return lines
    if any(re.search(r'"[^",]*\d,\d[^",]*"', line) for line in sample):
        return [re.sub(r'"\s*,\s*"', ";", line).replace('"', "") for line in lines]
    return [line.replace('"', "") for line in lines]


def _start_of_data(lines: list[str], where: str) -> tuple[int, str]:
    """Index of the first data line and the delimiter there."""
    head = [index for index, line in enumerate(lines[:HEAD_LINES]) if line.strip()]
    for place, index in enumerate(head):
        delimiter = _delimiter_of(lines[index])
        if not _is_data(cells_of(lines[index], delimiter)):
            continue
        following = [_is_data(cells_of(lines[other], delimiter))
                     for other in head[place + 1: place + 1 + LINES_AHEAD]]
        if 2 * sum(following) >= len(following):
            return index, delimiter
    raise RecordError(
        "no rows of numbers were found", where, "export time, x, y and z as columns of numbers"
    )


def _delimiter_of(line: str) -> str:
    for delimiter in ("\t", ";"):
        if delimiter in line:
            return delimiter
    if "," not in line:
        return ""
    by_blank = line.split()
    if len(by_blank) > 2 and all(_NUMBER.fullmatch(cell) for cell in by_blank):
        return ""
    return ","


def _is_data(cells: list[str]) -> bool:
    numeric = sum(_NUMBER.fullmatch(cell) is not None for cell in cells)
    filled = sum(cell != "" for cell in cells)
    return numeric >= 3 or (numeric >= 2 and 2 * numeric >= filled)


def _header(before: list[str], delimiter: str, width: int, where: str) -> tuple[str, ...]:
    """The header cells above the data, a line of units under it taken in."""
    filled = [line.lstrip("#% \t") if delimiter != "\t" else line.lstrip("#%")
              for line in before if line.strip()]
    if not filled:
        return ()
    last = cells_of(filled[-1], delimiter)
    if len(last) == 1 and delimiter:
        last = cells_of(filled[-1], _delimiter_of(filled[-1]))
    if delimiter == "," and width >= 2 * len(last) - 1 and len(last) >= 3:
        raise RecordError(
            f"the header names {len(last)} columns but the rows have {width} cells", where,
            "export with decimal points, or with semicolons between the columns",
        )
    if len(last) > width + 1 or len(last) < min(width - 1, 3):
        return ()
    if len(filled) > 1 and all(_UNIT_CELL.fullmatch(cell) for cell in last):
        names = cells_of(filled[-2], delimiter)
        if len(names) == len(last):
            return tuple(f"{name} ({unit.strip('()[] ')})" if unit.strip("()[] -") else name
                         for name, unit in zip(names, last, strict=True))
    return tuple(last)


def _has_decimal_comma(rows: list[str], delimiter: str, where: str) -> bool:
    if delimiter == ",":
        return False
    cells = [cell for line in rows[:HEAD_LINES] for cell in cells_of(line, delimiter)]
    with_comma = any(_COMMA_NUMBER.fullmatch(cell) for cell in cells)
    if with_comma and any("." in cell and _NUMBER.fullmatch(cell) for cell in cells):
        raise RecordError(
            "decimal points and decimal commas stand in one table", where,
            "export the record with one decimal mark",
        )
    return with_comma
