"""What a result has to add about itself: an id with its values; the words are said elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct, field

NoteValue = float | int | str | tuple[str, ...]


class Note(Struct, frozen=True):
    """One thing to know of a result.

    Attributes
    ----------
    kind : which; each room of physics has its own list of them.
    values : what it names, by name, in base units [mm, km/h, Hz, s, deg] or as ids.
    """

    kind: StrEnum
    values: Mapping[str, NoteValue] = field(default_factory=dict)


def note(kind: StrEnum, **values: NoteValue) -> Note:
    """A note with its values by name."""
    return Note(kind, values)
