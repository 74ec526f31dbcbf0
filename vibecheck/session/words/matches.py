"""Where the phrases of a lexicon stand in a text, and which of them give way to longer ones."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vibecheck.knowledge.words import Reads, WordUse
from vibecheck.session.words.cut import Pause
from vibecheck.session.words.lexis import Lexis, Phrase
from vibecheck.session.words.tokens import Token

MOST_PLACES = 12  # places of one phrase that are looked at
_OTHER_THOUGHT = frozenset({"and", "when", "while", "if", "after", "since"})
LONG_WORD = 6  # letters of a mistyped word from which on it may tell of a danger


@dataclass(frozen=True, eq=False)
class PhraseMatch:
    """A phrase that stands in a text; `at` are the places of its words, in the text's order."""

    phrase: Phrase
    at: tuple[int, ...]

    @property
    def first(self) -> int:
        """The place of its first word."""
        return self.at[0]

    @property
    def last(self) -> int:
        """The place of its last word."""
        return self.at[-1]


def matches(words: Sequence[Token], lexis: Lexis) -> list[PhraseMatch]:
    """Every phrase that stands in a text and gives way to none, in the order of the text."""
    seen: dict[int, int] = {}
    found: dict[tuple[int, tuple[int, ...]], PhraseMatch] = {}
    for place, token in enumerate(words):
        for phrase in lexis.phrases.get(token.word, ()):
            seen[id(phrase)] = seen.get(id(phrase), 0) + 1
            if seen[id(phrase)] > MOST_PLACES:
                continue
            at = _placed(phrase, words, place, lexis)
            if at is not None:
                found.setdefault((id(phrase.hint), at), PhraseMatch(phrase, at))
    return sorted(_standing(list(found.values())), key=lambda match: match.at)


def _placed(
    phrase: Phrase, words: Sequence[Token], place: int, lexis: Lexis
) -> tuple[int, ...] | None:
    """The places of a phrase's words around that of its key, or None."""
    at = [place]
    if phrase.ordered:
        for step, wants in ((-1, phrase.wants[: phrase.key][::-1]),
                            (1, phrase.wants[phrase.key + 1 :])):
            edge = place
            for want in wants:
                near = _next(words, edge, step, want, phrase.reach)
                if near is None:
                    return None
                edge = near
                at.append(edge)
    else:
        others = [want for k, want in enumerate(phrase.wants) if k != phrase.key]
        for want in others:
            near = _nearest(words, place, want, at, phrase.reach)
            if near is None:
                return None
            at.append(near)
    at.sort()
    return tuple(at) if _together(words, at, phrase, lexis) else None


def _next(
    words: Sequence[Token], edge: int, step: int, want: frozenset[str], reach: int
) -> int | None:
    for k in range(1, reach):
        place = edge + k * step
        if not 0 <= place < len(words) or words[place].sentence != words[edge].sentence:
            return None
        if words[place].word in want:
            return place
    return None


def _nearest(
    words: Sequence[Token], middle: int, want: frozenset[str], taken: Sequence[int], reach: int
) -> int | None:
    for k in range(1, reach):
        for place in (middle - k, middle + k):
            if (
                0 <= place < len(words)
                and words[place].word in want
                and place not in taken
                and words[place].sentence == words[middle].sentence
            ):
                return place
    return None


def _together(words: Sequence[Token], at: Sequence[int], phrase: Phrase, lexis: Lexis) -> bool:
    """Whether places lie close enough; a comma counts as a word, "but" parts them."""
    inside = words[at[0] + 1 : at[-1] + 1]
    pauses = sum(token.pause is Pause.PART for token in inside)
    if at[-1] - at[0] + 1 + pauses > phrase.reach:
        return False
    if phrase.strict and (pauses or any(token.word in _OTHER_THOUGHT for token in inside)):
        return False
    if phrase.wide:
        return True
    parting = [WordUse.BREAK]
    if not phrase.ordered:
        parting += [WordUse.SINCE, WordUse.SINCE_THEN]
    return not any(lexis.is_(token.word, use) for token in inside[:-1] for use in parting)


def _standing(found: list[PhraseMatch]) -> Iterator[PhraseMatch]:
    """Matches whose words do not all stand in a longer one, or that share them."""
    found.sort(key=lambda match: (-len(match.at), match.last - match.first))
    holders: dict[int, list[PhraseMatch]] = {}
    for match in found:
        rivals = holders.get(match.first, [])
        mine = set(match.at)
        if not any(_yields(match, mine, rival) for rival in rivals):
            yield match
            for place in match.at:
                holders.setdefault(place, []).append(match)


def _yields(match: PhraseMatch, mine: set[int], rival: PhraseMatch) -> bool:
    if not mine < set(rival.at):
        return False
    hint = match.phrase.hint
    if hint.finding == rival.phrase.hint.finding:
        return True
    return not (hint.shares or hint.since or hint.reads is Reads.CONDITION)


def mistyped(match: PhraseMatch, words: Sequence[Token]) -> bool:
    """Whether a match rests on a mistyped word too short to tell of a danger by."""
    return any(
        words[k].guessed and words[k].end - words[k].start < LONG_WORD for k in match.at
    )
