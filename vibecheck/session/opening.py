"""The customer speaks first: free words, what they may mean, and what of it is taken.

Nothing is taken unasked: every meaning is shown with the words it came from, ticked unless another
one says otherwise, and can be left out. What is taken goes into the case together: the words as a
note, the meanings as answers.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from vibecheck.casebook.case import Entry
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Scope
from vibecheck.session.answers import Assignment, drafts
from vibecheck.session.open_case import OpenCase
from vibecheck.session.words.kinds import FINDING

if TYPE_CHECKING:
    from vibecheck.session.words.offered import Offer

KIND = FINDING  # the finding that says what kind of complaint it is


@dataclass(frozen=True)
class Meaning:
    """One answer that the words may mean, and the words it came from."""

    offer: Offer
    words: str

    @property
    def ticked(self) -> bool:
        """Whether it is taken unless a person leaves it out: not where another says otherwise."""
        return not self.offer.clash


@dataclass(frozen=True)
class Understood:
    """What was said and what it may mean. `kind` is the kind of complaint, None if not heard."""

    text: str
    meanings: tuple[Meaning, ...]
    kind: str | None


def understand(library: Library, text: str, speed_unit: str) -> Understood:
    """What a customer's words may mean.

    Parameters
    ----------
    speed_unit : in which a bare speed is read, mph or km/h.
    """
    # Loaded here: most that is done in a visit needs no ear.
    from vibecheck.session.words.hear import Ear, hear

    heard = hear(library, text, Ear(speed_unit=speed_unit))
    meanings = tuple(
        Meaning(offer, heard.words(text, offer)) for offer in heard.offers
        if offer.corner is not None or library.findings[offer.finding].scope is Scope.VEHICLE
    )
    return Understood(text, meanings, heard.kind)


def chosen(
    said: Understood, left_out: Collection[int] = (), put_in: Collection[int] = ()
) -> tuple[Assignment, ...]:
    """The answers of the meanings that count.

    Parameters
    ----------
    left_out : places in `said.meanings` of those that a person unticked.
    put_in : places of those that a person ticked although another one says otherwise.
    """
    return tuple(
        Assignment(each.offer.finding, each.offer.value, each.offer.corner)
        for place, each in enumerate(said.meanings)
        if (each.ticked or place in put_in) and place not in left_out
    )


def take(
    opened: OpenCase,
    said: Understood,
    left_out: Collection[int] = (),
    put_in: Collection[int] = (),
) -> tuple[Entry, ...]:
    """Keep the words, and the meanings that count (`chosen`); all or nothing.

    Raises
    ------
    InputError : nothing was said, or an answer cannot be used. CaseError family : it is not saved.
    """
    if not said.text.strip():
        raise InputError("nothing was said", "", "write the customer's words")
    answers = chosen(said, left_out, put_in)
    drafts(opened.library, opened.diagnosis.facts, answers, "")  # refused before anything is kept
    note = opened.note(said.text.strip(), heard=True)
    return (note, *(opened.answer(answers) if answers else ()))


def wants_opening(opened: OpenCase) -> bool:
    """Whether nothing was said yet."""
    return not opened.case.entries
