"""The text of an exported file, block by block, so that a long record never stands whole in memory.

A block ends with a line. UTF-8, UTF-16 with its mark, or else Latin-1 is read.
"""

from __future__ import annotations

import codecs
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from vibecheck.errors import RecordError

MOST_BYTES = 600_000_000  # four hours at 200 Hz with a dozen further columns
BLOCK_BYTES = 1 << 21


def size_of(path: Path) -> int:
    """Size of a file to read [bytes], looked up before anything is read.

    Raises
    ------
    RecordError : there is no such file, it is none, or it is too large.
    """
    where = str(path)
    try:
        status = path.stat()
    except (OSError, ValueError) as error:
        raise unreadable(error, where) from None
    if not stat.S_ISREG(status.st_mode):
        raise RecordError("this is not a file", where, "name an exported CSV file")
    if status.st_size > MOST_BYTES:
        raise RecordError(
            f"the file is {status.st_size / 1e6:,.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB",
            where, "cut the record to the minutes that shake",
        )
    return status.st_size


def blocks_of_file(path: Path) -> Iterator[str]:
    """Blocks of whole lines of a file.

    Raises
    ------
    RecordError : it cannot be read, or is not text.
    """
    where = str(path)
    try:
        with path.open("rb") as file:
            yield from _lines_whole(_pieces(file, where))
    except (OSError, ValueError) as error:
        raise unreadable(error, where) from None


def blocks_of_text(text: str) -> Iterator[str]:
    """Blocks of whole lines of a text."""
    pieces = (text[start: start + BLOCK_BYTES] for start in range(0, len(text), BLOCK_BYTES))
    yield from _lines_whole(pieces)


def unreadable(error: Exception, where: str) -> RecordError:
    """The complaint about a file that the system will not give."""
    reason = getattr(error, "strerror", None) or "the name cannot be used"
    return RecordError(f"the file cannot be read ({reason})", where)


def _pieces(file: BinaryIO, where: str) -> Iterator[str]:
    data = file.read(BLOCK_BYTES)
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    decoder: codecs.IncrementalDecoder
    decoder = codecs.getincrementaldecoder("utf-16" if wide else "utf-8-sig")()
    while data:
        if not wide and b"\0" in data:
            raise _no_text(where)
        try:
            yield decoder.decode(data)
        except UnicodeDecodeError:
            if wide:
                raise _no_text(where) from None
            kept = decoder.getstate()[0]
            decoder = codecs.getincrementaldecoder("latin-1")()
            yield decoder.decode(bytes(kept) + data)
        data = file.read(BLOCK_BYTES)
    try:
        yield decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return  # the file was cut inside a letter


def _lines_whole(pieces: Iterator[str]) -> Iterator[str]:
    rest = ""
    for piece in pieces:
        whole = rest + piece
        end = max(whole.rfind("\n"), whole.rfind("\r", 0, len(whole) - 1)) + 1
        if end:
            yield whole[:end]
        rest = whole[end:]
    if rest:
        yield rest


def _no_text(where: str) -> RecordError:
    return RecordError("the file is not text", where, "export the record as CSV")
