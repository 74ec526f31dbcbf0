"""Builds small rule libraries in memory. Everything in them is invented, for tests only.

Words stand for themselves: "0.37" is a strength word that means 0.37, so that a test can name
any probability and still go through the words as a rule file does.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import (
    Access,
    AccessState,
    Ask,
    Cause,
    Check,
    Finding,
    Move,
    PlaceRules,
    Remedy,
    Settings,
    Spot,
    StrengthWord,
)
from vibecheck.knowledge.words import (
    CheckKind,
    Family,
    FindingKind,
    Parts,
    Place,
    Scale,
    Scope,
)

FIXED = {
    "almost never": 0.01, "rarely": 0.04, "seldom": 0.12, "sometimes": 0.3,
    "half the time": 0.5, "often": 0.7, "usually": 0.85, "nearly always": 0.95, "always": 0.99,
}
WORDS = FIXED | {f"{n / 1000:.3f}": n / 1000 for n in range(1, 1000)}
EVERYWHERE = [Place.COUNTER, Place.BAY, Place.DRIVEWAY]


def word(probability: float) -> str:
    """The word that stands for a probability of whole thousandths."""
    return f"{probability:.3f}"


def finding(id_: str, states: Sequence[str] = ("no", "yes"), **more: Any) -> Finding:
    """An invented finding; graded, of the whole vehicle, unless told otherwise."""
    return Finding(
        **{
            "id": id_, "name": id_, "kind": FindingKind.INSPECTION, "ask": Ask(plain=f"{id_}?"),
            "states": {state: state for state in states}, "leak": "rarely", **more,
        }
    )


def which(id_: str, states: Sequence[str], **more: Any) -> Finding:
    """An invented finding without order."""
    return finding(id_, states, scale=Scale.WHICH, **more)


def cause(id_: str, shows: Mapping[str, Any], rate: str = "0.005", **more: Any) -> Cause:
    """An invented cause."""
    return Cause(
        **{
            "id": id_, "name": id_, "family": Family.WHEEL, "says": id_, "rate": rate,
            "shows": dict(shows), "remedies": {}, **more,
        }
    )


def check(id_: str, yields: Iterable[str], minutes: float = 5.0, **more: Any) -> Check:
    """An invented check that can be done everywhere, on the parked car."""
    return Check(
        **{
            "id": id_, "name": id_, "kind": CheckKind.INSPECTION, "access": "parked",
            "places": EVERYWHERE, "minutes": minutes, "steps": [id_], "yields": list(yields),
            **more,
        }
    )


def remedy(id_: str, minutes: float, **more: Any) -> Remedy:
    """An invented remedy, done on the parked car."""
    return Remedy(
        **{
            "id": id_, "name": id_, "access": "parked", "places": EVERYWHERE, "minutes": minutes,
            "verify": "drive", "comeback": "look again", **more,
        }
    )


def access() -> Access:
    """Parked - rolling, parked - raised - wheel off - tire off; no tire off on a driveway."""
    low = [
        Move(start="parked", to="rolling", minutes=10, back=8),
        Move(start="parked", to="raised", minutes=4, back=3),
        Move(start="raised", to="wheel_off", minutes=3, back=5),
    ]
    tire = Move(start="wheel_off", to="tire_off", minutes=7, back=9)
    slow = [Move(start=m.start, to=m.to, minutes=2 * m.minutes, back=2 * m.back) for m in low]
    corner = Scope.CORNER
    return Access(
        states=[
            AccessState(id="parked", name="parked"),
            AccessState(id="rolling", name="rolling"),
            AccessState(id="raised", name="raised"),
            AccessState(id="wheel_off", name="wheel off", scope=corner),
            AccessState(id="tire_off", name="tire off", scope=corner),
        ],
        places={
            Place.COUNTER: PlaceRules(start="parked", moves=[]),
            Place.BAY: PlaceRules(start="parked", moves=[*low, tire]),
            Place.DRIVEWAY: PlaceRules(start="parked", moves=slow),
        },
        parts_minutes={Parts.NONE: 0, Parts.LOW: 20, Parts.MEDIUM: 60, Parts.HIGH: 150},
        shop_visit_minutes=90,
        source=[],
    )


def library(
    findings: Iterable[Finding],
    causes: Iterable[Cause],
    checks: Iterable[Check] = (),
    remedies: Iterable[Remedy] = (),
) -> Library:
    """A whole library of the given rules; its digest follows from its content."""
    parts: list[Any] = [list(findings), list(causes), list(checks), list(remedies), access()]
    strengths = {
        name: StrengthWord(word=name, probability=value) for name, value in WORDS.items()
    }
    tables: list[dict[str, Any]] = [{rule.id: rule for rule in rules} for rules in parts[:4]]
    return Library(
        settings=Settings(name="invented", version="0"),
        digest=hashlib.sha256(repr(parts).encode()).hexdigest(),
        access=parts[4], sources={}, strengths=strengths, rates=dict(strengths), facts={},
        tools={}, findings=tables[0], causes=tables[1], checks=tables[2], remedies=tables[3],
        cautions={}, tolerances={}, resonances={}, lexicon=(), origins={},
    )


def random_library(
    rng: np.random.Generator, causes: int = 12, graded: int = 8, which_: int = 3,
    named: float = 0.5, highest_rate: float = 0.08,
) -> Library:
    """An invented library of random strengths, all of the whole vehicle."""
    leaks = ["almost never", "rarely", "seldom"]
    findings = [
        finding(f"g{n}", ["a", "b", "c", "d"][: int(rng.integers(2, 5))], leak=rng.choice(leaks))
        for n in range(graded)
    ]
    findings += [
        which(f"w{n}", ["p", "q", "r", "s"][: int(rng.integers(2, 5))]) for n in range(which_)
    ]
    rules = [
        cause(
            f"c{n}",
            {each.id: _strength(rng, each) for each in findings if rng.random() < named},
            word(rng.uniform(0.002, highest_rate)),
        )
        for n in range(causes)
    ]
    return library(findings, rules)


def _strength(rng: np.random.Generator, rule: Finding) -> Any:
    if rule.scale is Scale.GRADED and rng.random() < 0.5:
        return word(rng.uniform(0.05, 0.98))
    states = [state for state in rule.states if rng.random() < 0.8] or [next(iter(rule.states))]
    return {state: word(rng.uniform(0.02, 0.98)) for state in states}


def random_evidence(
    rng: np.random.Generator, rules: Library, soft: float = 0.3, silent: float = 0.2
) -> dict[Spot, np.ndarray]:
    """Evidence on most findings: some normal, some abnormal, some soft."""
    found: dict[Spot, np.ndarray] = {}
    for rule in rules.findings.values():
        size = len(rule.states)
        if rng.random() < silent:
            continue
        if rng.random() < soft:
            found[Spot(rule.id)] = rng.uniform(0.01, 1.0, size)
        else:
            found[Spot(rule.id)] = np.eye(size)[int(rng.integers(size))]
    return found


def large_library(seed: int = 1, corner_causes: int = 40, other_causes: int = 40) -> Library:
    """An invented library of the size of a real one: 200 causes, 90 findings, 60 checks.

    Built as a real one is: every cause is felt; each names a few things that can be heard or
    felt from the seat, some history, and what shows it when it is looked for or measured.
    """
    rng = np.random.default_rng(seed)
    corner = Scope.CORNER
    felt = [finding("vibration", ["none", "slight", "strong"], leak="almost never")]
    felt += [finding(f"felt{n}", ["no", "some", "much"], leak="rarely") for n in range(12)]
    felt += [which(f"kind{n}", ["p", "q", "r", "s"][: 3 + n % 2]) for n in range(4)]
    history = [finding(f"past{n}", leak="seldom") for n in range(15)]
    looked = [finding(f"seen{n}", scope=corner, leak="rarely") for n in range(23)]
    looked += [finding(f"tried{n}", ["no", "some", "much"]) for n in range(12)]
    measured = [
        finding(f"dial{n}", ["within", "beyond", "far"], scope=corner, leak="almost never")
        for n in range(23)
    ]
    causes = [
        _felt_cause(rng, f"c{n}", n < corner_causes, felt, history, looked, measured)
        for n in range(corner_causes + other_causes)
    ]
    return library([*felt, *history, *looked, *measured], causes, *_work(causes, felt + history))


def _felt_cause(
    rng: np.random.Generator, id_: str, at_corner: bool, felt: list[Finding],
    history: list[Finding], looked: list[Finding], measured: list[Finding],
) -> Cause:
    named = [felt[0], *_some(rng, felt[1:], 6), *_some(rng, history, 3)]
    named += [*_some(rng, looked, 4), *_some(rng, measured, 3)]
    if not at_corner:
        named = [each for each in named if each.scope is Scope.VEHICLE]
    words = ["seldom", "sometimes", "half the time", "often", "usually", "nearly always"]
    shows: dict[str, Any] = {}
    for each in named:
        if each.scale is Scale.WHICH:
            shows[each.id] = {state: str(rng.choice(words)) for state in each.states}
        else:
            shows[each.id] = str(rng.choice(words))
    return cause(
        id_, shows, word(float(rng.choice([0.001, 0.001, 0.002, 0.005]))),
        scope=Scope.CORNER if at_corner else Scope.VEHICLE,
        remedies={f"cure_{id_}": "usually", "cure_all": "sometimes"},
        confirm_by=[f"look_{int(id_[1:]) // 2}"],
    )


def _some(rng: np.random.Generator, rules: list[Finding], count: int) -> list[Finding]:
    return [rules[n] for n in sorted(rng.choice(len(rules), count, replace=False))]


def _work(
    causes: list[Cause], asked: list[Finding]
) -> tuple[list[Check], list[Remedy]]:
    """Forty looks and measurements, twenty questions, and a remedy for each cause."""
    checks = []
    for n in range(40):
        named = sorted({each for rule in causes[2 * n : 2 * n + 2] for each in rule.shows})
        yields = [each for each in named if each.startswith(("seen", "dial", "tried"))][:4]
        state = ["parked", "raised", "wheel_off", "tire_off", "rolling"][n % 5]
        at_corner = state in ("wheel_off", "tire_off") or n < 20
        checks.append(
            check(
                f"look_{n}", yields or ["tried0"], float(3 + n % 9), access=state,
                scope=Scope.CORNER if at_corner else Scope.VEHICLE, safety=n % 20 == 0,
            )
        )
    checks += [
        check(f"ask_{n}", [asked[n].id], 1.0, kind=CheckKind.QUESTION) for n in range(20)
    ]
    remedies = [
        remedy(f"cure_{rule.id}", 20.0 + 5 * (k % 13), scope=rule.scope, parts=Parts.LOW)
        for k, rule in enumerate(causes)
    ]
    return checks, [*remedies, remedy("cure_all", 240.0, parts=Parts.HIGH)]


def drawn_evidence(
    rng: np.random.Generator, rules: Library, hidden: Sequence[Spot], count: int = 25,
    soft: int = 12,
) -> dict[Spot, np.ndarray]:
    """Evidence drawn for a car that has the hidden causes; `soft` of it with some doubt."""
    spots = [Spot("vibration")]
    pool = [each for each in rules.findings.values() if each.id != "vibration"]
    for n in rng.permutation(len(pool)):
        rule = pool[int(n)]
        spots.append(Spot(rule.id, hidden[0].corner if rule.scope is Scope.CORNER else None))
    found: dict[Spot, np.ndarray] = {}
    for k, spot in enumerate(spots[:count]):
        rule = rules.findings[spot.id]
        row = _draw_row(rules, rule, hidden)
        state = int(rng.choice(len(row), p=row))
        if spot.id == "vibration":
            state = max(state, 1)
        found[spot] = np.eye(len(row))[state]
        if k >= count - soft:
            found[spot] = np.maximum(found[spot], rng.uniform(0.01, 0.3, len(row)))
    return found


def _draw_row(rules: Library, rule: Finding, hidden: Sequence[Spot]) -> np.ndarray:
    """Chance of each state for the first hidden cause that names the finding, or none."""
    strength: Any = rule.leak if rule.scale is Scale.GRADED else None
    for each in hidden:
        strength = rules.causes[each.id].shows.get(rule.id, strength)
    states = list(rule.states)
    if strength is None:
        return np.full(len(states), 1 / len(states))
    if isinstance(strength, str):
        chance = WORDS[strength]
        return np.array([1 - chance] + [chance / (len(states) - 1)] * (len(states) - 1))
    parts = np.array([WORDS[strength[state]] for state in states])
    return parts / parts.sum()
