"""A set of wheels without a car: on disk like a case, and judged by the same rules.

The file is a case that names its wheels (`casebook.case.WheelSet`), so it is saved, merged,
reopened, listed and searched as every case is. It has no diagnosis: a wheel by itself has no
complaint.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import get_args

from msgspec import structs

from vibecheck.calculators.wheel import SURFACES
from vibecheck.casebook import store
from vibecheck.casebook.case import (
    LONGEST_WORD,
    MOST_WHEELS,
    Case,
    DialName,
    Entry,
    PlaceName,
    RulesUsed,
    WheelSet,
    WheelState,
    YesNo,
)
from vibecheck.casebook.journal import (
    Draft,
    active_entries,
    append,
    of_wheel,
    readings_together,
    retraction,
)
from vibecheck.casebook.store import StoredCase
from vibecheck.errors import CaseDamagedError, CaseError, InputError
from vibecheck.knowledge.library import Library
from vibecheck.metrology.runout.wheel_verdict import REJECT_MM
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.answers import Assignment, finding_named, read_value
from vibecheck.session.case_evidence import check_values
from vibecheck.session.facts import read_limit
from vibecheck.session.kept import Kept
from vibecheck.session.open_case import library_at
from vibecheck.session.wheel import WheelRules
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_table import LOOKS, WheelRow, WheelTable, wheel_row, wheel_table

USUAL_COUNT = 4
LONGEST_NAME = 40
UNTITLED = "Wheels"
_KNOWN = (*SURFACES, *LOOKS)


def usual_names(count: int = USUAL_COUNT) -> tuple[str, ...]:
    """Names for wheels that have none of their own.

    Raises
    ------
    InputError : more wheels than a set has, or none.
    """
    if not 1 <= count <= MOST_WHEELS:
        raise InputError(f"a set of {count} wheels cannot be", "", f"write 1 to {MOST_WHEELS}")
    return tuple(str(number) for number in range(1, count + 1))


class OpenSet(Kept[Case], WheelBench):
    """A set being measured.

    Raises
    ------
    CaseError : a car's visit. CaseDamagedError : an entry that the rules do not know.
    """

    def __init__(self, stored: StoredCase | None, case: Case, library: Library) -> None:
        super().__init__()
        where = str(stored.path) if stored else ""
        _check(library, case, where)
        self._stored, self._case, self.library = stored, case, library

    @classmethod
    def open(cls, path: Path, rules: Path | None = None) -> OpenSet:
        """Open the file of a set.

        Raises
        ------
        CaseError family : the file cannot be used. RulesError : the rules have faults.
        """
        stored = store.load(path)
        return cls(stored, stored.case, library_at(rules))

    @classmethod
    def new(
        cls, path: Path | None, *, title: str = "", names: Sequence[str] = (), state: str = "",
        shipped: str = "", dial: str = "mm", by: str = "", gauge: str = "",
        limits: Mapping[str, str] | None = None, place: PlaceName = "bay",
        rules: Path | None = None,
    ) -> OpenSet:
        """Begin a set, on disk unless `path` is None.

        Raises
        ------
        InputError family : names, a limit or a word that cannot be. CaseError family : it cannot
            be written.
        """
        library = library_at(rules)
        wheels = _about(WheelSet(names=_names(names or usual_names())), state=state,
                        shipped=shipped, dial=dial, by=by, gauge=gauge)
        kept = {name: _limit(library, name, value) for name, value in (limits or {}).items()}
        case = Case(
            id=f"wheels-{os.urandom(4).hex()}", title=_word(title, "title", LONGEST_WORD) or
            UNTITLED, place=place, wheels=wheels, limits=kept,
            rules=RulesUsed(version=library.settings.version, hash=library.digest),
        )
        stored = store.create(path, case) if path is not None else None
        return cls(stored, case, library)

    @property
    def case(self) -> Case:
        """The set as it is now."""
        return self._case

    @property
    def about(self) -> WheelSet:
        """Names, condition, dial, who measured with what."""
        assert self._case.wheels is not None
        return self._case.wheels

    @property
    def names(self) -> Mapping[str, str]:
        """The wheels by number."""
        return {str(number): name for number, name in enumerate(self.about.names, start=1)}

    @property
    def dial(self) -> str:
        """What a number typed bare counts in."""
        return self.about.dial

    @property
    def rules(self) -> WheelRules:
        """Judged by the set's own limits, else the general ones."""
        return WheelRules(self.library, self._case.limits, self._case.facts)

    @property
    def new_wheels(self) -> bool | None:
        """Whether the wheels are new; None where nobody said."""
        return {"new": True, "used": False}.get(self.about.state)

    def _judged(self) -> WheelTable:
        return wheel_table(self.rules, [self._row(key, name) for key, name in self.names.items()])

    def set_dial(self, dial: str) -> None:
        """Count bare numbers otherwise from now on."""
        self.describe(dial=dial)

    def describe(self, **words: str) -> None:
        """Say of the set: `state` new or used, `shipped` yes or no, `dial`, `by`, `gauge`.

        Raises
        ------
        InputError : a word that cannot be. CaseError family : it is not saved.
        """
        self._replace(structs.replace(self._case, wheels=_about(self.about, **words)))

    def set_all(
        self, *, title: str, names: Sequence[str], limits: Mapping[str, str], **words: str
    ) -> None:
        """Everything that a form of the set says at once, all or nothing.

        An empty limit goes back to the general one. See `describe` for `words`.

        Raises
        ------
        InputError family : a text that cannot be, or fewer names than wheels that were measured.
        """
        kept = {**self._case.limits}
        for name, value in limits.items():
            kept.pop(name, None)
            if value.strip():
                kept[name] = _limit(self.library, name, value)
        used = max((int(entry.wheel or 0) for entry in self._case.entries), default=0)
        if len(names) < used:
            raise InputError(f"wheel {used} has entries already", "names",
                             f"write {used} names or more")
        wheels = _about(structs.replace(self.about, names=_names(names)), **words)
        named = _word(title, "title", LONGEST_WORD) or self._case.title
        self._replace(structs.replace(self._case, title=named, wheels=wheels, limits=kept))

    def _put(
        self, key: str, said: list[Assignment], taken_back: tuple[str, ...]
    ) -> tuple[Entry, ...]:
        drafts = [*(retraction(self._case, each) for each in taken_back)]
        for each in said:
            finding = finding_named(self.library, each.finding)
            value, is_measured = read_value(finding, each.value, self.names[key])
            drafts.append(Draft(
                kind="reading" if is_measured else "answer", finding=finding.id, wheel=key,
                value=value, readings=each.readings, angles=each.angles))
        case, entries = append(self._case, drafts)
        self._replace(case)
        return entries

    def _retract(self, ids: tuple[str, ...]) -> None:
        case, _ = append(self._case, [retraction(self._case, each) for each in ids])
        self._replace(case)

    def _row(self, key: str, name: str) -> WheelRow:
        alone = of_wheel(self._case, key)
        readings = {finding: entries for (finding, _), entries in readings_together(alone).items()
                    if finding in SURFACES}
        looks = {entry.finding: entry.value for entry in active_entries(alone)
                 if entry.finding in LOOKS}
        return wheel_row(self.rules, key, name, readings, looks, self.new_wheels,
                         self.about.shipped == "yes")

    @contextmanager
    def together(self) -> Iterator[None]:
        """What is done inside is saved at once when it ends well, or not at all."""
        before, self._waiting = self._case, True
        try:
            yield
        except BaseException:
            self._case = before
            raise
        finally:
            self._waiting = False
        self._replace(self._case)

    def _follow(self, case: Case) -> Case:
        return case

    def _held(self, case: Case, where: str) -> Case:
        _check(self.library, case, where)
        return case

    def _believe(self, made: Case) -> None:
        self._case = made


