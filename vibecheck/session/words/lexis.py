"""The lexicon of the rules, made ready for reading: words by use, words for words, phrases by a key.

Phrases and texts go the same way: endings off, fillers out, several words that stand for one made
one. So what a mechanic writes into the rules meets what a person says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from vibecheck.knowledge.check_lexicon import GROUP
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Hint
from vibecheck.knowledge.words import WordUse
from vibecheck.session.words.cut import raw_words
from vibecheck.session.words.stems import Speller, stem

SLACK = 2  # words that may stand between those of a phrase
SLACK_IN_ORDER = 1
_NO_MEMBERS = (WordUse.FILLER, WordUse.ORDINARY, WordUse.AS_WRITTEN)
_KEPT = 4  # compiled lexicons kept


@dataclass(frozen=True, eq=False)
class Phrase:
    """What a phrase wants: at each place one of some stems; `key` is the place looked up first."""

    hint: Hint
    wants: tuple[frozenset[str], ...]
    ordered: bool
    denies: bool  # it holds a word of denial itself
    key: int

    @property
    def reach(self) -> int:
        """The most words from its first to its last; one more between for each beyond two."""
        more = max(0, len(self.wants) - 2)
        return len(self.wants) + (SLACK_IN_ORDER if self.ordered else SLACK) + more


@dataclass(eq=False)
class Lexis:
    """A compiled lexicon. `groups` are the stems of each group, `uses` what a stem is used for."""

    uses: dict[str, frozenset[WordUse]] = field(default_factory=dict)
    groups: dict[str, frozenset[str]] = field(default_factory=dict)
    same: dict[str, list[tuple[tuple[str, ...], str]]] = field(default_factory=dict)
    phrases: dict[str, list[Phrase]] = field(default_factory=dict)
    speller: Speller = field(default_factory=lambda: Speller(()))
    as_written: frozenset[str] = frozenset()

    def is_(self, word: str, use: WordUse) -> bool:
        """Whether a stem has this use."""
        return use in self.uses.get(word, ())

    def stem(self, word: str) -> str:
        """The stem of a lower case word, or the word itself where its ending matters."""
        return word if word in self.as_written else stem(word)

    def content(self, words: Iterable[str]) -> list[str]:
        """Stems of lower case words, without fillers."""
        stems = [self.stem(word) for word in words]
        return [each for each in stems if not self.is_(each, WordUse.FILLER)] or stems

    def merge(self, stems: list[str]) -> Iterator[tuple[str, int]]:
        """Stems with those that stand for one made one, each with how many it was made of."""
        at = 0
        while at < len(stems):
            name, length = self._same_at(stems, at)
            yield name, length
            at += length

    def _same_at(self, stems: list[str], at: int) -> tuple[str, int]:
        for pattern, name in self.same.get(stems[at], ()):
            if tuple(stems[at : at + len(pattern)]) == pattern:
                return name, len(pattern)
        return stems[at], 1


_compiled: dict[str, Lexis] = {}


def lexis_of(library: Library) -> Lexis:
    """The compiled lexicon of a library; compiled once for each content of the rules."""
    known = _compiled.get(library.digest)
    if known is None:
        while len(_compiled) >= _KEPT:
            _compiled.pop(next(iter(_compiled)))
        known = _compiled[library.digest] = _compile(library)
    return known


def _compile(library: Library) -> Lexis:
    made = Lexis()
    made.as_written = frozenset(
        word
        for each in library.word_lists
        if each.use is WordUse.AS_WRITTEN
        for word in _words_of(each.words)
    )
    uses: dict[str, set[WordUse]] = {}
    for each in library.word_lists:
        if each.use is WordUse.FILLER:
            for word in _words_of(each.words):
                uses.setdefault(stem(word), set()).add(WordUse.FILLER)
    made.uses = {word: frozenset(found) for word, found in uses.items()}
    for each in library.word_lists:
        if each.use not in _NO_MEMBERS:
            _take(made, uses, each.id, each.use, each.words)
    for patterns in made.same.values():
        patterns.sort(key=lambda item: -len(item[0]))
    made.uses = {word: frozenset(found) for word, found in uses.items()}
    made.speller = _speller(library)
    for hint in library.lexicon:
        for phrase in hint.words:
            _add(made, _phrase(made, hint, phrase))
    return made


def _take(
    made: Lexis, uses: dict[str, set[WordUse]], name: str, use: WordUse, words: list[str]
) -> None:
    """One list of words: several that stand for one, and what each is used for."""
    members = set()
    for text in words:
        stems = tuple(made.content(raw_words(text)))
        if not stems:
            continue
        one = stem(name) if use is WordUse.SAME else "_".join(stems)
        if len(stems) > 1 or use is WordUse.SAME:
            made.same.setdefault(stems[0], []).append((stems, one))
        members.add(one)
    if use is WordUse.GROUP:
        made.groups[name] = made.groups.get(name, frozenset()) | members
    elif use is not WordUse.SAME:
        for member in members:
            uses.setdefault(member, set()).add(use)


def _speller(library: Library) -> Speller:
    """Every word that the lexicon holds, as written and as stem."""
    texts = [phrase for hint in library.lexicon for phrase in hint.words]
    ordinary: list[str] = []
    for each in library.word_lists:
        (ordinary if each.use is WordUse.ORDINARY else texts).extend(each.words)
    words = set(_words_of(GROUP.sub(" ", text) for text in texts))
    return Speller(words | {stem(word) for word in words}, _words_of(ordinary))


def _words_of(texts: Iterable[str]) -> Iterator[str]:
    for text in texts:
        yield from raw_words(text)


def _phrase(made: Lexis, hint: Hint, text: str) -> Phrase:
    wants: list[frozenset[str]] = []
    for index, part in enumerate(GROUP.split(text)):  # every second part is the name of a group
        if index % 2:
            wants.append(made.groups.get(part, frozenset()))
        elif stems := [] if not part.strip() else made.content(raw_words(part)):
            wants += [frozenset((word,)) for word, _ in made.merge(stems)]
    if len(wants) > 1:  # a filler beside a group
        wants = [want for want in wants if not _filler(made, want)] or wants
    links = [any(made.is_(word, WordUse.LINK) for word in want) for want in wants]
    denies = [any(made.is_(word, WordUse.DENIAL) for word in want) for want in wants]
    key = min(
        range(len(wants)),
        key=lambda k: (links[k] or denies[k], len(wants[k]), -max(map(len, wants[k]), default=0)),
    )
    return Phrase(hint, tuple(wants), any(links) or any(denies), any(denies), key)


def _filler(made: Lexis, want: frozenset[str]) -> bool:
    return all(made.is_(word, WordUse.FILLER) for word in want)


def _add(made: Lexis, phrase: Phrase) -> None:
    for word in phrase.wants[phrase.key]:
        made.phrases.setdefault(word, []).append(phrase)
