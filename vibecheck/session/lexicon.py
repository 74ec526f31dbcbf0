"""The customer's own words matched to answers they may mean.

The match is plain and can be followed by hand: a phrase of the lexicon stands in the text, word by
word; a phrase word ending in "*" matches any word that begins so. A phrase with a word of denial
shortly before it is left out. A speed in the text is offered as the worst speed. Nothing is ever
applied: a suggestion is shown, and a person confirms it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Computed
from vibecheck.session.answers import measured

LONGEST_TEXT = 20_000
DENIALS = frozenset(
    {"no", "not", "never", "without", "isn't", "doesn't", "don't", "didn't", "nothing", "hardly"}
)
DENIAL_REACH = 3  # words before a phrase in which a denial counts
_WORD = re.compile(r"[a-z0-9][a-z0-9'/-]*")
_SPEED = re.compile(r"\b(\d{1,3})\s?(mph|km/?h|kph|kmh)(?![a-z])")


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """An answer the words may mean; `because` is the part of the text that suggests it."""

    finding: str
    value: str
    name: str
    shown: str
    because: str


def suggest(library: Library, text: str) -> tuple[Suggestion, ...]:
    """Answers that a text suggests, in the order of the text, each finding once.

    Parameters
    ----------
    library : checked rules with their lexicon.
    text : what the customer said, any length (the first 20,000 characters are read).
    """
    lowered = text[:LONGEST_TEXT].lower().replace("\u2019", "'")
    spans = [(match.group(), match.start()) for match in _WORD.finditer(lowered)]
    tokens = [token for token, _ in spans]
    found: dict[str, tuple[int, int, Suggestion]] = {}
    for hint in library.lexicon:
        for phrase in hint.words:
            hit = _find(tokens, phrase)
            if hit is None:
                continue
            start, length = hit
            node = library.findings[hint.finding]
            made = Suggestion(
                finding=hint.finding,
                value=hint.state,
                name=node.name,
                shown=node.states.get(hint.state, hint.state),
                because=" ".join(tokens[start : start + length]),
            )
            known = found.get(hint.finding)
            if known is None or length > known[1]:
                found[hint.finding] = (start, length, made)
    ordered = [each for _, _, each in sorted(found.values(), key=lambda item: item[:2])]
    return (*ordered, *_speeds(library, lowered))


def _find(tokens: list[str], phrase: str) -> tuple[int, int] | None:
    """Where a phrase stands in the text without a denial before it, and its length in words."""
    wanted = _phrase_words(phrase)
    for start in range(len(tokens) - len(wanted) + 1):
        if all(_same(tokens[start + k], word) for k, word in enumerate(wanted)):
            before = tokens[max(0, start - DENIAL_REACH) : start]
            if not DENIALS.intersection(before) or DENIALS.intersection(wanted):
                return start, len(wanted)
    return None


def _phrase_words(phrase: str) -> list[str]:
    return [word for word in phrase.lower().split() if word.strip("*")]


def _same(token: str, word: str) -> bool:
    return token.startswith(word[:-1]) if word.endswith("*") else token == word


def _speeds(library: Library, lowered: str) -> tuple[Suggestion, ...]:
    """The first possible speed in the text, as the worst speed."""
    for finding in library.findings.values():
        if finding.computed is not Computed.WORST_SPEED or finding.measure is None:
            continue
        for match in _SPEED.finditer(lowered):
            value = f"{match[1]} {'mph' if match[2] == 'mph' else 'km/h'}"
            try:
                measured(finding.measure, value)
            except InputError:
                continue
            return (
                Suggestion(
                    finding=finding.id,
                    value=value,
                    name=finding.name,
                    shown=value,
                    because=match[0],
                ),
            )
    return ()
