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
        CaseReplacedError
    ArchiveError          the index over a folder of visits
    AddOnMissingError     an optional package is not installed

A message says what is wrong, where, and what to write instead. It is never longer than
`LONGEST_SENTENCE`, whatever was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from msgspec import Struct

LONGEST_SENTENCE = 300  # characters
LONGEST_ECHO = 60  # characters of what was typed
_GAP = "..."
# A pattern is compiled where it is first used: most commands complain of nothing.
_LONG_QUOTE = rf"(?<![^\s(])'[^']{{{LONGEST_ECHO + 1},}}'(?=[\s,;:.)]|$)"


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


class CaseReplacedError(CaseError):
    """The file holds another visit than the one that was opened from it."""


class AddOnMissingError(InputError):
    """An optional package is not installed."""


class RuleFault(Struct, frozen=True, order=True):
    """One fault in a rule file: where it is and what to write instead."""

    file: str
    line: int
    what: str
    instead: str = ""

    def __str__(self) -> str:
        return sentence(self.what, f"{self.file}:{self.line}", self.instead)


class YamlError(VibecheckError):
    """A YAML text cannot be read; `faults` holds every fault found."""

    def __init__(self, faults: list[RuleFault]) -> None:
        self.faults = sorted(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class RulesError(VibecheckError):
    """The rule library has faults; `faults` holds every one of them."""

    def __init__(self, faults: list[RuleFault]) -> None:
        self.faults = sorted(faults)
        count = len(self.faults)
        noun = "fault" if count == 1 else "faults"
        lines = "\n".join(str(fault) for fault in self.faults)
        super().__init__(f"the rules have {count} {noun}:\n{lines}")


def sentence(what: str, where: str = "", instead: str = "") -> str:
    """One line: where, what, and what to write instead; control characters shown, not sent.

    Quoted texts are shortened to what a person needs to know them again, and the whole to
    `LONGEST_SENTENCE`: a place loses its beginning, a list its end, a complaint its middle.
    """
    what = re.sub(_LONG_QUOTE, lambda quote: f"'{quote[0][1 : LONGEST_ECHO - 2]}{_GAP}'", what)
    what, where, instead = (_shown(part) for part in (what, where, instead))
    room = LONGEST_SENTENCE - 2 * bool(where) - 2 * bool(instead)
    most = _share([len(what), len(where), len(instead)], room)
    what, where, instead = _middle_out(what, most), _tail(where, most), _head(instead, most)
    text = f"{where}: {what}" if where else what
    return f"{text}; {instead}" if instead else text


def _shown(text: str) -> str:
    """The text with control characters spelled out; of a huge one no more than can be shown."""
    if len(text) > 2 * LONGEST_SENTENCE:
        text = text[:LONGEST_SENTENCE] + text[-LONGEST_SENTENCE:]
    if text.isprintable():
        return text
    return "".join(ch if ch.isprintable() else repr(ch)[1:-1] for ch in text)


def _share(lengths: list[int], room: int) -> int:
    """How long a part may be so that all fit in; only the longest parts give way."""
    left = sorted(lengths)
    for count in range(len(left), 0, -1):
        if left[-count] * count > room:
            return room // count
        room -= left[-count]
    return LONGEST_SENTENCE


def _head(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - len(_GAP)] + _GAP


def _tail(text: str, most: int) -> str:
    return text if len(text) <= most else _GAP + text[len(text) - most + len(_GAP) :]


def _middle_out(text: str, most: int) -> str:
    """The beginning, with an echo's length of it, and the end of a long text."""
    if len(text) <= most:
        return text
    start = min(LONGEST_ECHO, most // 2)
    return text[:start] + _GAP + text[len(text) - (most - start - len(_GAP)) :]


def did_you_mean(name: str, known: Iterable[str], otherwise: str) -> str:
    """What to write instead of a name that there is not: those most like it, if there are any."""
    from difflib import get_close_matches

    near = get_close_matches(name, list(known), n=3, cutoff=0.5)
    return f"did you mean {' or '.join(near)}" if near else otherwise
