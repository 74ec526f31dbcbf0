"""The closed word lists of the rules, and the corners of a car."""

from __future__ import annotations

from enum import StrEnum


class Corner(StrEnum):
    """The four wheel ends, as seen by the driver."""

    LF = "LF"
    RF = "RF"
    LR = "LR"
    RR = "RR"

    @property
    def spoken(self) -> str:
        """The corner in words."""
        side = "left" if self.left else "right"
        return f"{side} {'front' if self.front else 'rear'}"

    @property
    def front(self) -> bool:
        """True for the front axle."""
        return self.value[1] == "F"

    @property
    def left(self) -> bool:
        """True for the left side."""
        return self.value[0] == "L"


class Place(StrEnum):
    """Where the person stands."""

    COUNTER = "counter"
    BAY = "bay"
    DRIVEWAY = "driveway"


class Scope(StrEnum):
    """Whether a thing belongs to the whole vehicle or stands at each corner."""

    VEHICLE = "vehicle"
    CORNER = "corner"


class Where(StrEnum):
    """The corners at which a thing of corner scope exists."""

    ALL = "all"
    FRONT = "front"
    REAR = "rear"
    DRIVEN = "driven"


class Scale(StrEnum):
    """`graded`: ordered states, the first is normal. `which`: states without order."""

    GRADED = "graded"
    WHICH = "which"


class FindingKind(StrEnum):
    """Where a finding comes from."""

    COMPLAINT = "complaint"
    HISTORY = "history"
    INSPECTION = "inspection"
    MEASUREMENT = "measurement"
    TRIAL = "trial"


class CheckKind(StrEnum):
    """What sort of step a check is."""

    QUESTION = "question"
    INSPECTION = "inspection"
    MEASUREMENT = "measurement"
    TRIAL = "trial"


class Family(StrEnum):
    """The part of the car a cause belongs to."""

    TIRE = "tire"
    WHEEL = "wheel"
    MOUNTING = "mounting"
    HUB = "hub"
    BRAKE = "brake"
    STEERING = "steering"
    DRIVELINE = "driveline"
    ENGINE = "engine"
    BODY = "body"


class Level(StrEnum):
    """How loud a caution is."""

    STOP = "stop"
    WORK = "work"
    NOTE = "note"


class Danger(StrEnum):
    """What a cause means for driving on."""

    NONE = "none"
    WATCH = "watch"
    STOP = "stop"


class Standing(StrEnum):
    """How well a figure is known."""

    READ = "read"
    MEMORY = "memory"
    COMMON_PRACTICE = "common_practice"
    CALCULATED = "calculated"
    REASONED = "reasoned"


class Law(StrEnum):
    """How the force of a cause grows with road speed."""

    SPEED_SQUARED = "speed_squared"
    CONSTANT = "constant"
    TORQUE = "torque"


class Turning(StrEnum):
    """The part whose turns an order counts."""

    WHEEL = "wheel"
    DRIVESHAFT = "driveshaft"
    HALF_SHAFT = "half_shaft"
    CRANK = "crank"
    MOTOR = "motor"


class Path(StrEnum):
    """The way by which a force reaches the driver; resonance windows name the same paths."""

    VERTICAL = "vertical"
    LATERAL = "lateral"
    STEERING = "steering"
    DRIVELINE = "driveline"
    BODY = "body"


class Parts(StrEnum):
    """Cost class of the parts a remedy needs."""

    NONE = "none"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class FactKind(StrEnum):
    """How a vehicle fact is typed."""

    CHOICE = "choice"
    TIRE_SIZE = "tire_size"
    NUMBER = "number"
    TEXT = "text"


class Worse(StrEnum):
    """Which way a measured value is bad."""

    HIGHER = "higher"
    LOWER = "lower"


class Reads(StrEnum):
    """How the words of a hint are read."""

    SAID = "said"  # the answer is offered where the words are said
    CONDITION = "condition"  # words for when it happens: "fine when braking" denies them too
    DENIED = "denied"  # the answer is offered only where the words are denied


class WordUse(StrEnum):
    """What a list of words is for, when what a person said is read."""

    SAME = "same"  # other words for its id: "tyre" reads as "tire"
    GROUP = "group"  # words that a phrase may call together: <shake>
    FILLER = "filler"  # words passed over
    DENIAL = "denial"  # not, never, without
    GONE = "gone"  # better, smooth, goes away
    SOFT = "soft"  # slightly, a bit
    WORSE = "worse"  # worse, more: it is there without, too
    ONLY = "only"  # only, just when
    BREAK = "break"  # a new thought begins: but, although
    SINCE = "since"  # since, after, ever since
    SINCE_THEN = "since_then"  # after the work: ever since, and now
    UNSURE = "unsure"  # what follows is doubted or only looked for: not sure if, checked for
    MENDED = "mended"  # tightened, replaced: what follows was put right
    START = "start"  # begins, kicks in
    WORST = "worst"  # worst, peaks
    NO_SPEED = "no_speed"  # a bump, a road: a number beside them is no speed of the shake
    LINK = "link"  # at, after, off: words that hold a phrase in its order
    AS_WRITTEN = "as_written"  # words whose ending matters: "pedals" is not "pedal"
    ORDINARY = "ordinary"  # never taken for another word mistyped


class SpeedBy(StrEnum):
    """What says at which speed a cause is felt.

    `resonance`: what it shakes, through tire size and resonance windows; `own`: its own words,
    for a noise, a drag or a swing that keeps itself going.
    """

    RESONANCE = "resonance"
    OWN = "own"


class Aspect(StrEnum):
    """What a core finding tells of the complaint."""

    KIND = "kind"
    WHEN = "when"
    WHERE = "where"
    WHAT = "what"
    SPEED = "speed"
    LOAD = "load"
    WARMTH = "warmth"
    SINCE = "since"


class Axle(StrEnum):
    """The front or the rear axle."""

    FRONT = "front"
    REAR = "rear"


class Side(StrEnum):
    """The left or the right side, as seen by the driver."""

    LEFT = "left"
    RIGHT = "right"


class Computed(StrEnum):
    """Findings whose strengths follow from physics instead of words."""

    WORST_SPEED = "worst_speed"
    ONSET_SPEED = "onset_speed"
