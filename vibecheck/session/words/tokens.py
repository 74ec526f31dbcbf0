"""Words with a meaning: spelling mended, endings off, fillers out, several for one made one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vibecheck.knowledge.words import WordUse
from vibecheck.session.words.cut import Pause, Raw
from vibecheck.session.words.lexis import Lexis

MOST_MERGED = 7  # words that may stand for one


@dataclass(frozen=True, slots=True)
class Token:
    """A word with a meaning: stem or what it stands for. `guessed`: it was mistyped."""

    word: str
    start: int
    end: int
    pause: Pause
    sentence: int
    guessed: bool


def tokens(words: list[Raw], lexis: Lexis) -> list[Token]:
    """The words with a meaning, in order."""
    kept = list(_content(words, lexis))
    made: list[Token] = []
    sentence = at = 0
    while at < len(kept):
        run = _run(kept, at)
        name, length = next(lexis.merge([each.word for each in run]))
        if made and kept[at].pause is Pause.FULL:
            sentence += 1
        span = run[:length]
        made.append(
            Token(name, span[0].start, span[-1].end, kept[at].pause, sentence,
                  any(each.guessed for each in span))
        )
        at += length
    return made


def _run(kept: list[Token], at: int) -> list[Token]:
    """The words from here that no pause parts, at most as many as one meaning is made of."""
    run = [kept[at]]
    for each in kept[at + 1 : at + MOST_MERGED]:
        if each.pause is not Pause.NONE:
            break
        run.append(each)
    return run


def _content(words: list[Raw], lexis: Lexis) -> Iterator[Token]:
    pause = Pause.NONE
    for each in words:
        pause = max(pause, each.pause)
        word, guessed = each.word, False
        cut = lexis.stem(word)
        if word not in lexis.speller and cut not in lexis.speller:
            meant = lexis.speller.meant(word) or lexis.speller.meant(cut)
            if meant is not None:
                cut, guessed = lexis.stem(meant), True
        if lexis.is_(cut, WordUse.FILLER):
            continue
        yield Token(cut, each.start, each.end, pause, 0, guessed)
        pause = Pause.NONE
