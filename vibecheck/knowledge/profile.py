"""What a cause shows, made whole: its own words before those of the kinds that it is like.

Of a finding on which the cause itself has no word, the mean of its kinds holds. A word may be
`as usual`: then neither the cause nor its kinds say anything, and what is usual among the causes
of the complaint is taken (`reasoning.network` works that out).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import structs

from vibecheck.knowledge.model import USUAL, Cause, Finding, Kind, Strength, StrengthWord
from vibecheck.knowledge.words import Axle, Scope, SpeedBy

UNNAMED_SHARE = 0.01  # weight of a state that a map of words does not name
DIGITS = 6  # of a mean of kinds, written as a number

Shows = dict[str, Strength]


def whole_causes(rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Cause]:
    """Every cause with what its kinds say for it.

    Parameters
    ----------
    rules : "causes", "kinds", "findings" and "strengths" by their ids.
    """
    return {
        name: whole(cause, rules["kinds"], rules["findings"], rules["strengths"])
        for name, cause in rules["causes"].items()
    }


def whole(
    cause: Cause,
    kinds: Mapping[str, Kind],
    findings: Mapping[str, Finding],
    strengths: Mapping[str, StrengthWord],
) -> Cause:
    """A cause with what its kinds say for it; the cause itself if it is like none.

    Names that do not exist are passed over: the checks report them.
    """
    like = [kinds[name] for name in cause.like if name in kinds]
    speed = cause.speed or next((kind.speed for kind in like if kind.speed), None)
    excites = cause.excites or next((kind.excites for kind in like if kind.excites), [])
    parts = {axle: _at(cause, like, axle, findings, strengths) for axle in (*Axle, None)}
    if excites and speed is not SpeedBy.OWN:
        parts = {axle: _without_speeds(shows, findings) for axle, shows in parts.items()}
    shows, front, rear = parts[None], parts[Axle.FRONT], parts[Axle.REAR]
    if cause.scope is Scope.VEHICLE:
        front, rear = {}, {}
    else:
        shows = {name: word for name, word in shows.items() if name in front and name in rear}
        front = {name: word for name, word in front.items() if shows.get(name) != word}
        rear = {name: word for name, word in rear.items() if shows.get(name) != word}
    return structs.replace(
        cause, shows=shows, shows_front=front, shows_rear=rear, speed=speed, excites=excites
    )


def _without_speeds(shows: Shows, findings: Mapping[str, Finding]) -> Shows:
    """The words but for the speeds that a resonance gives."""
    return {
        name: word for name, word in shows.items()
        if name not in findings or findings[name].computed is None
    }  # fmt: skip


def words_at(rule: Cause | Kind, axle: Axle | None) -> Shows:
    """The words of a rule as written, at one axle; without one, those for the whole car."""
    at = {None: {}, Axle.FRONT: rule.shows_front, Axle.REAR: rule.shows_rear}[axle]
    return {**rule.shows, **at}


def speakers(cause: Cause, kinds: Mapping[str, Kind], finding: str, axle: Axle | None) -> list[str]:
    """Who says what a written cause shows of a finding: "own", kinds, or nobody ([])."""
    own = words_at(cause, axle)
    if finding in own:
        return [] if own[finding] == USUAL else ["own"]
    like = [kinds[name] for name in cause.like if name in kinds]
    return [kind.id for kind in like if words_at(kind, axle).get(finding, USUAL) != USUAL]


def follows_resonance(cause: Cause) -> bool:
    """Whether the speeds of a whole cause follow from what it shakes."""
    return bool(cause.excites) and cause.speed is not SpeedBy.OWN


def _at(
    cause: Cause, like: list[Kind], axle: Axle | None, findings: Mapping[str, Finding],
    strengths: Mapping[str, StrengthWord],
) -> Shows:  # fmt: skip
    own = words_at(cause, axle)
    found: Shows = {}
    for name in _names(like, axle):
        said = [words[name] for kind in like if name in (words := words_at(kind, axle))]
        said = [strength for strength in said if strength != USUAL]
        if said and name not in own:
            found[name] = _mean(said, findings.get(name), strengths)
    found.update({name: strength for name, strength in own.items() if strength != USUAL})
    return found


def _names(like: Iterable[Kind], axle: Axle | None) -> list[str]:
    return list(dict.fromkeys(name for kind in like for name in words_at(kind, axle)))


def _mean(
    said: list[Strength], finding: Finding | None, strengths: Mapping[str, StrengthWord]
) -> Strength:
    """The mean of what several kinds say, as shares of the states; one alone stays in its words."""
    if len(said) == 1 or finding is None:
        return said[0]
    try:
        rows = [shares(list(finding.states), each, strengths) for each in said]
    except KeyError:
        return said[0]
    means = [sum(column) / len(rows) for column in zip(*rows, strict=True)]
    return {
        state: f"{mean:.{DIGITS}f}" for state, mean in zip(finding.states, means, strict=True)
    }


def shares(
    states: list[str], strength: Strength, strengths: Mapping[str, StrengthWord]
) -> list[float]:
    """Chance of each state, summing to 1 [unitless].

    A single word is the chance of "not normal", shared equally by the states that are not
    normal. A map gives each named state its word as a weight.

    Raises
    ------
    KeyError : a word that is no strength.
    """
    if isinstance(strength, str):
        chance = strengths[strength].probability
        rest = chance / max(len(states) - 1, 1)
        return [1.0 - chance] + [rest] * (len(states) - 1)
    weights = [
        _weight(strength[state], strengths) if state in strength else UNNAMED_SHARE
        for state in states
    ]
    total = sum(weights)
    return [weight / total for weight in weights]


def _weight(word: str, strengths: Mapping[str, StrengthWord]) -> float:
    known = strengths.get(word)
    if known is not None:
        return known.probability
    try:
        return float(word)
    except ValueError:
        raise KeyError(word) from None
