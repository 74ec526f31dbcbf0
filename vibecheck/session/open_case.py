"""The open case: a case on disk and the diagnosis that follows; the one way in for front ends.

Whatever is typed is checked first, then saved, and only then believed: a refused answer and a
failed save leave the case on disk and the diagnosis as they were. A case is held against the rules
when it is opened; afterwards a new entry is checked alone.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

from msgspec import structs

from vibecheck.casebook import store
from vibecheck.casebook.case import (
    CUSTOMER,
    HEARD,
    LONGEST_WORD,
    Case,
    Customer,
    Entry,
    PlaceName,
    Role,
    RulesUsed,
)
from vibecheck.casebook.journal import Draft, append, retraction
from vibecheck.casebook.store import StoredCase
from vibecheck.errors import CaseError, InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import layers
from vibecheck.session.answers import Assignment, corner_named, drafts, parse_assignment
from vibecheck.session.case_evidence import check_case, check_values
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import new_dangers
from vibecheck.session.facts import (
    fact_named,
    read_fact,
    read_facts,
    read_limit,
    tolerance_named,
)
from vibecheck.session.kept import Kept
from vibecheck.session.outcome import read_outcome, read_repair

STEP_RESULTS = ("done", "skipped", "cannot")


class OpenCase(Kept[Diagnosis]):
    """A case being worked on. See the module's docstring for what each method guarantees.

    Parameters
    ----------
    stored : the file it came from, or None for a case in memory.
    case : the case.
    library : checked rules.

    Raises
    ------
    VehicleError : a fact or limit that cannot be.
    CaseDamagedError : an entry that the rules do not know.
    """

    def __init__(self, stored: StoredCase | None, case: Case, library: Library) -> None:
        self._stored = stored
        self.library = library
        self.diagnosis = diagnose(library, case, str(stored.path) if stored else "")

    @classmethod
    def open(cls, path: Path, rules: Path | None = None) -> OpenCase:
        """Open a case file.

        Raises
        ------
        CaseError family : the file cannot be used. RulesError : the rules have faults.
        """
        stored = store.load(path)
        return cls(stored, stored.case, library_at(rules))

    @classmethod
    def new(
        cls,
        path: Path | None,
        *,
        place: PlaceName,
        title: str = "",
        facts: Mapping[str, str] | None = None,
        limits: Mapping[str, str] | None = None,
        tools: Sequence[str] = (),
        rules: Path | None = None,
        follows: Case | None = None,
        customer: Mapping[str, str] | None = None,
    ) -> OpenCase:
        """Begin a case, on disk unless `path` is None; `follows` is the visit that it comes back
        from, whose customer it keeps; `customer` as in `set_facts`.

        Raises
        ------
        VehicleError : a fact or limit that cannot be. CaseError family : it cannot be written.
        """
        library = library_at(rules)
        read_facts(library, facts or {})
        for name, value in (limits or {}).items():
            read_limit(library, name, value)
        _check_tools(library, tools)
        case = Case(
            id=f"visit-{os.urandom(4).hex()}",
            title=title or "Untitled",
            place=place,
            facts={name: " ".join(value.split()) for name, value in (facts or {}).items()},
            limits=dict(limits or {}),
            tools=list(tools),
            follows=follows.id if follows else "",
            customer=_customer(follows.customer if follows else None, customer or {}),
            rules=RulesUsed(version=library.settings.version, hash=library.digest),
        )
        stored = store.create(path, case) if path is not None else None
        return cls(stored, case, library)

    @property
    def case(self) -> Case:
        """The case as it is now."""
        return self.diagnosis.case

    def answer(
        self,
        assignments: Sequence[Assignment | str],
        *,
        by: Role | None = None,
        place: PlaceName | None = None,
        check: str = "",
    ) -> tuple[Entry, ...]:
        """Take answers and readings, all or none.

        Raises
        ------
        InputError family : one of them cannot be used. CaseError family : it is not saved.
        """
        typed = [
            parse_assignment(each) if isinstance(each, str) else each for each in assignments
        ]
        if check and check not in self.library.checks:
            raise InputError(f"there is no check '{check[:60]}'", "", "see 'vibecheck next'")
        made = drafts(self.library, self.diagnosis.facts, typed, check)
        return self._append(made, by, place)

    def retract(self, entry_id: str, *, by: Role | None = None) -> Entry:
        """Take one entry back."""
        draft = retraction(self.case, entry_id, str(self.path or ""))
        return self._append((draft,), by, None)[0]

    def repair(
        self, remedy: str, corner: str | None = None, *, minutes: str = "", text: str = "",
        by: Role | None = None,
    ) -> Entry:
        """Say that a remedy was done; what is answered from now on stands for the car after it.

        Raises
        ------
        InputError : no such remedy, a corner missing or out of place, minutes that cannot be.
        """
        made = read_repair(self.library, remedy, corner, minutes, text)
        return self._append((made,), by, None)[0]

    def note(self, text: str, *, by: Role | None = None, heard: bool = False) -> Entry:
        """Keep a note; `heard` if these are the customer's own words."""
        made = Draft(kind="note", text=text, value=HEARD if heard else "")
        return self._append((made,), by, None)[0]

    def step(
        self, check: str, corner: str | None, result: str, *, by: Role | None = None
    ) -> Entry:
        """Say that a check was done, skipped, or cannot be done here."""
        if check not in self.library.checks:
            raise InputError(f"there is no check '{check[:60]}'", "", "see 'vibecheck next'")
        if result not in STEP_RESULTS:
            raise InputError(
                f"'{result[:60]}' is no result", "", f"write one of {', '.join(STEP_RESULTS)}"
            )
        at = corner_named(corner) if corner else None
        draft = Draft(kind="step", check=check, corner=at, value=result)
        return self._append((draft,), by, None)[0]

    def set_facts(
        self, facts: Mapping[str, str] | None = None, *,
        limits: Mapping[str, str] | None = None, customer: Mapping[str, str] | None = None,
    ) -> None:
        """Set or correct the vehicle's facts, its own limits and whose it is: all, or nothing.

        An empty value makes a fact or a field of the customer unknown again; of a limit it goes
        back to the generic one.

        Raises
        ------
        VehicleError : a fact or limit that cannot be. InputError : no such field of the customer,
        or a value that is too long. CaseError family : not saved.
        """
        if facts or limits or customer:
            self._replace(structs.replace(
                self.case, facts=self._facts_with(facts or {}),
                limits=self._limits_with(limits or {}),
                customer=_customer(self.case.customer, customer or {})))

    def _facts_with(self, facts: Mapping[str, str]) -> dict[str, str]:
        merged = {**self.case.facts}
        for name, value in facts.items():
            if value.strip():
                read_fact(self.library, name, value)
                merged[name] = " ".join(value.split())
            else:
                fact_named(self.library, name)
                merged.pop(name, None)
        read_facts(self.library, merged)
        return merged

    def _limits_with(self, limits: Mapping[str, str]) -> dict[str, str]:
        merged = {**self.case.limits}
        for name, value in limits.items():
            if value.strip():
                merged[name] = read_limit(self.library, name, value)
            else:
                tolerance_named(self.library, name)
                merged.pop(name, None)
        return merged

    def set_tools(self, tools: Sequence[str]) -> None:
        """Say which tools are at hand."""
        _check_tools(self.library, tools)
        self._replace(structs.replace(self.case, tools=list(tools)))

    def move(self, place: PlaceName) -> None:
        """Take the case to another place."""
        self._replace(structs.replace(self.case, place=place))

    def finish(
        self, *, cause: str = "", corner: str = "", remedy: str = "", confirmed: str = ""
    ) -> None:
        """Write down how the visit ended; what was written before is replaced.

        Raises
        ------
        InputError family : see `outcome.read_outcome`. CaseError family : it is not saved.
        """
        outcome = read_outcome(self.diagnosis, cause, corner, remedy, confirmed)
        self._replace(structs.replace(self.case, outcome=outcome))

    def _append(
        self, made: Iterable[Draft], by: Role | None, place: PlaceName | None
    ) -> tuple[Entry, ...]:
        case, entries = append(self.case, made, by=by, place=place)
        case = self._marked(case, entries)
        self._replace(case)
        return entries

    def _marked(self, case: Case, entries: tuple[Entry, ...]) -> Case:
        """The case with the dangers that its newest answer made likely enough, kept with it.

        So a stop stands until its part was looked at, whatever is answered beside it later.
        """
        if not entries or entries[-1].kind not in ("answer", "reading"):
            return case
        found = new_dangers(self._follow(case))
        if not found:
            return case
        last = structs.replace(entries[-1], dangers=list(found))
        kept = [last if entry.id == last.id else entry for entry in case.entries]
        return structs.replace(case, entries=kept)

    def _held(self, case: Case, where: str) -> Diagnosis:
        return diagnose(self.library, case, where)

    def _believe(self, made: Diagnosis) -> None:
        self.diagnosis = made

    def _follow(self, case: Case) -> Diagnosis:
        """The diagnosis; what did not change is not checked again."""
        before = self.diagnosis
        if case.facts == self.case.facts and case.limits == self.case.limits:
            return Diagnosis(case, self.library, before.facts, before.judged)
        return Diagnosis(case, self.library, read_facts(self.library, case.facts))


