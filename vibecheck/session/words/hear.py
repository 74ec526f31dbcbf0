"""From a sentence to the answers that it may mean. One entry: `hear`.

Nothing is ever applied: an offer is shown with the words it came from, and a person takes it. A
danger is offered only where it is said: not where it is denied, doubted or only looked for, and
not on the strength of a short word mistyped. Not checked: whether the words are true, and whether
the vehicle can have the finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import msgspec

from vibecheck.errors import ReadingError
from vibecheck.knowledge.check_lexicon import BEGINNING, NOTHING
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Hint
from vibecheck.knowledge.words import Computed, Reads, Scale, Scope, WordUse
from vibecheck.session.answers import measured
from vibecheck.session.words.corners import CornerSaid, corners
from vibecheck.session.words.cut import Pause, raws
from vibecheck.session.words.kinds import FINDING, GROUPS, Signs, kind_of
from vibecheck.session.words.lexis import Phrase, dangers, lexis_of
from vibecheck.session.words.matches import PhraseMatch, matches, mistyped
from vibecheck.session.words.numbers import MPH, SpeedSaid, speeds
from vibecheck.session.words.offered import Heard, Offer, Speed
from vibecheck.session.words.polarity import Reader, Stand
from vibecheck.session.words.roles import Role, SpeedRole, roles
from vibecheck.session.words.tokens import Token, tokens

LONGEST_TEXT = 20_000  # characters that are read
MOST_PLACES = 24  # places of a group of words that are looked at
SINCE_REACH = 6  # words between "since" and the work
SHAKE = "vibration"
ABOVE, FADES = "above_worst_speed", "fades"
_FELT = "felt_in"
_ROLES = {Role.ONSET: Computed.ONSET_SPEED, Role.WORST: Computed.WORST_SPEED}


@dataclass(frozen=True)
class Ear:
    """How the person speaks: the unit of a bare speed, and the side on which a driver sits."""

    speed_unit: str = MPH
    driver_left: bool = True


@dataclass(frozen=True)
class _Said:
    """A match with how it is meant and the state that follows, None where none does."""

    match: PhraseMatch
    hint: Hint
    stand: Stand
    state: str | None


def hear(library: Library, text: str, ear: Ear | None = None) -> Heard:
    """The answers that a text may mean, in the order of the text.

    Parameters
    ----------
    library : checked rules with their lexicon.
    text : what was said, any text; the first 20,000 characters are read.
    ear : how the person speaks; mph and a driver on the left if None.
    """
    return _Hearing(library, text[:LONGEST_TEXT], ear or Ear()).heard()


class _Hearing:
    """One text being read."""

    def __init__(self, library: Library, text: str, ear: Ear) -> None:
        self.library, self.ear = library, ear
        self.lexis = lexis_of(library)
        cut = raws(text)
        self.words = tokens(cut, self.lexis)
        self.corners = corners(cut, ear.driver_left)
        self.speeds = speeds(text, ear.speed_unit)
        self.reader = Reader(self.words, self.lexis)
        self.dangers = dangers(library)
        self.claimed: frozenset[int] = frozenset()  # places of words in phrases of several words

    def heard(self) -> Heard:
        """All offers, marked and in order."""
        found = matches(self.words, self.lexis)
        self.claimed = frozenset(k for each in found if len(each.at) > 1 for k in each.at)
        said = list(self._said(found))
        said = [each for each in said if self._fits(each, said) and not self._elsewhere(each, said)]
        roles_ = roles(self.speeds, self.words, self.lexis, _taken(said))
        offers = [*self._offers(said), *self._beginnings(said), *self._speed_offers(roles_)]
        offers = _numbers_first(self.library, _worst(self.library, _once(offers)))
        kind = kind_of(self._signs(said, offers))
        offers.sort(key=lambda offer: offer.spans)
        if kind and FINDING in self.library.findings:
            offers.insert(0, Offer(finding=FINDING, value=kind, spans=self._kind_spans(offers)))
        return Heard(offers=tuple(offers), kind=kind)

    # --- phrases -------------------------------------------------------------------------------

    def _said(self, found: Iterable[PhraseMatch]) -> Iterator[_Said]:
        for match in found:
            hint = match.phrase.hint
            danger = (hint.finding, hint.state) in self.dangers
            stand = self.reader.stand(match, danger)
            state = self._state(match, hint, stand)
            if danger and stand is Stand.SAID and mistyped(match, self.words):
                state = None
            yield _Said(match, hint, stand, state)

    def _state(self, match: PhraseMatch, hint: Hint, stand: Stand) -> str | None:
        """The state to offer for a hint, by how it is meant."""
        finding = self.library.findings[hint.finding]
        if stand is Stand.DOUBTED:
            return None
        if hint.reads is Reads.DENIED:
            return hint.state if stand is Stand.DENIED else None
        if stand is Stand.DENIED:
            return _denied(finding, hint)
        states = list(finding.states)
        graded = finding.scale is Scale.GRADED and len(states) == 3 and finding.measure is None
        soft = graded and hint.state == states[-1]
        if soft and self.reader.near_before(match, WordUse.SOFT, beside=self.claimed):
            return states[1]
        return hint.state

    def _fits(self, each: _Said, said: Sequence[_Said]) -> bool:
        """Whether what must, or must not, be said beside it in the sentence is so."""
        sentence = self.words[each.match.first].sentence
        beside = {
            other.hint.finding
            for other in said
            if other.stand is Stand.SAID and self.words[other.match.first].sentence == sentence
        }
        if not beside.isdisjoint(each.hint.unless):
            return False
        return not each.hint.with_ or not beside.isdisjoint(each.hint.with_)

    def _elsewhere(self, each: _Said, said: Sequence[_Said]) -> bool:
        """Whether a denial of the whole is only one of a place, a time or a speed."""
        if each.hint.reads is not Reads.DENIED or each.hint.finding != SHAKE:
            return False
        first, last = self._thought(each.match)
        placed = any(
            first <= other.match.first <= last
            and (other.hint.reads is Reads.CONDITION or other.hint.finding.startswith(_FELT))
            for other in said
        )
        return placed or any(
            self.words[first].start <= speed.start <= self.words[last].end for speed in self.speeds
        )

    def _thought(self, match: PhraseMatch) -> tuple[int, int]:
        """The first and last word of the thought that a match stands in."""
        first, last = match.first, match.last
        while first > 0 and not self.reader.parted(first - 1) and not self._pauses(first):
            first -= 1
        while not self.reader.parted(last) and not self._pauses(last + 1):
            last += 1
        return first, last

    def _pauses(self, place: int) -> bool:
        return self.words[place].pause is not Pause.NONE

    def _offers(self, said: Iterable[_Said]) -> Iterator[Offer]:
        for each in said:
            if each.state is None:
                continue
            finding = self.library.findings[each.hint.finding]
            corner = self._corner(each.match)
            cornered = finding.scope is Scope.CORNER
            if cornered and corner is None:
                continue
            condition = each.hint.reads is Reads.CONDITION
            yield Offer(
                finding=finding.id,
                value=each.state,
                spans=_spans(self.words, each.match.at),
                corner=corner if cornered else None,
                beside=None if cornered else corner,
                denied=each.stand is Stand.DENIED,
                only=condition and self._only(each.match),
                danger=(finding.id, each.state) in self.dangers,
            )

    def _only(self, match: PhraseMatch) -> bool:
        return self.reader.near_before(match, WordUse.ONLY) or self.reader.near_after(
            match, WordUse.ONLY
        )

    def _corner(self, match: PhraseMatch) -> str | None:
        """The corner named nearest to a match within its sentence."""
        first, last = self.words[match.first], self.words[match.last]
        sentence = [word for word in self.words if word.sentence == first.sentence]
        begin, end = sentence[0].start, sentence[-1].end
        near = [each for each in self.corners if begin <= each.start and each.end <= end + 1]
        if not near:
            return None
        return min(near, key=lambda each: _apart(each, first.start, last.end)).corner.value

    def _beginnings(self, said: Iterable[_Said]) -> Iterator[Offer]:
        """How it began, where work or standing is named after "since" or the like."""
        known = BEGINNING in self.library.findings
        for each in said:
            if not (known and each.hint.since and each.stand is Stand.SAID):
                continue
            since = self._since(each.match)
            if since is not None:
                places = tuple(sorted({since, *each.match.at}))
                yield Offer(finding=BEGINNING, value=each.hint.since,
                            spans=_spans(self.words, places))

    def _since(self, match: PhraseMatch) -> int | None:
        """The place of the word that says that it began with what a match names."""
        for k in range(match.last, max(-1, match.first - SINCE_REACH), -1):
            if k < match.first and self._pauses(k + 1):
                break
            if self.reader.is_(k, WordUse.SINCE):
                return k
        for k in range(match.last + 1, min(len(self.words), match.last + 2 * SINCE_REACH)):
            if self.words[k].sentence != self.words[match.last].sentence:
                break
            if self.reader.is_(k, WordUse.SINCE_THEN) or (
                self.reader.is_(k, WordUse.SINCE) and self.reader.closes(k)
            ):
                return k
        return None

    # --- speeds --------------------------------------------------------------------------------

    def _speed_offers(self, found: Iterable[SpeedRole]) -> Iterator[Offer]:
        for each in found:
            said = each.speed
            span = ((said.start, said.end),)
            if each.role is Role.GONE:
                if FADES in getattr(self.library.findings.get(ABOVE), "states", ()):
                    speed = _speed(said, said.high)
                    yield Offer(finding=ABOVE, value=FADES, spans=span, speed=speed)
                continue
            for finding in self.library.findings.values():
                if finding.computed is _ROLES[each.role]:
                    value = said.low if each.role is Role.ONSET else said.middle
                    yield from _speed_offer(finding, _speed(said, value, each.role), span)

    # --- kind of complaint ---------------------------------------------------------------------

    def _signs(self, said: Sequence[_Said], offers: Sequence[Offer]) -> Signs:
        normal = {
            finding.id: next(iter(finding.states))
            for finding in self.library.findings.values()
            if finding.scale is Scale.GRADED
        }
        there = [offer for offer in offers if offer.value != normal.get(offer.finding)]
        conditions = [each for each in said if each.hint.reads is Reads.CONDITION]
        return Signs(
            said=frozenset(offer.finding for offer in there),
            groups=frozenset(self._groups()),
            only=frozenset(offer.finding for offer in offers if offer.only),
            worse=frozenset(
                each.hint.finding
                for each in conditions
                if self.reader.near_before(each.match, WordUse.WORSE)
            ),
            feel=next((offer.value for offer in there if offer.finding == "feel"), None),
        )

    def _groups(self) -> Iterator[str]:
        """The groups of words of which one is said."""
        for name in GROUPS:
            stems = self.lexis.groups.get(name, frozenset())
            phrase = Phrase(_NO_HINT, (stems,), False, False, 0)
            places = [k for k, word in enumerate(self.words) if word.word in stems]
            if any(
                self.reader.stand(PhraseMatch(phrase, (k,))) is Stand.SAID
                for k in places[:MOST_PLACES]
            ):
                yield name

    def _kind_spans(self, offers: Sequence[Offer]) -> tuple[tuple[int, int], ...]:
        """The words that tell the kind: those of the groups, or of the first offer."""
        stems = frozenset().union(*(self.lexis.groups.get(name, ()) for name in GROUPS))
        for word in self.words:
            if word.word in stems:
                return ((word.start, word.end),)
        return offers[0].spans


_NO_HINT = Hint(words=[], finding="none", state="")


def _taken(said: Iterable[_Said]) -> frozenset[int]:
    """The places of words that tell of a time or a trial, and so not of a speed."""
    return frozenset(
        place
        for each in said
        if each.hint.finding != ABOVE and len(each.match.at) > 1
        for place in each.match.at
    )


def _denied(finding: Finding, hint: Hint) -> str | None:
    if hint.denied:
        return None if hint.denied == NOTHING else hint.denied
    return next(iter(finding.states)) if finding.scale is Scale.GRADED else None


def _spans(words: Sequence[Token], places: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """The parts of the text at some words; words side by side make one part."""
    parts: list[tuple[int, int]] = []
    previous = None
    for k in places:
        if previous is not None and k == previous + 1:
            parts[-1] = (parts[-1][0], words[k].end)
        else:
            parts.append((words[k].start, words[k].end))
        previous = k
    return tuple(parts)


def _apart(corner: CornerSaid, start: int, end: int) -> int:
    return max(corner.start - end, start - corner.end, 0)


def _speed(said: SpeedSaid, value: float, role: Role = Role.ONSET) -> Speed:
    spread = (said.high - said.low) / 2 if role is Role.WORST else 0.0
    return Speed(value=value, unit=said.unit, bare=said.bare, spread=spread)


def _speed_offer(
    finding: Finding, speed: Speed, span: tuple[tuple[int, int], ...]
) -> Iterator[Offer]:
    value = f"{speed.value:g} {speed.unit}"
    if speed.spread:
        value = f"{speed.value:g} +/- {speed.spread:g} {speed.unit}"
    if finding.measure is None:
        return
    try:
        measured(finding.measure, value)
    except ReadingError:
        return
    yield Offer(finding=finding.id, value=value, spans=span, speed=speed)


def _worst(library: Library, offers: Sequence[Offer]) -> list[Offer]:
    """Of several bad states of a graded finding, each said, only the worst."""
    worst: dict[tuple[str, str | None], int] = {}
    for offer in offers:
        key, rank = (offer.finding, offer.corner), _rank(library, offer)
        worst[key] = max(worst.get(key, 0), rank)
    return [
        offer
        for offer in offers
        if _rank(library, offer) in (0, worst[offer.finding, offer.corner])
    ]


def _rank(library: Library, offer: Offer) -> int:
    """How bad a state of a graded finding is; 0 where that has no meaning."""
    finding = library.findings[offer.finding]
    if finding.scale is not Scale.GRADED or offer.value not in finding.states:
        return 0
    return list(finding.states).index(offer.value)


def _once(offers: Iterable[Offer]) -> list[Offer]:
    """Offers without repeats: the same answer twice is one offer with the words of both."""
    known: dict[tuple[str, str | None, str], Offer] = {}
    for offer in offers:
        key = (offer.finding, offer.corner, offer.value)
        if (first := known.get(key)) is not None:
            spans = _disjoint((*first.spans, *offer.spans))
            offer = msgspec.structs.replace(
                first, spans=spans, only=first.only or offer.only, speed=first.speed or offer.speed
            )
        known[key] = offer
    return list(known.values())


def _disjoint(spans: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    merged: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return tuple(merged)


def _marked(offers: Sequence[Offer]) -> list[Offer]:
    """Offers of which those that contradict each other are marked."""
    values: dict[tuple[str, str | None], set[str]] = {}
    for offer in offers:
        values.setdefault((offer.finding, offer.corner), set()).add(offer.value)
    return [
        msgspec.structs.replace(offer, clash=len(values[offer.finding, offer.corner]) > 1)
        for offer in offers
    ]


def _numbers_first(library: Library, offers: Sequence[Offer]) -> list[Offer]:
    """Offers without a speed in words ("highway speed") where the same speed stands as a number."""
    numbered = {each.finding for each in offers if each.speed is not None and each.finding != ABOVE}
    kept = [offer for offer in offers if offer.speed is not None or offer.finding not in numbered]
    return _marked(kept)
