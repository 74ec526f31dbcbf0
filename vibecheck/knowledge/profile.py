"""What a cause shows, made whole: its own words before those of the kinds that it is like.

Of a finding on which the cause itself has no word, the mean of its kinds holds. A word may be
`as usual`: then neither the cause nor its kinds say anything, and what is usual among the causes
of the complaint is taken (`reasoning.network` works that out).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from msgspec import structs

from vibecheck.knowledge.model import USUAL, Cause, Finding, Kind, Strength, StrengthWord
from vibecheck.knowledge.words import Axle, Corner, Scope, Side, SpeedBy

UNNAMED_SHARE = 0.01  # weight of a state that a map of words does not name
DIGITS = 6  # of a mean of kinds, written as a number

Shows = dict[str, Strength]
Part = Axle | Side | None  # where words hold: at one axle, on one side, or on the whole car
Rules = TypeVar("Rules", Cause, Kind)

# The places of a rule where words on findings stand.
PARTS = ("shows", "shows_front", "shows_rear", "shows_left", "shows_right")


def whole_kinds(rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Kind]:
    """Every kind with what the kinds that it is like say for it.

    Parameters
    ----------
    rules : "kinds", "findings" and "strengths" by their ids. A ring of kinds is cut where it
        closes; the checks report it.
    """
    done: dict[str, Kind] = {}

    def make(name: str, above: frozenset[str]) -> Kind:
        kind: Kind = rules["kinds"][name]
        for other in kind.like:
            if other in rules["kinds"] and other not in done and other not in above:
                done[other] = make(other, above | {other})
        return _merged(kind, done, rules["findings"], rules["strengths"])

    for name in rules["kinds"]:
        done[name] = make(name, frozenset({name}))
    return done


def whole_causes(
    rules: Mapping[str, Mapping[str, Any]], kinds: Mapping[str, Kind]
) -> dict[str, Cause]:
    """Every cause with what its kinds, whole themselves, say for it.

    Parameters
    ----------
    rules : "causes", "findings" and "strengths" by their ids.
    """
    return {
        name: whole(cause, kinds, rules["findings"], rules["strengths"])
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
    merged = _merged(cause, kinds, findings, strengths)
    if cause.scope is Scope.VEHICLE:
        whole_car = words_at(merged, None)
        merged = structs.replace(merged, shows=whole_car, shows_front={}, shows_rear={},
                                 shows_left={}, shows_right={})  # fmt: skip
    if not follows_resonance(merged):
        return merged
    return structs.replace(
        merged,
        shows=_without_speeds(merged.shows, findings),
        shows_front=_without_speeds(merged.shows_front, findings),
        shows_rear=_without_speeds(merged.shows_rear, findings),
    )


def _merged(
    rule: Rules, kinds: Mapping[str, Kind], findings: Mapping[str, Finding],
    strengths: Mapping[str, StrengthWord],
) -> Rules:  # fmt: skip
    """A cause or kind with the words of the kinds that it is like beside its own."""
    like: list[Kind] = [kinds[name] for name in rule.like if name in kinds]
    means = _Means(findings, strengths)
    front, rear, anywhere = (
        _at(rule, like, at, means) for at in (Axle.FRONT, Axle.REAR, None))
    shows = {name: word for name, word in anywhere.items() if name in front and name in rear}
    sided = _sided([rule, *like])
    left, right = (
        {name: word for name, word in _at(rule, like, side, means).items() if name in sided}
        if sided else {} for side in Side)  # fmt: skip
    return structs.replace(
        rule,
        shows=shows,
        shows_front={name: word for name, word in front.items() if shows.get(name) != word},
        shows_rear={name: word for name, word in rear.items() if shows.get(name) != word},
        shows_left=left,
        shows_right=right,
        speed=rule.speed or next((kind.speed for kind in like if kind.speed), None),
        excites=rule.excites or next((kind.excites for kind in like if kind.excites), []),
    )


def _sided(rules: Iterable[Cause | Kind]) -> set[str]:
    """The findings that any of these parts by side."""
    return {name for rule in rules for name in (*rule.shows_left, *rule.shows_right)}


def _without_speeds(shows: Shows, findings: Mapping[str, Finding]) -> Shows:
    """The words but for the speeds that a resonance gives."""
    return {
        name: word for name, word in shows.items()
        if name not in findings or findings[name].computed is None
    }  # fmt: skip


def words_at(rule: Cause | Kind, at: Part) -> Shows:
    """The words of a rule as written, at one axle or side; else those for the whole car."""
    return {**rule.shows, **(getattr(rule, f"shows_{at.value}") if at is not None else {})}


def words_of(rule: Cause | Kind, corner: Corner | None) -> Shows:
    """The words of a rule where it stands: at a corner, by its axle and by its side."""
    return {name: word for part in parts_of(rule, corner) for name, word in part.items()}


def parts_of(rule: Cause | Kind, corner: Corner | None) -> tuple[Shows, ...]:
    """What makes up the words of a rule where it stands, the later going before the earlier."""
    if corner is None:
        return (rule.shows,)
    return (
        rule.shows,
        rule.shows_front if corner.front else rule.shows_rear,
        rule.shows_left if corner.left else rule.shows_right,
    )


def all_shown(rule: Cause | Kind) -> list[str]:
    """Every finding that a rule has a word on, anywhere, in the order written."""
    return list(dict.fromkeys(name for part in PARTS for name in getattr(rule, part)))


def speakers(cause: Cause, kinds: Mapping[str, Kind], finding: str, at: Part) -> list[str]:
    """Who says what a written cause shows of a finding: "own", kinds, or nobody ([])."""
    own = words_at(cause, at)
    if finding in own:
        return [] if own[finding] == USUAL else ["own"]
    like = [kinds[name] for name in cause.like if name in kinds]
    return [kind.id for kind in like if words_at(kind, at).get(finding, USUAL) != USUAL]


def follows_resonance(cause: Cause) -> bool:
    """Whether the speeds of a whole cause follow from what it shakes."""
    return bool(cause.excites) and cause.speed is not SpeedBy.OWN


def _at(rule: Cause | Kind, like: list[Kind], at: Part, means: _Means) -> Shows:
    own = words_at(rule, at)
    worded = [words_at(kind, at) for kind in like]
    found: Shows = {}
    for name in dict.fromkeys(name for words in worded for name in words):
        said = [words[name] for words in worded if words.get(name, USUAL) != USUAL]
        if said and name not in own:
            found[name] = means.of(name, said)
    found.update({name: strength for name, strength in own.items() if strength != USUAL})
    return found


class _Means:
    """Means of what kinds say; what they say alike at several places is worked out once."""

    def __init__(
        self, findings: Mapping[str, Finding], strengths: Mapping[str, StrengthWord]
    ) -> None:
        self._findings, self._strengths = findings, strengths
        self._known: dict[tuple[str, tuple[int, ...]], Strength] = {}

    def of(self, name: str, said: list[Strength]) -> Strength:
        """The mean for a finding; the words said are the rules' own and outlive this."""
        key = (name, tuple(map(id, said)))
        if key not in self._known:
            self._known[key] = _mean(said, self._findings.get(name), self._strengths)
        return self._known[key]


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
