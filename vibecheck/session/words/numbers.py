"""Road speeds as people say them: "at 70", "sixty-five", "from 50 to 65", "110 km/h", "70ish".

A bare number is a speed only where the words before it speak of one ("at", "over", "around"), or
where it is a range or follows the shake; a number with another unit, a road's name or a date is
none. It is read in the unit that the reader uses, and marked as bare.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

MPH, KMH = "mph", "km/h"
BARE_RANGE = {MPH: (8.0, 130.0), KMH: (10.0, 220.0)}  # what a number may be as a road speed
LEAST_SPOKEN = 15  # "at one" and "to three" are no speeds


class Relation(StrEnum):
    """How the shake lies to the speed that is said."""

    AT = "at"
    ABOVE = "above"
    BELOW = "below"
    UNTIL = "until"  # up to it
    BY = "by"
    FROM = "from"  # from it on
    RANGE = "range"  # between two


@dataclass(frozen=True, slots=True)
class SpeedSaid:
    """A speed in a text; `low` and `high` [unit] are alike unless a range was said.

    `bare`: no unit was said, `unit` is the reader's. `start` and `end` span the words with those
    that relate it.
    """

    low: float
    high: float
    unit: str
    bare: bool
    relation: Relation
    start: int
    end: int

    @property
    def middle(self) -> float:
        """The middle of a range, or the speed itself [unit]."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class _Piece:
    word: str
    start: int
    end: int
    glued: bool  # no space before it


@dataclass(frozen=True, slots=True)
class _Number:
    value: float
    begin: int
    after: int  # the piece after it
    loose: bool  # it says itself that it is about so much: "70ish", "mid 60s"


_PIECE = re.compile(r"[0-9]+(?:\.[0-9]+)?|[A-Za-z'\u2019]+|[^\sA-Za-z0-9]")
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60,
    "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_ONES = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9,
}  # fmt: skip
_TEENS = {"ten": 10, "twelve": 12, "fifteen": 15}
_THIRDS = {"low": 2, "lower": 2, "mid": 5, "middle": 5, "high": 8, "upper": 8}
_UNITS: tuple[tuple[tuple[str, ...], str], ...] = (
    *(((each, per, hour), MPH) for each in ("mile", "miles") for per in ("an", "per", "a", "/")
      for hour in ("hour", "hr", "h")),
    *(((each, per, hour), KMH)
      for each in ("km", "kms", "kilometers", "kilometres", "k", "kilometer", "kilometre", "ks")
      for per in ("an", "per", "/", "a") for hour in ("hour", "hr", "h")),
    (("mi", "/", "h"), MPH), (("m", ".", "p", ".", "h"), MPH), (("mph",), MPH), (("mphs",), MPH),
    (("kph",), KMH), (("kmh",), KMH), (("kmph",), KMH), (("kms",), KMH), (("k",), KMH),
    (("ks",), KMH), (("kays",), KMH), (("clicks",), KMH), (("klicks",), KMH),
)  # fmt: skip
_NOT_DISTANCE = frozenset({"k", "ks", "kms", "kays", "clicks", "klicks"})  # also said of distances
_APPROX = frozenset(
    "about around roughly approx approximately like just a steady exactly only say the ~ "
    "i you we get gets to hit hits reach nearly almost maybe or so".split()
)
_BEFORE: tuple[tuple[tuple[str, ...], Relation], ...] = (
    (("between",), Relation.RANGE), (("from",), Relation.FROM),
    (("over",), Relation.ABOVE), (("above",), Relation.ABOVE), (("past",), Relation.ABOVE),
    (("beyond",), Relation.ABOVE), (("exceed",), Relation.ABOVE), (("exceeding",), Relation.ABOVE),
    (("than",), Relation.ABOVE), (("north", "of"), Relation.ABOVE), ((">",), Relation.ABOVE),
    (("upwards", "of"), Relation.ABOVE), (("after",), Relation.ABOVE),
    (("under",), Relation.BELOW), (("below",), Relation.BELOW), (("beneath",), Relation.BELOW),
    (("less", "than"), Relation.BELOW), (("slower", "than"), Relation.BELOW),
    (("<",), Relation.BELOW), (("up", "to"), Relation.UNTIL), (("until",), Relation.UNTIL),
    (("till",), Relation.UNTIL), (("til",), Relation.UNTIL), (("'til",), Relation.UNTIL),
    (("by",), Relation.BY), (("once",), Relation.FROM), (("when",), Relation.AT),
    (("hit",), Relation.FROM), (("hits",), Relation.FROM), (("reach",), Relation.FROM),
    (("get", "to"), Relation.FROM),
    (("hitting",), Relation.FROM), (("at",), Relation.AT), (("@",), Relation.AT),
    (("around",), Relation.AT), (("about",), Relation.AT), (("near",), Relation.AT),
    (("doing",), Relation.AT), (("going",), Relation.AT), (("roughly",), Relation.AT),
    (("approx",), Relation.AT), (("approximately",), Relation.AT), (("~",), Relation.AT),
    (("say",), Relation.AT), (("circa",), Relation.AT),
)  # fmt: skip
_ABOUT = frozenset({"around", "about", "roughly", "approx", "approximately", "~", "say", "near"})
_JOINTS = frozenset({"-", "\u2013", "to", "and", "or", "through", "/", "thru"})
_UP = frozenset({"up", "upward", "upwards", "above", "over", "on", "onward", "onwards", "plus",
                 "+", "faster", "higher", "more"})  # fmt: skip
