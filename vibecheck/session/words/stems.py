"""Words cut to what their endings leave in common, and words mistyped by one letter.

`stem` is a short list of English endings, enough that "shakes", "shaking" and "shake", or
"vibrates" and "vibration", meet; it is no linguist. `Speller` finds the word of a vocabulary that
differs from a word by one letter added, lost, changed or swapped with its neighbor: words that
agree after one letter is taken from each are compared, so that a look-up costs as much as the word
is long.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

LONGEST_WORD = 30  # letters; a longer one is no word
SHORTEST_MISSPELT = 5  # letters; in a shorter word one letter makes too many other words
_VOWELS = frozenset("aeiouy")
_KEPT_DOUBLE = frozenset("lszf")
_NO_SILENT_E = frozenset("wxy")


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """The part of a lower case word without apostrophes that its endings share."""
    if not 3 < len(word) <= LONGEST_WORD or not word.isalpha():
        return word
    word = _without_plural(word)
    if word.endswith("ly") and len(word) >= 6:
        word = word[:-2]
    word = _without_tense(word)
    if word.endswith("tion") and len(word) >= 7:
        word = word[:-3]
    if word.endswith("e") and len(word) >= 5:
        word = word[:-1]
    return word


def _without_plural(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "shes", "ches", "xes", "zes", "oes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def _without_tense(word: str) -> str:
    if word.endswith("ied") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith("eed"):
        return word
    for ending in ("ing", "ed"):
        left = word[: -len(ending)]
        if word.endswith(ending) and len(left) >= 3 and _VOWELS.intersection(left[:-1]):
            return _mended(left)
    return word


def _mended(left: str) -> str:
    """What is left of a verb: a doubled letter made single, a silent e given back."""
    if len(left) > 2 and left[-1] == left[-2] and left[-1] not in _KEPT_DOUBLE:
        return left[:-1]
    if len(left) == 3 and left[-1] not in _VOWELS | _NO_SILENT_E:
        return left + "e"
    return left


class Speller:
    """A vocabulary that knows its words when one letter is wrong.

    Parameters
    ----------
    words : the vocabulary, lower case.
    ordinary : words that are never taken for a mistyped one.
    """

    def __init__(self, words: Iterable[str], ordinary: Iterable[str] = ()) -> None:
        self._ordinary = frozenset(ordinary)
        self._words = frozenset(words)
        self._near: dict[str, list[str]] = {}
        for word in sorted(self._words):
            if len(word) >= SHORTEST_MISSPELT and word.isalpha():
                for cut in _cuts(word):
                    self._near.setdefault(cut, []).append(word)

    def __contains__(self, word: str) -> bool:
        return word in self._words

    def meant(self, word: str) -> str | None:
        """The word of the vocabulary meant by a mistyped one, or None."""
        right_length = SHORTEST_MISSPELT <= len(word) <= LONGEST_WORD
        if not right_length or not word.isalpha() or word in self._ordinary:
            return None
        for cut in _cuts(word):
            for other in self._near.get(cut, ()):
                if other[0] == word[0] and one_letter_apart(word, other):
                    return other
        return None


def _cuts(word: str) -> list[str]:
    """The word, and the word with each of its letters taken out."""
    return [word, *dict.fromkeys(word[:k] + word[k + 1 :] for k in range(len(word)))]


def one_letter_apart(one: str, two: str) -> bool:
    """Whether one letter added, lost, changed or swapped with its neighbor makes them alike."""
    if one == two:
        return True
    short, long = sorted((one, two), key=len)
    start = 0
    while start < len(short) and short[start] == long[start]:
        start += 1
    if len(long) == len(short) + 1:
        return short[start:] == long[start + 1 :]
    if len(long) != len(short):
        return False
    swapped = short[start : start + 2] == long[start : start + 2][::-1]
    return short[start + 1 :] == long[start + 1 :] or (
        swapped and short[start + 2 :] == long[start + 2 :]
    )
