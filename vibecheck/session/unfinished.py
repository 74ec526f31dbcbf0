"""What was typed and is in no case yet, kept over a closed terminal; with the units it is in.

One small file beside the visits. It is a comfort: where it is missing, damaged or cannot be
written, the program goes on without it, and nothing in a case depends on it.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from vibecheck.casebook.atomic_write import write_whole
from vibecheck.errors import VibecheckError
from vibecheck.metrology.units.choice import METRIC, US, Units

if TYPE_CHECKING:
    from vibecheck.calculators.reading_sheet import RoundSheet

LARGEST = 1_000_000  # bytes; what a person types is far smaller
MOST = 60  # drafts, and sheets; the ones typed last are kept
VERSION = 1


class SheetKept(Struct, frozen=True, forbid_unknown_fields=True):
    """A sheet of readings: how many places, the one in hand, and what stands at each."""

    count: int
    at: int
    texts: tuple[str, ...]


class Unfinished(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All of it: bare numbers of drafts and sheets are in these units."""

    version: int = VERSION
    length: str = METRIC.length
    speed: str = METRIC.speed
    light: bool = False
    drafts: dict[str, dict[str, str]] = {}
    sheets: dict[str, SheetKept] = {}

    @property
    def units(self) -> Units:
        """The units chosen; the usual ones for a word that is none."""
        speed = US.speed if self.speed == US.speed else METRIC.speed
        length = US.length if self.length == US.length else METRIC.length
        return Units(speed=speed).with_length(length)

    def round_sheets(self) -> dict[str, RoundSheet]:
        """The sheets that can be; others are left out."""
        if not self.sheets:
            return {}
        from vibecheck.calculators.reading_sheet import (
            RoundSheet,  # slow; seldom wanted at the start
        )

        made = {}
        for key, kept in self.sheets.items():
            with suppress(VibecheckError):
                made[key] = RoundSheet.of(kept.count, kept.at, kept.texts)
        return made


def gathered(
    units: Units, light: bool, drafts: dict[str, dict[str, str]], sheets: dict[str, RoundSheet],
    fleeting: frozenset[str] = frozenset(),
) -> Unfinished:
    """What is worth keeping: no empty field, no example, nothing of a case only in memory.

    Parameters
    ----------
    units, light : as chosen.
    drafts, sheets : by keys "bench/case/corner" and "case/corner/surface".
    fleeting : the cases that are only in memory.
    """
    texts = {
        key: {name: text for name, text in each.items() if text.strip()}
        for key, each in drafts.items() if not fleeting.intersection(key.split("/")[1:2])
    }
    kept = {
        key: SheetKept(sheet.count, sheet.at, sheet.texts) for key, sheet in sheets.items()
        if sheet.read and not sheet.invented and key.split("/")[0] not in fleeting
    }
    return Unfinished(
        length=units.length, speed=units.speed, light=light,
        drafts=dict([each for each in texts.items() if each[1]][-MOST:]),
        sheets=dict(list(kept.items())[-MOST:]),
    )


def read_unfinished(path: Path) -> Unfinished:
    """What was kept in the file; nothing where it cannot be read."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return Unfinished()
        found = msgspec.json.decode(path.read_bytes(), type=Unfinished)
    except (OSError, ValueError, RecursionError):
        return Unfinished()
    return found if found.version == VERSION else Unfinished()


def write_unfinished(path: Path, state: Unfinished) -> bool:
    """Keep it, in one step; False if that was not possible."""
    content = msgspec.json.encode(state)
    if len(content) > LARGEST:
        return False
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, content)
    except OSError:
        return False
    return True
