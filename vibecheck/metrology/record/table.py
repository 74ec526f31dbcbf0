"""From the first lines of an exported table to its layout: delimiter, decimal mark, header.

Any text table is taken: commas, semicolons, tabs or blanks between columns; decimal points or
commas; lines of remarks before the header; a second header line of units; quoted cells; rows cut
short. What was assumed is the caller's to tell.

What these functions do not check: what the columns mean (see `columns`), and what stands below the
first lines (see `numbers`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from vibecheck.errors import RecordError

HEAD_LINES = 200  # the table must start within these
LINES_AHEAD = 4  # half of these must be numbers too, or a remark was taken for data

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+(?:[eE][+-]?\d{1,3})?")
_UNIT_CELL = re.compile(
    r"[(\[]?\s*(?:m/s\^?2|m/s²|m/s/s|g|mg|s|ms|us|µs|ns|sec|seconds|m/s|km/h|mph|rad/s|deg|°|"
    r"degrees|deg/s|%|hz|-|)\s*[)\]]?", re.IGNORECASE,
)


class Quotes(Enum):
    """What quotation marks do in a table."""

    NONE = 0
    AROUND = 1  # around cells, nothing more
    PARTING = 2  # around cells with decimal commas, which commas part


@dataclass(frozen=True)
class Layout:
    """How a table is written.

    Attributes
    ----------
    names : the header cells, () if there is no header line.
    head : the first data lines, put right.
    start : lines before the first data line.
    delimiter : what stands between the cells; "" means blanks.
    decimal_comma : whether the file wrote decimal commas.
    quotes : what its quotation marks do.
    width : cells in a data line.
    """

    names: tuple[str, ...]
    head: tuple[str, ...]
    start: int
    delimiter: str
    decimal_comma: bool
    quotes: Quotes
    width: int

    def lines_of(self, block: str) -> list[str]:
        """The lines of a block, unquoted and with decimal points."""
        text = _unquoted(block, self.quotes)
        return (text.replace(",", ".") if self.decimal_comma else text).splitlines()


def layout_of(block: str, where: str) -> Layout:
    """The layout of a table from its first block of lines.

    Raises
    ------
    RecordError : the text is empty, holds no rows of numbers, or commas that part both cells and
        decimals.
    """
    if not block.strip():
        raise RecordError("the file is empty", where, "export the record again")
    first = block.splitlines()[: 3 * HEAD_LINES]
    quotes = _quotes_of(first[:HEAD_LINES])
    lines = _unquoted("\n".join(first), quotes).splitlines()
    start, delimiter = _start_of_data(lines, where)
    rows = [line for line in lines[start:] if line.strip()]
    width = len(cells_of(rows[0], delimiter))
    names = _header(lines[:start], delimiter, width, where)
    comma = _has_decimal_comma(rows, delimiter, where)
    if comma:
        rows = [line.replace(",", ".") for line in rows]
    return Layout(names, tuple(rows), start, delimiter, comma, quotes, width)


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line, stripped."""
    cells = line.split(delimiter) if delimiter else line.split()
    return [cell.strip() for cell in cells]


def _quotes_of(sample: Sequence[str]) -> Quotes:
    if not any('"' in line for line in sample):
        return Quotes.NONE
    decimal = any(re.search(r'"[^",]*\d,\d[^",]*"', line) for line in sample)
    return Quotes.PARTING if decimal else Quotes.AROUND


def _unquoted(text: str, quotes: Quotes) -> str:
    """Without quotation marks; quoted cells that hold commas are parted by semicolons instead."""
    if quotes is Quotes.NONE:
        return text
    if quotes is Quotes.PARTING:
        text = re.sub(r'"[^\S\r\n]*,[^\S\r\n]*"', ";", text)
    return text.replace('"', "")


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
