"""The lexicon of the rules, made ready for reading: words by use, words for words, phrases.

Phrases and texts go the same way: endings off, fillers out, several words that stand for one made
one. So what a mechanic writes into the rules meets what a person says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from vibecheck.knowledge.check_lexicon import GROUP
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Hint, WordList
from vibecheck.knowledge.words import Level, WordUse
from vibecheck.session.words.cut import raw_words
from vibecheck.session.words.stems import Speller, stem

SLACK = 2  # words that may stand between those of a phrase
SLACK_IN_ORDER = 1
WIDE = 14  # words from first to last of a phrase with "..." in it
_NO_MEMBERS = (WordUse.FILLER, WordUse.ORDINARY, WordUse.AS_WRITTEN)
_KEPT = 4  # compiled lexicons kept


@dataclass(frozen=True, eq=False)
class Phrase:
    """What a phrase wants: at each place one of some stems; `key` is the place looked up first.

    `ordered`: its words stand in this order. `wide`: anywhere in the sentence. `strict`: it tells
    of a danger, so that nothing may come between that begins another thought.
    """

    hint: Hint
    wants: tuple[frozenset[str], ...]
    ordered: bool
    denies: bool  # it holds a word of denial itself
    key: int
    wide: bool = False
    strict: bool = False

    @property
    def reach(self) -> int:
        """The most words from its first to its last; one more between for each beyond two."""
        if self.wide:
            return WIDE
        more = max(0, len(self.wants) - 2)
        return len(self.wants) + (SLACK_IN_ORDER if self.ordered else SLACK) + more


@dataclass(eq=False)
class Lexis:
    """A compiled lexicon.

    `groups` are the stems of each group, `used` those of each use; `one` and `same` tell what one
    word and what several words stand for.
    """

    used: dict[WordUse, set[str]] = field(default_factory=lambda: {use: set() for use in WordUse})
    groups: dict[str, frozenset[str]] = field(default_factory=dict)
    one: dict[str, str] = field(default_factory=dict)
    same: dict[str, list[tuple[tuple[str, ...], str]]] = field(default_factory=dict)
    phrases: dict[str, list[Phrase]] = field(default_factory=dict)
    speller: Speller = field(default_factory=lambda: Speller(()))
    as_written: frozenset[str] = frozenset()

    def is_(self, word: str, use: WordUse) -> bool:
        """Whether a stem has this use."""
        return word in self.used[use]

    def stem(self, word: str) -> str:
        """The stem of a lower case word, or of what it stands for."""
        cut = word if word in self.as_written else stem(word)
        return self.one.get(cut, cut)

    def content(self, words: Iterable[str]) -> list[str]:
        """Stems of lower case words, without fillers."""
        stems = [self.stem(word) for word in words]
        fillers = self.used[WordUse.FILLER]
        return [each for each in stems if each not in fillers] or stems

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
    for each in library.word_lists:
        if each.use is WordUse.FILLER:
            made.used[WordUse.FILLER].update(map(made.stem, _words_of(each.words)))
    for each in library.word_lists:
        if each.use is WordUse.SAME:
            _take_ones(made, each)
    for each in library.word_lists:
        if each.use not in _NO_MEMBERS:
            _take(made, each)
    for patterns in made.same.values():
        patterns.sort(key=lambda item: -len(item[0]))
    made.speller = _speller(library)
    stops = dangers(library)
    for hint in library.lexicon:
        for phrase in hint.words:
            strict = (hint.finding, hint.state) in stops
            _add(made, _phrase(made, hint, phrase, strict))
    return made


def dangers(library: Library) -> frozenset[tuple[str, str]]:
    """Findings and states that by themselves stop the car."""
    return frozenset(
        (trigger.finding, state)
        for caution in library.cautions.values()
        if caution.level is Level.STOP
        for trigger in caution.triggers
        if trigger.finding and not trigger.cause
        for state in trigger.states
    )


def _take_ones(made: Lexis, listed: WordList) -> None:
    """The single words of a list that stand for its id."""
    name = listed.id if listed.id in made.as_written else stem(listed.id)
    for text in listed.words:
        words = made.content(raw_words(text))
        if len(words) == 1 and words[0] != name:
            made.one[words[0]] = name


def _take(made: Lexis, listed: WordList) -> None:
    """One list of words: several that stand for one, and what each is used for."""
    name, use = listed.id, listed.use
    members = set()
    for text in listed.words:
        stems = tuple(made.content(raw_words(text)))
        if not stems:
            continue
        one = made.stem(name) if use is WordUse.SAME else "_".join(stems)
        if len(stems) > 1:
            made.same.setdefault(stems[0], []).append((stems, one))
        members.add(one)
    if use is WordUse.GROUP:
        made.groups[name] = made.groups.get(name, frozenset()) | members
    elif use is not WordUse.SAME:
        made.used[use] |= members


def _speller(library: Library) -> Speller:
    """Every word that the lexicon holds, as written and as stem."""
    texts = [phrase for hint in library.lexicon for phrase in hint.words]
    ordinary: list[str] = []
    for each in library.word_lists:
        (ordinary if each.use is WordUse.ORDINARY else texts).extend(each.words)
    words = set(_words_of(GROUP.sub(" ", text) for text in texts))
    return Speller(words | {stem(word) for word in words}, _words_of(ordinary))


def _words_of(texts: Iterable[str]) -> list[str]:
    return raw_words(" ".join(texts))


def _phrase(made: Lexis, hint: Hint, text: str, strict: bool = False) -> Phrase:
    wide = "..." in text
    wants: list[frozenset[str]] = []
    for index, part in enumerate(GROUP.split(text)):  # every second part is the name of a group
        if index % 2:
            wants.append(made.groups.get(part, frozenset()))
        elif stems := [] if not part.strip() else made.content(raw_words(part)):
            wants += [frozenset((word,)) for word, _ in made.merge(stems)]
    fillers = made.used[WordUse.FILLER]
    if len(wants) > 1:  # a filler beside a group
        wants = [want for want in wants if not want <= fillers] or wants
    links = [not want.isdisjoint(made.used[WordUse.LINK]) for want in wants]
    denies = [not want.isdisjoint(made.used[WordUse.DENIAL]) for want in wants]
    key = min(range(len(wants)), key=lambda k: (links[k] or denies[k], len(wants[k]), k))
    ordered = wide or any(links) or any(denies)
    return Phrase(hint, tuple(wants), ordered, any(denies), key, wide, strict)


def _add(made: Lexis, phrase: Phrase) -> None:
    for word in phrase.wants[phrase.key]:
        made.phrases.setdefault(word, []).append(phrase)