def _check(library: Library, case: Case, where: str) -> None:
    """Hold all that counts in a set against the rules."""
    if case.wheels is None:
        raise CaseError("this is a car's visit and no set of wheels", where,
                        "open it with 'vibecheck wizard'")
    check_values(library, case, where)
    for number in range(1, len(case.wheels.names) + 1):
        for entry in active_entries(of_wheel(case, str(number))):
            at = f"{where}: entry {entry.id}"
            if entry.finding not in _KNOWN or entry.corner is not None:
                raise CaseDamagedError(
                    f"'{entry.finding[:60]}' is nothing that a wheel by itself tells", at,
                    f"write one of {', '.join(_KNOWN)}")
            try:
                read_value(finding_named(library, entry.finding), entry.value, at)
            except InputError as error:
                raise CaseDamagedError(error.what, error.where or at, error.instead) from None


def _limit(library: Library, name: str, value: str) -> str:
    """An own limit as it is kept; one that lets a rejected wheel pass is refused."""
    kept = read_limit(library, name, value)
    if parse(kept, Quantity.LENGTH).value > REJECT_MM:
        raise InputError(f"a limit of {kept[:40]} lets a wheel pass that inspection rejects", name,
                         f"write up to {REJECT_MM:g} mm (1/8 in, 49 CFR 570.10(b))")
    return kept


def _names(names: Sequence[str]) -> list[str]:
    usual_names(len(names))  # refuses a count that cannot be
    kept = [_word(name, "name", LONGEST_NAME) for name in names]
    if not all(kept):
        raise InputError("a wheel has no name", "", "write a name for each, such as 1, 2, 3, 4")
    if len({name.lower() for name in kept}) < len(kept):
        raise InputError("two wheels have the same name", "", "give each its own")
    return kept


def _word(text: str, what: str, longest: int) -> str:
    plain = " ".join(text.split())
    if len(plain) > longest:
        raise InputError(f"the {what} has {len(plain)} characters", "", f"write at most {longest}")
    return plain


def _about(wheels: WheelSet, **words: str) -> WheelSet:
    allowed: dict[str, tuple[str, ...]] = {
        "state": get_args(WheelState), "shipped": get_args(YesNo), "dial": get_args(DialName)}
    kept = {}
    for name, word in words.items():
        plain = _word(word, name, LONGEST_WORD)
        if name in allowed and plain not in allowed[name]:
            raise InputError(f"'{plain[:40]}' cannot be", name,
                             f"write one of {', '.join(filter(None, allowed[name]))}")
        kept[name] = plain
    return structs.replace(wheels, **kept)
