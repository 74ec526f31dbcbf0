"""The house style of the rules, beyond their shape: every check in a list.

A check takes the book and yields issues. `SINGLE` checks look at one rule at a time, `NAMES`
at whether what a rule names exists, `WHOLE` at how all the rules hang together. The latter two
need files that could be read to their end, the last also that no rule is missing: else one
fault would be reported many times over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from vibecheck.knowledge import (
    check_advice,
    check_laws,
    check_lexicon,
    check_measures,
    check_names,
    check_neighbours,
    check_separable,
    check_single,
    check_triggers,
    check_whole,
)
from vibecheck.knowledge.book import Book, Issue

Check = Callable[[Book], Iterator[Issue]]

SINGLE: list[Check] = [*check_single.CHECKS, *check_measures.CHECKS]
NAMES: list[Check] = [*check_names.CHECKS, *check_triggers.CHECKS, *check_lexicon.CHECKS]
WHOLE: list[Check] = [*check_whole.CHECKS]
LAWS: list[Check] = [*check_laws.CHECKS]
ADVICE: list[Check] = [
    *check_advice.CHECKS, *check_separable.CHECKS, *check_neighbours.CHECKS,
]  # fmt: skip


def errors(book: Book, unread: bool = False, complete: bool = True) -> list[Issue]:
    """Every error of the rules.

    Parameters
    ----------
    unread : a file could not be read to its end.
    complete : every rule was read in full.
    """
    checks = [*SINGLE]
    if not unread:
        checks += NAMES
    if complete:
        checks += WHOLE
    return [issue for check in checks for issue in check(book)]


def advice(book: Book) -> list[Issue]:
    """What could be better in rules without errors, and the laws that are not yet kept."""
    return [issue for check in (*LAWS, *ADVICE) for issue in check(book)]
