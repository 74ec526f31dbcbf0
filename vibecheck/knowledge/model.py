"""The shapes of everything a rule file may hold.

Every struct is frozen and refuses unknown keys, so a misspelt key is a fault and not a silence.
Ids are lower case words joined by underscores. Texts are plain text, never markup.
This module checks shape only; whether ids exist and rules make sense is for `checks`.
"""

from __future__ import annotations

from typing import Annotated, NamedTuple

from msgspec import Meta, Struct, field

from vibecheck.knowledge.words import (
    Aspect,
    Axle,
    CheckKind,
    Computed,
    Corner,
    Danger,
    FactKind,
    Family,
    FindingKind,
    Law,
    Level,
    Parts,
    Path,
    Place,
    Reads,
    Scale,
    Scope,
    SpeedBy,
    Standing,
    Turning,
    Where,
    WordUse,
    Worse,
)

Id = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Text = Annotated[str, Meta(min_length=1, max_length=2000)]
Minutes = Annotated[float, Meta(ge=0, le=600)]
Share = Annotated[float, Meta(ge=0, le=1)]
Word = str  # one of the words of strengths.yaml or rates
Strength = str | dict[str, str]  # a word for "abnormal", or a word for each state
Fits = dict[Id, list[str]]  # vehicle fact -> values with which the thing can exist
USUAL = "as usual"  # of a core finding: as the other causes of the complaint have it


ON_THE_ROAD = "rolling"  # the access state in which the car is driven


class Spot(NamedTuple):
    """A cause, finding or check at a corner, or of the whole vehicle (corner None)."""

    id: str
    corner: Corner | None = None

    def __str__(self) -> str:
        return f"{self.id}@{self.corner.value}" if self.corner else self.id


