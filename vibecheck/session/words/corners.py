"""The corners of the car that a text names.

"Left" and "right" are as seen by the driver. "Driver's" and "passenger" depend on the side the
driver sits on. "Nearside" and "offside" are British words, for cars with the driver on the right:
left and right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.knowledge.words import Corner
from vibecheck.session.words.cut import Pause, Raw

_SIDES = {
    "left": "L", "lh": "L", "lhs": "L", "lefthand": "L",
    "nearside": "L", "ns": "L", "right": "R", "rh": "R", "rhs": "R", "righthand": "R",
    "offside": "R", "os": "R",
}  # fmt: skip
_DRIVERS = frozenset({"driver", "drivers"})
_PASSENGERS = frozenset({"passenger", "passengers", "pass"})
_ENDS = {"front": "F", "rear": "R", "back": "R"}
_WHOLE = {
    "lf": "LF", "fl": "LF", "rf": "RF", "fr": "RF", "lr": "LR", "rl": "LR", "rr": "RR",
    "nsf": "LF", "osf": "RF", "nsr": "LR", "osr": "RR",
}  # fmt: skip
_LETTERS = {"n": "L", "o": "R"}  # n/s/f, o/s/r
_BETWEEN = frozenset(
    "side hand tire tyre wheel one on the at in of to corner end rotor disc brake".split()
)
_TURNING = frozenset(
    "turn turning turned turns pull pulls pulling pulled steer steers steering drift drifts "
    "drifting swerve swerving bear going".split()
)
REACH = 4  # words from side to end


@dataclass(frozen=True, slots=True)
class CornerSaid:
    """A corner and the part of the text that names it."""

    corner: Corner
    start: int
    end: int


def corners(words: Sequence[Raw], driver_left: bool) -> list[CornerSaid]:
    """The corners named in a text, in its order."""
    found: list[CornerSaid] = []
    for place in range(len(words)):
        last = found[-1].end if found else 0
        if words[place].start >= last and (made := _corner_at(words, place, driver_left)):
            found.append(made)
    return found


def _corner_at(words: Sequence[Raw], place: int, driver_left: bool) -> CornerSaid | None:
    here = words[place]
    if here.word in _WHOLE:
        return CornerSaid(Corner(_WHOLE[here.word]), here.start, here.end)
    spelled = "".join(each.word for each in words[place : place + 3])
    if here.word in _LETTERS and spelled in _WHOLE:
        return CornerSaid(Corner(_WHOLE[spelled]), here.start, words[place + 2].end)
    side, end = _side(words, place, driver_left), _ENDS.get(here.word)
    if side is None and end is None:
        return None
    for k in range(place + 1, min(len(words), place + REACH + 1)):
        if words[k].pause is not Pause.NONE:
            return None
        other_side, other_end = _side(words, k, driver_left), _ENDS.get(words[k].word)
        if side and other_end:
            return CornerSaid(Corner(side + other_end), here.start, words[k].end)
        if end and other_side:
            return CornerSaid(Corner(other_side + end), here.start, words[k].end)
        if words[k].word not in _BETWEEN:
            return None
    return None


def _side(words: Sequence[Raw], place: int, driver_left: bool) -> str | None:
    word = words[place].word
    before = {each.word for each in words[max(0, place - 2) : place]}
    if word in _SIDES:
        return None if before & _TURNING else _SIDES[word]
    if word in _DRIVERS:
        return "L" if driver_left else "R"
    if word in _PASSENGERS:
        return "R" if driver_left else "L"
    return None
