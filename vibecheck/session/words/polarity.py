"""Whether a phrase that stands in a text is said, denied or doubted there.

A denial reaches forward over a few words, up to a pause, "but", "and" or "since"; over a comma only
in a list that ends with "or". A word such as "smooth" or "goes away" denies the words that say
*when*: "fine when braking". A denial of such a word ("does not go away") leaves the matter open.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from vibecheck.knowledge.words import Reads, WordUse
from vibecheck.session.words.cut import Pause
from vibecheck.session.words.lexis import Lexis
from vibecheck.session.words.matches import PhraseMatch
from vibecheck.session.words.tokens import Token

LIST_REACH = 2  # words more for each "or"
REACH = 4  # words over which a denial reaches forward
DANGER_REACH = 9  # the same where the phrase tells of a danger
AFTER = 3  # words after a phrase in which it may be denied
SOFT_REACH = 2
NEAR = 3


class Stand(StrEnum):
    """How a phrase is meant."""

    SAID = "said"
    DENIED = "denied"
    DOUBTED = "doubted"


class Reader:
    """Reads how phrases are meant in one text."""

    def __init__(self, words: Sequence[Token], lexis: Lexis) -> None:
        self._words, self._lexis = words, lexis

    def stand(self, match: PhraseMatch, danger: bool = False) -> Stand:
        """Whether a match is said, denied or doubted."""
        if match.phrase.denies:
            return Stand.SAID
        condition = match.phrase.hint.reads is Reads.CONDITION
        inside = [k for k in range(match.first, match.last) if k not in match.at]
        if any(self.is_(k, WordUse.DENIAL) for k in inside):
            return Stand.DENIED
        before = self._before(match.first, condition, danger)
        if before is not Stand.SAID:
            return before
        return self._after(match.last, condition, danger)

    def is_(self, place: int, use: WordUse) -> bool:
        """Whether the word at a place has a use."""
        return self._lexis.is_(self._words[place].word, use)

    def near_before(
        self,
        match: PhraseMatch,
        use: WordUse,
        reach: int = SOFT_REACH,
        beside: frozenset[int] = frozenset(),
    ) -> bool:
        """Whether a word of this use stands shortly before a match, or among its words.

        `beside` are places of words before it that belong to others.
        """
        places = range(match.last - 1, max(-1, match.first - reach - 1), -1)
        for k in places:
            if self.is_(k, use) and (k >= match.first or k not in beside):
                return True
            if k < match.first and self.parted(k):
                return False
        return False

    def near_after(self, match: PhraseMatch, use: WordUse, reach: int = 1) -> bool:
        """Whether a word of this use stands shortly after a match."""
        for k in range(match.last + 1, min(len(self._words), match.last + reach + 1)):
            if self.parted(k - 1) or self._words[k].pause is not Pause.NONE:
                return False
            if self.is_(k, use):
                return True
        return False

    def parted(self, place: int) -> bool:
        """Whether a new thought begins after a place."""
        if place + 1 >= len(self._words):
            return True
        after = self._words[place + 1]
        return (
            after.sentence != self._words[place].sentence
            or self.is_(place + 1, WordUse.BREAK)
            or self.is_(place, WordUse.BREAK)
        )

    def _before(self, first: int, condition: bool, danger: bool) -> Stand:
        gone, reach = False, DANGER_REACH if danger else REACH
        k = first
        while k > max(0, first - reach):
            k -= 1
            if self._stops(k, first):
                break
            if self._words[k].word in ("or", "nor"):
                reach += LIST_REACH
            mended = danger and first - k <= NEAR and self.is_(k, WordUse.MENDED)
            if mended or self.is_(k, WordUse.UNSURE):
                return Stand.DOUBTED
            if self.is_(k, WordUse.DENIAL):
                return Stand.DOUBTED if gone else Stand.DENIED
            gone = gone or (condition and first - k <= NEAR and self.is_(k, WordUse.GONE))
        return Stand.DENIED if gone else Stand.SAID

    def _stops(self, k: int, first: int) -> bool:
        """Whether a denial at or before a place cannot reach the phrase."""
        if self.parted(k) or self.is_(k, WordUse.SINCE) or self._words[k].word == "and":
            return True
        return self._words[k + 1].pause is Pause.PART and not self._listed(k, first)

    def _listed(self, k: int, first: int) -> bool:
        """Whether the words from a place on are a list that ends with "or"."""
        last = min(len(self._words), first + REACH)
        return any(self._words[j].word in ("or", "nor") for j in range(k + 1, last))

    def _after(self, last: int, condition: bool, danger: bool) -> Stand:
        end = min(len(self._words), last + AFTER + 1)
        for k in range(last + 1, end):
            if k == last + 1 and self._words[k].word == "none":
                return Stand.DENIED
            if self.parted(k - 1) or self._words[k].word == "and":
                break
            pause = self._words[k].pause is not Pause.NONE
            if self.is_(k, WordUse.DENIAL) and self.closes(k) and (danger or k <= last + 2):
                return Stand.DENIED
            if pause:
                break
            if (condition or danger) and self.is_(k, WordUse.GONE) and k <= last + 2:
                return Stand.DENIED
        return Stand.SAID

    def closes(self, k: int) -> bool:
        """Whether nothing follows a word before the next pause."""
        return k + 1 >= len(self._words) or self._words[k + 1].pause is not Pause.NONE
