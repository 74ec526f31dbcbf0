"""Everything that can go wrong, each with one sentence for a person.

VibecheckError
    InputError            something a person typed cannot be used
        ReadingError      a reading, or a list of readings
        VehicleError      a fact of the vehicle (tire size, corner, layout)
        RecordError       an accelerometer record
    YamlError             a YAML text has faults (carries all of them)
    RulesError            the rule library has faults (carries all of them)
    CaseError             a case file
        CaseNotFoundError
        CaseDamagedError
        CaseTooNewError
        CaseBusyError
        CaseNotSavedError
    ArchiveError          the index over a folder of visits
    AddOnMissingError     an optional package is not installed

A message says what is wrong, where, and what to write instead.
"""

from __future__ import annotations

from dataclasses import dataclass


class VibecheckError(Exception):
    """Root of the family; `str(error)` is the sentence for the person."""


class InputError(VibecheckError):
    """Something a person typed cannot be used.

    Parameters
    ----------
    what : what is wrong, in plain words, without a full stop.
    where : the file, field or option it stands in ("" if it is obvious).
    instead : what to write instead, with an example ("" if nothing helps).
    """

    def __init__(self, what: str, where: str = "", instead: str = "") -> None:
        self.what = what
        self.where = where
        self.instead = instead
        super().__init__(sentence(what, where, instead))


class ReadingError(InputError):
    """A reading, or a list of readings, cannot be used."""


class VehicleError(InputError):
    """A fact of the vehicle cannot be used."""


class RecordError(InputError):
    """An accelerometer record cannot be used."""


class ArchiveError(InputError):
    """The index over a folder of visits cannot be used."""


class CaseError(InputError):
    """A case file cannot be used."""


class CaseNotFoundError(CaseError):
    """There is no such case file."""


class CaseDamagedError(CaseError):
    """The case file is empty, cut short, or not of the right shape."""


class CaseTooNewError(CaseError):
    """The case file was written by a newer version."""


class CaseBusyError(CaseError):
    """Somebody else holds the case file's lock."""


class CaseNotSavedError(CaseError):
    """The case could not be written to disk; the old file is unchanged."""


class AddOnMissingError(InputError):
    """An optional package is not installed."""


@dataclass(frozen=True, order=True)
class Fault:
    """One fault in a rule file: where it is and what to write instead."""

    file: str
    line: int
    what: str
    instead: str = ""

    def __str__(self) -> str:
        return sentence(self.what, f"{self.file}:{self.line}", self.instead)


class YamlError(VibecheckError):
    """A YAML text cannot be read; `faults` holds every fault found."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class RulesError(VibecheckError):
    """The rule library has faults; `faults` holds every one of them."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(faults)
        count = len(self.faults)
        noun = "fault" if count == 1 else "faults"
        lines = "\n".join(str(fault) for fault in self.faults)
        super().__init__(f"the rules have {count} {noun}:\n{lines}")


def sentence(what: str, where: str = "", instead: str = "") -> str:
    """One line: where, what, and what to write instead; control characters shown, not sent."""
    text = f"{where}: {what}" if where else what
    if instead:
        text = f"{text}; {instead}"
    return "".join(ch if ch.isprintable() else repr(ch)[1:-1] for ch in text)
