"""Two people on one case: what each of them changed, put together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import structs

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case, Entry, WheelSet
from vibecheck.casebook.moments import read_moment

_BY_KEY = ("facts", "limits")
_BY_ENTRY = "entries"
_WHEELS = "wheels"


def merge(base: Case, mine: Case, disk: Case) -> Case:
    """What is on disk, with everything in it that `mine` changed since `base`.

    Entries are united by id and ordered by time, then id. A fact, a limit or any other field is
    taken from `mine` where it was changed since `base`, else from `disk`.
    """
    merged: dict[str, Any] = {}
    for name in Case.__struct_fields__:
        old, new, found = (getattr(case, name) for case in (base, mine, disk))
        if name == _BY_ENTRY:
            merged[name] = merge_entries(old, new, found)
        elif name in _BY_KEY:
            merged[name] = merge_keys(old, new, found)
        elif name == _WHEELS and None not in (old, new, found):
            merged[name] = _merge_wheels(old, new, found)
        else:
            merged[name] = found if new == old else new
    return Case(**merged)


def _merge_wheels(base: WheelSet, mine: WheelSet, disk: WheelSet) -> WheelSet:
    """What is said of a set, each word from `mine` where it was changed there."""
    changed = {name: value for name, value in structs.asdict(mine).items()
               if value != getattr(base, name)}
    return structs.replace(disk, **changed)


def merge_keys(
    base: Mapping[str, str], mine: Mapping[str, str], disk: Mapping[str, str]
) -> dict[str, str]:
    """The keys on disk, with those set, changed or removed in `mine` since `base`."""
    merged = dict(disk)
    for key in {**base, **mine}:
        if mine.get(key) == base.get(key):
            continue
        if key in mine:
            merged[key] = mine[key]
        else:
            merged.pop(key, None)
    return merged


def merge_entries(base: list[Entry], mine: list[Entry], disk: list[Entry]) -> list[Entry]:
    """The union of entries by id, ordered by time, then id.

    Where both sides made a new entry with the same id, mine gets another id.
    """
    known = {entry.id for entry in base}
    united = {entry.id: entry for entry in disk}
    renamed: dict[str, str] = {}
    for entry in mine:
        entry = structs.replace(entry, retracts=renamed.get(entry.retracts, entry.retracts))
        other = united.get(entry.id)
        if other is not None and other != entry and entry.id not in known:
            fresh = journal.fresh_id(read_moment(entry.at), united)
            renamed[entry.id] = fresh
            entry = structs.replace(entry, id=fresh)
            other = None
        if other is None:
            united[entry.id] = entry
    return journal.ordered(united.values())