_DOWN = frozenset({"below", "under", "slower", "less", "down"})
_OTHER = frozenset(
    "psi bar kpa inch inches mm cm rpm rev revs percent % mile miles mi km kms year years yr yrs "
    "month months week weeks wk wks day days hour hours hr hrs minute minutes min mins second "
    "seconds sec secs times feet ft foot lb lbs pound pounds nm dollars bucks quid degree degrees "
    "deg thousand thou hundred grand tire tires tyre tyres wheel wheels lug lugs nut nuts bolt "
    "bolts stud studs spoke spokes series plate am pm o'clock x liter liters litre litres l k "
    "cylinder cylinders doors piston pistons pot stop stops st nd rd th meter meters metre metres "
    "yard yards yds hp bhp oz gram grams g owners people passengers kids n ah kg ton tons tonne "
    "tonnes weight weights brakes cars mth mths mo ks reg".split()
)
_ROADS = frozenset(
    "hwy highway route rt rte interstate i us sr exit marker m number no unit bay size "
    "torque torqued cost paid pressure pressures aged junction j".split()
)
_SHAKES = re.compile(
    r"(?:shak|vib|wobbl|shimm|judder|shudder|hum|buzz|trembl|speed|worst|onset|peak|begin|start"
    r"|kick)"
)
_BEFORE_DIGITS = frozenset("@~<>(")
_NO_UNIT_SIGNS = frozenset("$\u00a3\u20ac#/.:,-")


def speeds(text: str, default: str, most: int = 24) -> list[SpeedSaid]:
    """The first speeds in a text, in its order.

    Parameters
    ----------
    text : any text.
    default : the unit of a bare number, "mph" or "km/h".
    most : the most speeds that are read.
    """
    pieces = _pieces(text)
    found: list[SpeedSaid] = []
    at = 0
    while at < len(pieces) and len(found) < most:
        number = _number(pieces, at)
        if number is None:
            at += 1
            continue
        made, at = _speed(pieces, number, default)
        if made is not None:
            found.append(made)
    return found


def _pieces(text: str) -> list[_Piece]:
    found: list[_Piece] = []
    last = -1
    for match in _PIECE.finditer(text):
        glued = match.start() == last
        found.append(_Piece(match[0].lower().replace("\u2019", "'"), match.start(), match.end(),
                            glued))
        last = match.end()
    return found


def _word(pieces: Sequence[_Piece], at: int) -> str:
    return pieces[at].word if 0 <= at < len(pieces) else ""


def _starts_digit(word: str) -> bool:
    return "0" <= word[:1] <= "9"


def _number(pieces: Sequence[_Piece], at: int, joined: bool = False) -> _Number | None:
    """The number that begins at a piece; `joined` to a number before it by a dash or the like."""
    word = _word(pieces, at)
    if _starts_digit(word):
        if not joined and pieces[at].glued and _word(pieces, at - 1) not in _BEFORE_DIGITS:
            return None
        value = float(word) if len(word.partition(".")[0]) <= 3 else None
        return None if value is None else _loosened(pieces, value, at, at + 1)
    if word in ("a", "one") and _word(pieces, at + 1) == "hundred":
        value, after = 100.0, at + 2
        skip = after + (_word(pieces, after) == "and")
        more, end = _under_hundred(pieces, skip)
        return _loosened(pieces, value + more, at, end if more else after)
    value, after = _under_hundred(pieces, at)
    return _loosened(pieces, value, at, after) if value >= LEAST_SPOKEN else None


def _under_hundred(pieces: Sequence[_Piece], at: int) -> tuple[float, int]:
    word = _word(pieces, at)
    if word in _TEENS:
        return float(_TEENS[word]), at + 1
    if word not in _TENS:
        return 0.0, at
    after = at + 1
    skip = after + (_word(pieces, after) == "-")
    if (one := _word(pieces, skip)) in _ONES:
        return float(_TENS[word] + _ONES[one]), skip + 1
    return float(_TENS[word]), after


def _loosened(pieces: Sequence[_Piece], value: float, begin: int, after: int) -> _Number:
    """A number with what makes it loose: "70ish", "60s", "mid 60s"."""
    loose = False
    skip = after + (_word(pieces, after) == "-")
    if _word(pieces, skip) == "ish":
        loose, after = True, skip + 1
    elif _word(pieces, after) in ("s", "'s") and pieces[after].glued:
        loose, after = True, after + 1
        third = begin - (2 if _word(pieces, begin - 1) == "-" else 1)
        value += _THIRDS.get(_word(pieces, third), 5)
        begin = third if _word(pieces, third) in _THIRDS else begin
    return _Number(value, begin, after, loose)


