"""The journal: new entries with id and time, their order, and which of them are in force.

Entries are only ever appended. A newer answer to the same finding at the same corner stands in
for the older one; a retraction takes an entry back, and what it had replaced counts again.
Retracting a retraction brings the entry back.

This module does not check whether a finding or a check exists: the casebook does not know the
rules.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta

from msgspec import Struct, structs

from vibecheck.casebook.case import (
    LONGEST_NOTE,
    LONGEST_WORD,
    Case,
    CornerName,
    Entry,
    EntryKind,
    PlaceName,
    Role,
    when,
)
from vibecheck.casebook.moments import moment_text, read_moment
from vibecheck.errors import CaseError, InputError

ROLE_AT: dict[PlaceName, Role] = {
    "counter": "writer", "bay": "technician", "driveway": "owner",
}
_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"  # no i, l, o, u: easily misread
_ID_EPOCH = datetime(2024, 1, 1, tzinfo=UTC)
_TIME_DIGITS = 8  # milliseconds in base 32: lasts 34 years from the epoch
_CHANCE_DIGITS = 3  # parts two people who write in the same millisecond
Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


class Draft(Struct, frozen=True):
    """What an entry says, before it has an id and a time; fields as in `Entry`."""

    kind: EntryKind
    finding: str = ""
    corner: CornerName | None = None
    wheel: str = ""
    value: str = ""
    check: str = ""
    retracts: str = ""
    remedy: str = ""
    minutes: str = ""
    parts: str = ""
    text: str = ""
    readings: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()


def append(
    case: Case, drafts: Iterable[Draft], *, by: Role | None = None,
    place: PlaceName | None = None, clock: Clock = utc_now,
) -> tuple[Case, tuple[Entry, ...]]:
    """The case with new entries, and those entries.

    Each new entry sorts after every entry the case already has, also where a clock runs behind.
    `place` defaults to the case's, `by` to who usually works at that place.

    Raises
    ------
    InputError : a text that is too long or cannot be stored.
    """
    at_place: PlaceName = place or case.place
    made: list[Entry] = []
    for draft in drafts:
        _check_texts(draft)
        moment = _after(case, clock())
        entry = Entry(
            id=_new_id(case, moment), at=moment_text(moment), kind=draft.kind, place=at_place,
            by=by or ROLE_AT[at_place], finding=draft.finding, corner=draft.corner,
            wheel=draft.wheel, value=draft.value, check=draft.check, retracts=draft.retracts,
            remedy=draft.remedy, minutes=draft.minutes, parts=draft.parts, text=draft.text,
            readings=list(draft.readings), angles=list(draft.angles),
        )
        case = case.with_entry(entry)
        made.append(entry)
    return case, tuple(made)


def retraction(case: Case, entry_id: str, where: str = "") -> Draft:
    """The draft that takes back one entry.

    Raises
    ------
    CaseError : there is no such entry, or it is taken back already.
    """
    entry = find(case, entry_id)
    if entry is None:
        raise CaseError(
            f"the case has no entry '{entry_id}'", where,
            "'vibecheck show' lists the entries with their ids",
        )
    if entry.id in retracted_ids(case):
        raise CaseError(f"entry '{entry_id}' is taken back already", where)
    return Draft(kind="retraction", retracts=entry.id)


def find(case: Case, entry_id: str) -> Entry | None:
    """The entry with this id, if the case has it."""
    return next((entry for entry in case.entries if entry.id == entry_id), None)


def ordered(entries: Iterable[Entry]) -> list[Entry]:
    """Entries by time, then by id; those of a whole case are `Case.in_order`."""
    return sorted(entries, key=when)


def retracted_ids(case: Case) -> frozenset[str]:
    """Ids of the entries that a retraction in force takes back.

    A retraction reaches only entries older than itself.
    """
    if all(entry.kind != "retraction" for entry in case.entries):
        return frozenset()
    taken_back: set[str] = set()
    unseen = {entry.id for entry in case.entries}
    for entry in reversed(case.in_order):
        unseen.discard(entry.id)
        in_force = entry.kind == "retraction" and entry.id not in taken_back
        if in_force and entry.retracts in unseen:
            taken_back.add(entry.retracts)
    return frozenset(taken_back)


def active_entries(case: Case) -> tuple[Entry, ...]:
    """The answers and readings in force, oldest first: one for each finding at each corner.

    In a set of wheels one for each finding of each wheel.
    """
    return _newest(case, ("answer", "reading"),
                   lambda entry: (entry.finding, entry.corner or entry.wheel))


def all_answers(case: Case) -> tuple[Entry, ...]:
    """Every answer and reading that was not taken back, oldest first, replaced ones as well."""
    taken_back = retracted_ids(case)
    return tuple(
        entry for entry in case.in_order
        if entry.kind in ("answer", "reading") and entry.id not in taken_back
    )


def readings_together(case: Case) -> dict[tuple[str, CornerName | None], tuple[Entry, ...]]:
    """Every reading that counts, oldest first, for each finding at each corner.

    A second reading of one thing is a repeat and replaces nothing. A remedy done in between parts
    before from after, and an answer in words ends what was read before it.
    """
    taken_back = retracted_ids(case)
    found: dict[tuple[str, CornerName | None], tuple[Entry, ...]] = {}
    for entry in case.in_order:
        if entry.id in taken_back:
            continue
        key = (entry.finding, entry.corner)
        if entry.kind == "remedy":
            found = {}
        elif entry.kind == "reading":
            found[key] = (*found.get(key, ()), entry)
        elif entry.kind == "answer":
            found.pop(key, None)
    return found


def of_wheel(case: Case, wheel: str) -> Case:
    """The case with the entries of one wheel of a set alone, and what takes entries back."""
    kept = [entry for entry in case.entries
            if entry.wheel == wheel or entry.kind == "retraction"]
    return structs.replace(case, entries=kept)


def active_steps(case: Case) -> tuple[Entry, ...]:
    """The steps in force, oldest first: one for each check at each corner."""
    return _newest(case, ("step",), lambda entry: (entry.check, entry.corner))


def _newest(
    case: Case, kinds: tuple[EntryKind, ...], key: Callable[[Entry], tuple[str, str | None]]
) -> tuple[Entry, ...]:
    taken_back = retracted_ids(case)
    newest: dict[tuple[str, str | None], Entry] = {}
    for entry in case.in_order:
        if entry.kind in kinds and entry.id not in taken_back:
            newest.pop(key(entry), None)
            newest[key(entry)] = entry
    return tuple(newest.values())


def fresh_id(moment: datetime, taken: Iterable[str]) -> str:
    """An id that sorts by time and is not one of `taken`."""
    known = set(taken)
    ticks = max(0, (moment - _ID_EPOCH) // timedelta(milliseconds=1))
    while True:
        chance = int.from_bytes(os.urandom(8), "big") % 32**_CHANCE_DIGITS  # even: 32 is 2**5
        made = _digits(ticks, _TIME_DIGITS) + _digits(chance, _CHANCE_DIGITS)
        if made not in known:
            return made
        ticks += 1


def _new_id(case: Case, moment: datetime) -> str:
    return fresh_id(moment, (entry.id for entry in case.entries))


def _digits(number: int, width: int) -> str:
    found = ""
    for _ in range(width):
        number, digit = divmod(number, 32)
        found = _ALPHABET[digit] + found
    return found


def _after(case: Case, now: datetime) -> datetime:
    """Now, or one millisecond after the newest entry where that is later."""
    moment = now.astimezone(UTC)
    if case.entries:
        newest = max(read_moment(entry.at) for entry in case.entries)
        moment = max(moment, newest + timedelta(milliseconds=1))
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def _check_texts(draft: Draft) -> None:
    for name in ("finding", "value", "check", "retracts", "remedy", "minutes", "parts"):
        _check_text(getattr(draft, name), name, LONGEST_WORD)
    _check_text(draft.text, "note", LONGEST_NOTE)
    for text in (*draft.readings, *draft.angles):
        _check_text(text, "readings", LONGEST_WORD)


def _check_text(text: str, name: str, longest: int) -> None:
    if len(text) > longest:
        raise InputError(
            f"the text has {len(text)} characters", name, f"write at most {longest}"
        )
    if any("\ud800" <= ch <= "\udfff" for ch in text):
        raise InputError("the text holds bytes that are not UTF-8", name, "type it again")
