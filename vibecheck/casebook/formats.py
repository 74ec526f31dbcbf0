"""Older shapes of a case file, brought up to the present one step at a time.

`STEPS[n]` turns the raw data of a file of format n into format n + 1. A step gets and gives plain
dicts, lists and texts, exactly as they stand in the file, and must not look at the present shape.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from vibecheck.casebook.case import FORMAT
from vibecheck.errors import CaseDamagedError, CaseTooNewError

Raw = dict[str, Any]
Step = Callable[[Raw], Raw]
KEY = "vibecheck_case"


def _customer_and_remedies(raw: Raw) -> Raw:
    """Format 2 adds the customer, remedies as entries, the former visit; all may be missing."""
    return raw


def _sets_of_wheels(raw: Raw) -> Raw:
    """Format 3 adds sets of wheels without a car; no older case is one."""
    return raw


STEPS: Mapping[int, Step] = {1: _customer_and_remedies, 2: _sets_of_wheels}


def upgrade(raw: Raw, file: str, steps: Mapping[int, Step] | None = None) -> Raw:
    """The raw data of a case in the present format.

    Raises
    ------
    CaseTooNewError : a newer version of vibecheck wrote the file.
    CaseDamagedError : the format is missing, is no number, or is older than any known.
    """
    steps = STEPS if steps is None else steps
    written = _format_of(raw, file)
    if written > FORMAT:
        raise CaseTooNewError(
            f"the case has format {written}, this vibecheck reads up to {FORMAT}", file,
            "install a newer vibecheck",
        )
    for number in range(written, FORMAT):
        if number not in steps:
            raise CaseDamagedError(
                f"the case has format {written}, which is not known", file,
                f"write '{KEY}: {FORMAT}'",
            )
        raw = {**steps[number](raw), KEY: str(number + 1)}
    return raw


def _format_of(raw: Raw, file: str) -> int:
    text = raw.get(KEY)
    if not isinstance(text, str) or not (text.isascii() and text.isdigit() and len(text) < 10):
        raise CaseDamagedError(
            "the file is not a whole case: the format is missing or not a number", file,
            f"write '{KEY}: {FORMAT}' on a line of its own",
        )
    return int(text)
