"""What a speed in a text is of the shake: where it begins, is worst, or is gone again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.knowledge.words import WordUse
from vibecheck.session.words.cut import Pause
from vibecheck.session.words.lexis import Lexis
from vibecheck.session.words.numbers import Relation, SpeedSaid
from vibecheck.session.words.tokens import Token

NEAR = 4  # words before a speed in which a bump or the brakes change what it is
BRAKING = "braking"  # the group of words for braking


class Role(StrEnum):
    """What a speed is of the shake."""

    ONSET = "onset"
    WORST = "worst"
    GONE = "gone"  # from it on the shake is weaker or gone


class Cue(StrEnum):
    """What the words around a speed say of it."""

    START = "start"
    WORST = "worst"
    WORSE = "worse"
    GONE = "gone"
    DENIED = "denied"  # no shake there
    OPEN = "open"  # a denial of one of these: the matter stays open


@dataclass(frozen=True, slots=True)
class SpeedRole:
    """A speed and what it is; `sure` where the words name the role themselves."""

    role: Role
    speed: SpeedSaid
    sure: bool


_CUES = (
    (WordUse.WORST, Cue.WORST), (WordUse.START, Cue.START), (WordUse.GONE, Cue.GONE),
    (WordUse.WORSE, Cue.WORSE),
)  # fmt: skip
_BY_CUE: dict[Cue, dict[Relation, Role]] = {
    Cue.GONE: {
        Relation.ABOVE: Role.GONE, Relation.BY: Role.GONE, Relation.AT: Role.GONE,
        Relation.FROM: Role.GONE, Relation.BELOW: Role.ONSET, Relation.UNTIL: Role.ONSET,
    },
    Cue.DENIED: {
        Relation.ABOVE: Role.GONE, Relation.BELOW: Role.ONSET, Relation.UNTIL: Role.ONSET,
    },
    Cue.START: dict.fromkeys(Relation, Role.ONSET),
    Cue.WORST: dict.fromkeys(Relation, Role.WORST),
    Cue.WORSE: dict.fromkeys((Relation.AT, Relation.RANGE), Role.WORST),
}  # fmt: skip
_WITHOUT_CUE = {
    Relation.AT: Role.WORST, Relation.RANGE: Role.WORST, Relation.FROM: Role.ONSET,
    Relation.ABOVE: Role.ONSET, Relation.BELOW: Role.GONE, Relation.UNTIL: Role.GONE,
}  # fmt: skip


def roles(
    said: Sequence[SpeedSaid],
    words: Sequence[Token],
    lexis: Lexis,
    taken: frozenset[int] = frozenset(),
) -> list[SpeedRole]:
    """What each speed is of the shake; a plain speed gives way to one that is called the worst.

    `taken` are places of words that speak of something else than a speed.
    """
    found: list[SpeedRole] = []
    for index, speed in enumerate(said):
        last = said[index - 1].end if index else 0
        following = said[index + 1].start if index + 1 < len(said) else None
        found += _roles(speed, _Around(words, lexis, speed, last, following, taken))
    found = [each for each in found if not _alone(each, found)]
    worst = [each for each in found if each.role is Role.WORST and each.sure]
    return [each for each in found if each.sure or each.role is not Role.WORST or not worst]


def _alone(each: SpeedRole, found: Sequence[SpeedRole]) -> bool:
    """Whether "gone at 50" stands without a speed below at which it is there."""
    if each.role is not Role.GONE or each.speed.relation is not Relation.AT:
        return False
    return not any(
        other.role is not Role.GONE and other.speed.low < each.speed.low for other in found
    )


def _roles(speed: SpeedSaid, around: _Around) -> list[SpeedRole]:
    if speed.relation is Relation.AT and around.after_bump:
        return []
    if around.braking and speed.relation in (Relation.FROM, Relation.AT):
        return [SpeedRole(Role.WORST, speed, False)]
    cue = around.cue()
    if cue is Cue.OPEN:
        return []
    if speed.relation is Relation.FROM and speed.low != speed.high and cue is not Cue.GONE:
        return [SpeedRole(Role.ONSET, speed, True), SpeedRole(Role.WORST, speed, False)]
    table = _WITHOUT_CUE if cue is None else _BY_CUE[cue]
    role = table.get(speed.relation)
    if role is None and cue is Cue.WORSE:
        role = _WITHOUT_CUE.get(speed.relation)
    return [] if role is None else [SpeedRole(role, speed, cue is not None)]


class _Around:
    """The words around a speed that may speak of it."""

    def __init__(
        self, words: Sequence[Token], lexis: Lexis, speed: SpeedSaid, last: int,
        following: int | None, taken: frozenset[int],
    ) -> None:  # fmt: skip
        self._words, self._lexis, self._taken = words, lexis, taken
        anew = any(
            word.start >= speed.start and word.start < speed.end and word.pause is not Pause.NONE
            for word in words
        )
        self._before = [] if anew else [
            k for k, word in enumerate(words) if last <= word.start < speed.start
        ]
        self._after = [
            k for k, word in enumerate(words)
            if word.start >= speed.end and (following is None or word.start < following)
        ]  # fmt: skip
        self._shared = following is not None

    @property
    def after_bump(self) -> bool:
        """Whether the speed is that of a bump."""
        near = self._before[-NEAR:]
        return any(self._is(k, WordUse.NO_SPEED) for k in near)

    @property
    def braking(self) -> bool:
        """Whether the speed is one to brake from."""
        group = self._lexis.groups.get(BRAKING, frozenset())
        return any(self._words[k].word in group for k in self._before[-2:])

    def cue(self) -> Cue | None:
        """What the words nearest to the speed say of it."""
        return self._cue(self._before[::-1], back=True) or self._cue(self._after, back=False)

    def _cue(self, places: Sequence[int], back: bool) -> Cue | None:
        found: Cue | None = None
        for step, k in enumerate(places):
            if not back and self._begins_anew(k):
                return found
            if found is None:
                found = self._cue_at(k)
            if back and found is Cue.GONE and self._denied(k, places[step + 1 :]):
                return Cue.OPEN
            if back and (found is not None or self._begins_anew(k)):
                return found
        # Words that run on into the next speed speak of that one.
        return found if back or not self._shared else None

    def _cue_at(self, k: int) -> Cue | None:
        if k in self._taken:
            return None
        for use, cue in _CUES:
            if self._is(k, use):
                return cue
        return Cue.DENIED if self._is(k, WordUse.DENIAL) else None

    def _denied(self, k: int, further: Sequence[int]) -> bool:
        """Whether "goes away" is itself denied just before."""
        return (
            self._is(k, WordUse.GONE) and bool(further) and further[0] == k - 1
            and self._is(k - 1, WordUse.DENIAL)
        )  # fmt: skip

    def _begins_anew(self, k: int) -> bool:
        """Whether a new thought begins at a word."""
        word = self._words[k]
        return (
            word.pause is not Pause.NONE or self._is(k, WordUse.BREAK) or word.word == "and"
        )

    def _is(self, k: int, use: WordUse) -> bool:
        return self._lexis.is_(self._words[k].word, use)
