"""The shape of a case: one vehicle visit, or one set of wheels, with its journal of entries.

A case is frozen; `with_entry` gives a new one. All values are kept as they were typed, as text.
Whether a finding or a tolerance exists is not checked here: the casebook does not know the rules.
"""

from __future__ import annotations

from datetime import datetime
from functools import cached_property
from typing import Annotated, Literal

from msgspec import Meta, Struct, structs

from vibecheck.casebook.moments import read_moment

FORMAT = 3
LONGEST_WORD = 200  # characters
LONGEST_NOTE = 20_000  # characters
LARGEST_CASE = 2_000_000  # bytes of a case file
MOST_WHEELS = 8  # in a set
HEARD = "heard"  # the value of a note that holds the customer's own words
CornerName = Literal["LF", "RF", "LR", "RR"]
PlaceName = Literal["counter", "bay", "driveway"]
Role = Literal["writer", "technician", "owner"]
EntryKind = Literal["answer", "reading", "note", "retraction", "step", "remedy"]
DialName = Literal["mm", "0.01 mm", "thou", "in"]
WheelState = Literal["", "new", "used"]
YesNo = Literal["", "yes", "no"]
Word = Annotated[str, Meta(max_length=LONGEST_WORD)]
Note = Annotated[str, Meta(max_length=LONGEST_NOTE)]


class Entry(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """One thing that happened. Entries are only ever appended.

    In a set of wheels `wheel` says which one, by its number; elsewhere it is "".

    answer      `finding` (and `corner`) has the state `value`; "unsure" when the person cannot say
                `dangers` are the causes that this answer or reading made dangerous
    reading     `finding` (and `corner`) was measured as `value`, as typed ("0.49 mm +/- 0.02");
                `readings` and `angles` hold the single readings where a calculator made the value
    step        `check` (and `corner`) was "done", "skipped", or "cannot" be done here (`value`)
    remedy      `remedy` was done (at `corner`), which took `minutes` [min], with parts of class
                `parts`; what is measured after it stands for the car as repaired
    note        free `text`; `value` is "heard" where it is the customer's own words
    retraction  takes back the entry with the id `retracts`
    """

    id: Annotated[str, Meta(pattern=r"^[A-Za-z0-9_-]{1,40}$")]
    at: str
    kind: EntryKind
    place: PlaceName
    by: Role
    finding: Word = ""
    corner: CornerName | None = None
    wheel: Annotated[str, Meta(pattern=r"^[1-8]?$")] = ""
    value: Word = ""
    check: Word = ""
    retracts: Word = ""
    remedy: Word = ""
    minutes: Word = ""
    parts: Word = ""
    text: Note = ""
    readings: list[Word] = []
    angles: list[Word] = []
    dangers: list[Word] = []


class RulesUsed(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The rule library a case was begun with."""

    version: Word
    hash: Word


class Customer(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """Whose car it is, and which; all optional. It stands in this file and nowhere else."""

    name: Word = ""
    phone: Word = ""
    plate: Word = ""
    odometer: Word = ""
    vin: Word = ""


CUSTOMER = Customer.__struct_fields__  # what is kept of a customer


class Outcome(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """How a visit ended."""

    cause: Word = ""
    corner: CornerName | None = None
    remedy: Word = ""
    confirmed: Note = ""


class Expect(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """What a demo case must give: top cause, causes that must not lead, the next check."""

    top: Word
    corner: CornerName | None = None
    also: list[Word] = []
    not_leading: list[Word]
    next: Word
    drive: Word = ""


class WheelSet(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """Wheels that are measured by themselves, without a car.

    `names` are in order; an entry names a wheel by its number from 1 on. `dial` is what a number
    typed bare counts in. `by` and `gauge` say who measured with what, for a claim.
    """

    names: Annotated[list[Word], Meta(min_length=1, max_length=MOST_WHEELS)]
    state: WheelState = ""
    shipped: YesNo = ""
    dial: DialName = "mm"
    by: Word = ""
    gauge: Word = ""


def when(entry: Entry) -> tuple[datetime, str]:
    """What entries are put in order by: the time, then the id."""
    return read_moment(entry.at), entry.id


class Case(
    Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True, dict=True
):
    """One vehicle visit, or one set of wheels without a car.

    `follows` is the id of the visit that this one comes back from; `archived` puts a visit away
    without deleting it.
    """

    vibecheck_case: int = FORMAT
    id: Annotated[str, Meta(pattern=r"^[A-Za-z0-9_-]{1,60}$")]
    title: Word
    place: PlaceName
    invented: bool = False
    story: Note = ""
    customer: Customer | None = None
    wheels: WheelSet | None = None
    follows: Word = ""
    archived: bool = False
    facts: dict[Word, Word] = {}
    limits: dict[Word, Word] = {}
    tools: list[Word] = []
    rules: RulesUsed | None = None
    entries: list[Entry] = []
    outcome: Outcome | None = None
    expect: Expect | None = None

    @cached_property
    def in_order(self) -> tuple[Entry, ...]:
        """The entries by time, then by id."""
        return tuple(sorted(self.entries, key=when))

    def with_entry(self, entry: Entry) -> Case:
        """The case with one more entry."""
        return structs.replace(self, entries=[*self.entries, entry])
