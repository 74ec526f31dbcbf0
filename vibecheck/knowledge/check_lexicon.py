"""The words that customers use, held against the findings and word lists that they name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_names import no_state, unknown
from vibecheck.knowledge.model import Finding, Hint
from vibecheck.knowledge.words import WordUse

BEGINNING = "started"  # the finding of how it began, answered by the `since` of a hint
NOTHING = "nothing"  # a denial that answers nothing
GROUP = re.compile(r"<([^<>]*)>")

Where = tuple[str, str]


def hints_exist(book: Book) -> Iterator[Issue]:
    """The answers that the customer's words suggest exist."""
    for index, hint in enumerate(book.library.lexicon):
        where = ("lexicon", str(index))
        if trouble := unknown(book, "findings", hint.finding):
            yield book.error(*where, ("finding",), *trouble)
        elif finding := book.library.findings.get(hint.finding):
            yield from _states(book, hint, finding, where)
        beginning = book.library.findings.get(BEGINNING)
        if beginning and hint.since and hint.since not in beginning.states:
            yield book.error(*where, ("since",), *no_state(beginning, hint.since))
        for key, names in (("unless", hint.unless), ("with", hint.with_)):
            for name in names:
                if trouble := unknown(book, "findings", name):
                    yield book.error(*where, (key,), *trouble)


def _states(book: Book, hint: Hint, finding: Finding, where: Where) -> Iterator[Issue]:
    if hint.state not in finding.states:
        yield book.error(*where, ("state",), *no_state(finding, hint.state))
    if hint.denied not in (*finding.states, "", NOTHING):
        yield book.error(*where, ("denied",), *no_state(finding, hint.denied))


def phrases_stand(book: Book) -> Iterator[Issue]:
    """There are phrases, and the groups that they call exist."""
    known = {each.id for each in book.library.word_lists if each.use is WordUse.GROUP}
    for index, hint in enumerate(book.library.lexicon):
        where = ("lexicon", str(index))
        if not hint.words:
            what = "no words are given"
            yield book.error(*where, ("words",), what, "write for example words: [shimmy, wobbles]")
        for name in (name for phrase in hint.words for name in GROUP.findall(phrase)):
            if name not in known:
                instead = f"write one of {', '.join(sorted(known))}" if known else "write the words"
                what = f"there is no group of words '{name}'"
                yield book.error(*where, ("words",), what, instead)


def words_given(book: Book) -> Iterator[Issue]:
    """No list of words is empty."""
    for index, each in enumerate(book.library.word_lists):
        if not each.words:
            what = f"the list '{each.id}' holds no words"
            yield book.error("word_lists", str(index), ("words",), what, "write at least one word")


CHECKS = [hints_exist, phrases_stand, words_given]