class Rule(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What every rule carries: its id, its name for people, its sources and a remark."""

    id: Id
    name: Text
    source: list[Id] = []
    note: str = ""


class Source(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A publication, or a standing such as common practice."""

    id: Id
    title: Text
    standing: Standing
    publisher: str = ""
    year: int | None = None
    part: str = ""
    note: str = ""


class StrengthWord(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A word a rule may use, and the probability it stands for."""

    word: Text
    probability: Share
    meaning: str = ""


class Measure(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """How a typed value becomes a state.

    `graded`: `steps` are multiples of the tolerance at which the next state begins (one fewer
    than the states). `which`: `edges` are the bounds of the states in the base unit (one more
    than the states). `smear` is the standard uncertainty taken when none is typed.
    """

    quantity: str
    unit: str
    tolerance: Id | None = None
    steps: list[float] = []
    edges: list[float] = []
    lowest: float
    highest: float
    smear: float
    worse: Worse = Worse.HIGHER


class Ask(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The question as each person should hear it; a missing one falls back to `plain`."""

    plain: Text
    counter: str = ""
    bay: str = ""
    driveway: str = ""


class Finding(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Something that can be observed. The first state of a graded finding is the normal one.

    `yes_means` tells what a yes says where the question asks for a part that is in order;
    `one_thing` why a question that names two things has one answer.
    """

    kind: FindingKind
    scale: Scale = Scale.GRADED
    scope: Scope = Scope.VEHICLE
    states: dict[Id, Text]
    ask: Ask
    help: str = ""
    leak: Word = "rarely"
    background: dict[str, str] = {}
    measure: Measure | None = None
    computed: Computed | None = None
    fits: Fits = {}
    yes_means: str = ""
    one_thing: str = ""


class Core(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A finding of the core profile: one that tells of the complaint itself.

    Every cause has a word on it: its own, that of its kinds, or what is usual among all causes.
    """

    id: Id
    aspect: Aspect


class Excites(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a cause shakes: `order` times per turn of `of`, by `law`, along `path`.

    Several stand for several ways in which it is felt, each as often as its `share` says.
    """

    order: Annotated[float, Meta(gt=0, le=40)]
    of: Turning = Turning.WHEEL
    law: Law
    path: Path
    share: Annotated[float, Meta(gt=0, le=1)] = 1.0


class Kind(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What causes of one kind have in common: how they show in the core profile, and why.

    A cause is `like` one or more kinds. Of several the mean holds; the cause's own words go
    before all of them. A kind may itself be like others, in the same way.
    """

    says: Text
    like: list[Id] = []
    shows: dict[Id, Strength]
    shows_front: dict[Id, Strength] = {}
    shows_rear: dict[Id, Strength] = {}
    shows_left: dict[Id, Strength] = {}
    shows_right: dict[Id, Strength] = {}
    speed: SpeedBy | None = None
    excites: list[Excites] = []


class RateCase(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Another rate of a cause: on cars with these facts, or at one axle."""

    rate: Word
    when: Fits = {}
    axle: Axle | None = None


class ShareCase(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Other shares of a fact's values, on cars with other facts known."""

    when: Fits
    shares: dict[str, Share]


class Fleet(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What share of the cars has each value of the vehicle fact `id`, while it is not known."""

    id: Id
    shares: dict[str, Share]
    given: list[ShareCase] = []
    note: str = ""
    source: list[Id] = []


class Cause(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A fault that can make the car vibrate.

    `rates` take the place of `rate` where their facts hold, the first that fits. `like` names
    kinds. `seen_as` names the findings, with their states, that *are* this cause: a torn bushing
    that is seen.
    """

    family: Family
    scope: Scope = Scope.VEHICLE
    where: Where = Where.ALL
    says: Text
    rate: Word
    rates: list[RateCase] = []
    like: list[Id] = []
    shows: dict[Id, Strength]
    shows_front: dict[Id, Strength] = {}
    shows_rear: dict[Id, Strength] = {}
    shows_left: dict[Id, Strength] = {}
    shows_right: dict[Id, Strength] = {}
    speed: SpeedBy | None = None
    excites: list[Excites] = []
    fits: Fits = {}
    seen_as: dict[Id, list[str]] = {}
    confirm_by: list[Id] = []
    remedies: dict[Id, Word]
    cautions: list[Id] = []
    danger: Danger = Danger.NONE
    inseparable: dict[Id, Text] = {}


class Check(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A step that yields findings."""

    kind: CheckKind
    scope: Scope = Scope.VEHICLE
    where: Where = Where.ALL
    access: Id
    places: list[Place]
    minutes: Minutes
    tools: list[Id] = []
    steps: list[Text]
    calculator: str = ""
    yields: list[Id]
    ask_after: list[Id] = []
    safety: bool = False
    drives: bool | None = None
    fits: Fits = {}
    cautions: list[Id] = []
    shop_request: str = ""

    @property
    def moves_car(self) -> bool:
        """Whether it drives the car, spins a wheel under power or runs the engine under load.

        A trial does, and what is done on the road; `drives` says otherwise.
        """
        if self.drives is not None:
            return self.drives
        return self.kind is CheckKind.TRIAL or self.access == ON_THE_ROAD


class Remedy(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A correction, how to prove it worked, and what to do if the complaint comes back."""

    scope: Scope = Scope.VEHICLE
    access: Id
    places: list[Place]
    minutes: Minutes
    parts: Parts = Parts.NONE
    steps: list[Text] = []
    verify: Text
    comeback: Text
    drives: bool | None = None
    cautions: list[Id] = []
    shop_request: str = ""

    @property
    def moves_car(self) -> bool:
        """Whether the remedy itself drives the car; the drive that verifies it comes after."""
        return self.access == ON_THE_ROAD if self.drives is None else self.drives


class Seen(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A finding in one of `states`, or measured `beyond` a tolerance other than its own."""

    finding: Id
    states: list[str] = []
    beyond: Id | None = None


class Trigger(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One way a caution is raised: a finding in one of `states`, several findings together
    (`all_of`), a cause above a probability, or a step that is about to be done (a check, a
    remedy, or any step at an access state)."""

    finding: Id | None = None
    states: list[str] = []
    all_of: list[Seen] = []
    cause: Id | None = None
    above: Share = 0.5
    check: Id | None = None
    remedy: Id | None = None
    access: Id | None = None
    place: Place | None = None
    fact: Id | None = None
    values: list[str] = []


class Caution(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A safety text and what raises it."""

    id: Id
    level: Level
    text: Text
    triggers: list[Trigger] = []
    source: list[Id]


class Variant(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Another value of a tolerance, for vehicles with these facts."""

    when: Fits
    value: Text
    source: list[Id]
    note: str = ""


class Tolerance(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A limit with its unit ("0.5 mm"); the vehicle's own figure in a case overrides it."""

    value: Text
    variants: list[Variant] = []


class Fact(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A fact of the vehicle that decides which causes can exist and what the orders are."""

    id: Id
    name: Text
    kind: FactKind
    question: Text
    values: dict[str, str] = {}
    lowest: float = 0.0
    highest: float = 0.0
    example: str = ""


class Tool(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A tool a check needs; `home` says that an owner may well have it."""

    id: Id
    name: Text
    home: bool = False
    note: str = ""


class AccessState(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """How far the car is opened up (parked, raised, wheel off ...)."""

    id: Id
    name: Text
    scope: Scope = Scope.VEHICLE


class Move(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A way from one access state to another and back, with the minutes of each."""

    start: Id
    to: Id
    minutes: Minutes
    back: Minutes


class PlaceRules(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Where a visit starts at this place and what can be opened up there."""

    start: Id
    moves: list[Move]


class Access(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The access graph, and what parts and a shop visit count for in minutes of work."""

    states: list[AccessState]
    places: dict[Place, PlaceRules]
    parts_minutes: dict[Parts, Minutes]
    shop_visit_minutes: Minutes
    source: list[Id]


class Resonance(Rule, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A band of frequencies [Hz] in which a path carries more to the driver."""

    path: Path
    low_hz: float
    high_hz: float
    gain: Annotated[float, Meta(gt=0, le=100)]


class Hint(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Phrases a customer may use, and the answer they suggest (never applied unasked).

    A phrase may call a group of words (<shake>) and reach over a sentence ("rotated ... moved").
    `denied` is the state to offer where the phrase is denied: by default the normal state of a
    graded finding; "nothing" where the finding covers more than the words. `since` is the state of
    `started` that follows where the phrase is said after "since" or the like. A phrase whose words
    all stand in a longer one gives way to it, unless it `shares` them, is a condition or has a
    `since`. It counts only `with` one of these findings said in the same sentence, or `unless` one
    of those is.
    """

    words: list[Text]
    finding: Id
    state: str
    reads: Reads = Reads.SAID
    denied: str = ""
    since: str = ""
    shares: bool = False
    unless: list[Id] = []
    with_: list[Id] = field(default=[], name="with")


class WordList(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Words of one use; the id is what phrases call a group, or what other words stand for."""

    id: Id
    use: WordUse
    words: list[Text]


class Settings(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The library's name and version, and the thresholds that the screen states."""

    name: Text
    version: Text
    prune_below: Share = 0.01
    agree_above: Share = 0.9
    stop_driving_above: Share = 0.2


class RuleFile(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One YAML file of the rules; any of these lists may stand in any file."""

    library: Settings | None = field(default=None)
    sources: list[Source] = []
    strengths: list[StrengthWord] = []
    rates: list[StrengthWord] = []
    facts: list[Fact] = []
    tools: list[Tool] = []
    findings: list[Finding] = []
    core: list[Core] = []
    kinds: list[Kind] = []
    fleet: list[Fleet] = []
    causes: list[Cause] = []
    checks: list[Check] = []
    remedies: list[Remedy] = []
    cautions: list[Caution] = []
    tolerances: list[Tolerance] = []
    resonances: list[Resonance] = []
    lexicon: list[Hint] = []
    word_lists: list[WordList] = []
    access: Access | None = field(default=None)
