"""What a session shows: the same frozen objects for the command line, the reports and the wizard.

`msgspec.to_builtins(view)` gives the JSON of `--json`; `for_` is written "for".
Probabilities are unitless in [0, 1]; times are in [min]; gains of information in [bit].
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct, field


class DriveWord(StrEnum):
    """May the car be driven?"""

    STOP = "do not drive"
    GENTLY = "drive gently, straight to the check"
    OPEN = "nothing found yet against driving"


class View(Struct, frozen=True, kw_only=True):
    """Base of every view."""


class Reason(View, frozen=True, kw_only=True):
    """One finding's weight of evidence for (positive) or against (negative) a cause [bit]."""

    finding: str
    corner: str | None
    text: str
    weight: float
    check: str | None = None


class RankedCause(View, frozen=True, kw_only=True):
    """A live cause with its probability and its reasons, heaviest first."""

    cause: str
    corner: str | None
    name: str
    family: str
    probability: float
    word: str
    danger: str
    for_: tuple[Reason, ...] = field(name="for", default=())
    against: tuple[Reason, ...] = ()


class CauseSet(View, frozen=True, kw_only=True):
    """A combination of causes that together explain the findings."""

    causes: tuple[str, ...]
    name: str
    probability: float


class RuledOut(View, frozen=True, kw_only=True):
    """A cause under the threshold, and the check and answer that put it there."""

    cause: str
    corner: str | None
    name: str
    probability: float
    check: str | None
    finding: str | None
    entry: str | None
    text: str


class Field(View, frozen=True, kw_only=True):
    """One thing a check asks for: choices, or a value with its unit."""

    finding: str
    corner: str | None
    name: str
    question: str
    help: str
    states: dict[str, str]
    quantity: str | None
    unit: str | None
    tolerance: str | None
    answered: str | None


class NextCheck(View, frozen=True, kw_only=True):
    """A check that could be done next.

    `gain` is the expected drop in uncertainty [bit], `saves` the expected drop in cost to
    resolve [min], `minutes` its own time, `access_minutes` the way to its access state and
    what has to be put back, `score` what it is ranked by (saving and gain per minute).
    `also_at` are other corners at which it is worth nearly the same.
    """

    check: str
    corner: str | None
    name: str
    kind: str
    access: str
    minutes: float
    access_minutes: float
    gain: float
    saves: float
    score: float
    safety: bool
    near_tie: bool
    also_at: tuple[str, ...]
    here: bool
    why: str
    decides: str
    tools: tuple[str, ...]
    steps: tuple[str, ...]
    calculator: str
    fields: tuple[Field, ...]
    cautions: tuple[str, ...]
    shop_request: str


class RemedyChoice(View, frozen=True, kw_only=True):
    """A remedy in the order to try: chance of cure, effort and cost to resolve [min]."""

    remedy: str
    corner: str | None
    name: str
    chance: float
    minutes: float
    parts: str
    cost_to_resolve: float
    here: bool
    cures: tuple[str, ...]
    steps: tuple[str, ...]
    verify: str
    comeback: str
    cautions: tuple[str, ...]
    shop_request: str


class CautionShown(View, frozen=True, kw_only=True):
    """A caution in force and what raised it."""

    id: str
    level: str
    text: str
    why: str


class Drive(View, frozen=True, kw_only=True):
    """The word on driving and its reason."""

    word: DriveWord
    text: str


class Conclusion(View, frozen=True, kw_only=True):
    """Whether to go on asking. `decided` with the reason, or the reason to go on."""

    decided: bool
    kind: str
    text: str


class JudgedReading(View, frozen=True, kw_only=True):
    """A measured value against the tolerance in force (ISO 14253-1)."""

    entry: str
    finding: str
    corner: str | None
    name: str
    value: float
    uncertainty: float
    unit: str
    typed: str
    tolerance: str | None
    limit: float | None
    limit_from: str
    decision: str
    text: str


class AnswerShown(View, frozen=True, kw_only=True):
    """An answer in force, in words."""

    entry: str
    finding: str
    corner: str | None
    name: str
    value: str
    shown: str
    place: str
    at: str


class RulesStamp(View, frozen=True, kw_only=True):
    """Which rules ranked this, and whether the case was begun with the same."""

    name: str
    version: str
    hash: str
    same_as_case: bool


class SessionView(View, frozen=True, kw_only=True):
    """Everything a person sees of a session at one moment."""

    case: str
    title: str
    invented: bool
    place: str
    facts: dict[str, str]
    ranking: tuple[RankedCause, ...]
    sets: tuple[CauseSet, ...]
    ruled_out: tuple[RuledOut, ...]
    next: tuple[NextCheck, ...]
    remedies: tuple[RemedyChoice, ...]
    cautions: tuple[CautionShown, ...]
    drive: Drive
    conclusion: Conclusion
    answers: tuple[AnswerShown, ...]
    readings: tuple[JudgedReading, ...]
    no_fault: float
    prune_below: float
    left_out: float
    minutes_spent: float
    minutes_expected: tuple[float, float]
    rules: RulesStamp


class WhyView(View, frozen=True, kw_only=True):
    """One cause explained: what it is, reasons both ways, the path to its proof."""

    cause: str
    corner: str | None
    name: str
    says: str
    probability: float
    prior: float
    rank: int
    for_: tuple[Reason, ...] = field(name="for")
    against: tuple[Reason, ...]
    paths: tuple[str, ...]
    confirm_by: tuple[str, ...]
    remedies: tuple[str, ...]
    sources: tuple[str, ...]
    note: str