def diagnose(library: Library, case: Case, where: str = "") -> Diagnosis:
    """The diagnosis of a case, once all of it is held against the rules.

    Raises
    ------
    VehicleError : a fact or limit that cannot be.
    CaseDamagedError : an entry that the rules do not know.
    CaseError : a set of wheels, which has no diagnosis.
    """
    if case.wheels is not None:
        raise CaseError("this is a set of wheels without a car", where,
                        "open it with 'vibecheck wheels'")
    check_values(library, case, where)
    facts = read_facts(library, case.facts, where)
    check_case(library, case, where or case.id)
    return Diagnosis(case, library, facts)


def library_at(rules: Path | None) -> Library:
    """The rules in a folder, or the usual ones with what lies over them; loaded once."""
    return _library(*layers(rules))


@lru_cache(maxsize=4)
def _library(folder: Path, overlays: tuple[Path, ...]) -> Library:
    library = load(folder, overlays)
    # The rules stay for the whole run: spare the collector from walking them after every answer.
    gc.freeze()
    return library


def _check_tools(library: Library, tools: Sequence[str]) -> None:
    for tool in tools:
        if tool not in library.tools:
            raise InputError(
                f"there is no tool '{tool[:60]}'", "", f"known: {', '.join(library.tools)}"
            )


def _customer(known: Customer | None, fields: Mapping[str, str]) -> Customer | None:
    about = {name: getattr(known or Customer(), name) for name in CUSTOMER}
    for name, value in fields.items():
        if name not in about:
            raise InputError(f"'{name[:60]}' is nothing that is kept of a customer", "customer",
                             f"write one of {', '.join(CUSTOMER)}")
        about[name] = " ".join(value.split())
        if len(about[name]) > LONGEST_WORD:
            raise InputError("that is longer than a case holds", name,
                             f"write at most {LONGEST_WORD} characters")
    return Customer(**about) if any(about.values()) else None
