"""The words that customers use, held against the findings and word lists that they name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_names import no_state, unknown
from vibecheck.knowledge.model import Hint
from vibecheck.knowledge.words import WordUse

BEGINNING = "started"  # the finding of how it began, answered by the `since` of a hint
NOTHING = "nothing"  # a denial that answers nothing
GROUP = re.compile(r"<([^<>]*)>")


def hints_exist(book: Book) -> Iterator[Issue]:
    """The answers that the customer's words suggest exist."""
    for index, hint in enumerate(book.library.lexicon):
        where = ("lexicon", str(index))
        if trouble := unknown(book, "findings", hint.finding):
            yield book.error(*where, ("finding",), *trouble)
        elif finding := book.library.findings.get(hint.finding):
            for key, state in (("state", hint.state), ("denied", hint.denied)):
                if state not in (*finding.states, *(("", NOTHING) if key == "denied" else ())):
                    yield book.error(*where, (key,), *no_state(finding, state))
        beginning = book.library.findings.get(BEGINNING)
        if beginning and hint.since and hint.since not in beginning.states:
            yield book.error(*where, ("since",), *no_state(beginning, hint.since))
        if not hint.words:
            what = "no words are given"
            yield book.error(*where, ("words",), what, "write for example words: [shimmy, wobbles]")
        yield from _groups(book, hint, where)


def _groups(book: Book, hint: Hint, where: tuple[str, str]) -> Iterator[Issue]:
    """The groups that a phrase calls exist."""
    known = {each.id for each in book.library.word_lists if each.use is WordUse.GROUP}
    for phrase in hint.words:
        for name in GROUP.findall(phrase):
            if name not in known:
                instead = f"write one of {', '.join(sorted(known))}" if known else "write the words"
                what = f"there is no group of words '{name}'"
                yield book.error(*where, ("words",), what, instead)


def words_given(book: Book) -> Iterator[Issue]:
    """No list of words is empty."""
    for index, each in enumerate(book.library.word_lists):
        if not each.words:
            what = f"the words '{each.id}' are none"
            yield book.error("word_lists", str(index), ("words",), what, "write at least one word")


CHECKS = [hints_exist, words_given]