def _speed(
    pieces: Sequence[_Piece], first: _Number, default: str
) -> tuple[SpeedSaid | None, int]:
    """The speed that a number begins, or None, and the piece to read on from."""
    unit, after = _unit(pieces, first.after, default)
    second = None
    if _word(pieces, after) in _JOINTS:
        skip = after + 1
        while _word(pieces, skip) in ("about", "around", "~"):
            skip += 1
        second = _number(pieces, skip, joined=True)
    relation, begin = _relation(pieces, first.begin)
    if second is not None:
        unit2, end = _unit(pieces, second.after, default)
        if unit2 or unit or not _other_unit(pieces, second):
            unit, after = unit2 or unit, end
        else:
            return None, end
    if unit is None and not _is_speed(pieces, first, relation, second, after):
        return None, max(first.after, after)
    relation, after = _opened(pieces, after, relation, second)
    low, high = sorted((first.value, second.value if second else first.value))
    lowest, highest = BARE_RANGE[unit or default]
    if not lowest <= low <= high <= highest:
        return None, after
    said = SpeedSaid(low, high, unit or default, unit is None, relation or Relation.AT,
                     pieces[begin].start, pieces[after - 1].end)
    return said, after


def _unit(pieces: Sequence[_Piece], at: int, default: str) -> tuple[str | None, int]:
    """The unit of speed at a piece, and the piece after it; "k" is one where km/h is usual."""
    for words, unit in _UNITS:
        if tuple(each.word for each in pieces[at : at + len(words)]) == words:
            after = at + len(words)
            distance = words[0] in _NOT_DISTANCE and len(words) == 1
            if words in (("k",), ("ks",)) and default != KMH:
                return None, at
            if distance and _word(pieces, after) in ("miles", "mi", "km", "on", "ago", "old"):
                return None, at
            return unit, after
    return None, at


def _relation(pieces: Sequence[_Piece], begin: int) -> tuple[Relation | None, int]:
    """How the words before a number relate it, and where they begin."""
    at = begin - 1
    found: tuple[Relation | None, int] = (None, begin)
    while at >= 0 and begin - at <= 5:
        for words, relation in _BEFORE:
            if tuple(p.word for p in pieces[max(0, at - len(words) + 1) : at + 1]) == words:
                longest = _longer(pieces, at, words)
                if found[0] is None or pieces[at].word not in _ABOUT:
                    found = (longest or relation, at - len(words) + 1)
                break
        if pieces[at].word not in _APPROX:
            break
        at -= 1
    return found


def _longer(pieces: Sequence[_Piece], at: int, words: tuple[str, ...]) -> Relation | None:
    """The relation of a longer wording that ends with these words ("less than", "up to")."""
    for others, relation in _BEFORE:
        if len(others) > len(words) and others[-len(words) :] == words:
            if tuple(p.word for p in pieces[max(0, at - len(others) + 1) : at + 1]) == others:
                return relation
    return None


def _is_speed(
    pieces: Sequence[_Piece], first: _Number, relation: Relation | None,
    second: _Number | None, after: int,
) -> bool:  # fmt: skip
    """Whether a number without a unit of speed is one, by the words around it."""
    if _other_unit(pieces, second or first):
        return False
    before = _word(pieces, first.begin - 1)
    if before in _ROADS or before in _NO_UNIT_SIGNS:
        return False
    if before == "the" and _word(pieces, after) not in ("mark", "range", "area"):
        return first.loose
    if relation is not None or first.loose or _SHAKES.match(before):
        return True
    ends = _word(pieces, after) in _UP
    return (second is not None or ends) and first.value >= LEAST_SPOKEN


def _other_unit(pieces: Sequence[_Piece], number: _Number) -> bool:
    """Whether a number is of something else: 2 weeks, 205/55, 17 inch, F150."""
    at = number.after
    word = _word(pieces, at)
    if word in _OTHER or (word == "," and _starts_digit(_word(pieces, at + 1))
                          and pieces[at + 1].glued):
        return True
    if word == "-" and _word(pieces, at + 1) in _OTHER:
        return True
    return bool(word) and pieces[at].glued and (word.isalpha() or word in "/:x\"'\u00b0$%.") and (
        word != "." or _starts_digit(_word(pieces, at + 1))
    )


def _opened(
    pieces: Sequence[_Piece], after: int, relation: Relation | None, second: _Number | None
) -> tuple[Relation | None, int]:
    """The relation with what follows the number: "60 and up", "30 or less"."""
    if second is not None:
        return (Relation.RANGE if relation in (None, Relation.AT) else relation), after
    at = after + (_word(pieces, after) in ("and", "or", "mph"))
    word = _word(pieces, at)
    if word in _UP and (word != "up" or _word(pieces, at + 1) != "to"):
        if word not in ("on", "over", "above", "more") or at > after or relation is Relation.FROM:
            return Relation.FROM, at + 1
    if word in _DOWN and at > after:
        return Relation.BELOW, at + 1
    return relation, after
