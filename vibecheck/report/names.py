"""Names and single words: of causes, findings, checks and remedies at their corner, of chances,
places, parts and levels."""

from __future__ import annotations

from collections.abc import Iterator

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Spot
from vibecheck.knowledge.words import Corner, Danger, Level, Parts
from vibecheck.metrology.decision import Zone
from vibecheck.session.answers import UNSURE
from vibecheck.session.diagnosis import RankedCause, RankedFault
from vibecheck.session.driving import DriveWord

NOT_SURE = "not sure"
PARTS = {
    Parts.NONE: "no parts",
    Parts.LOW: "parts cost low",
    Parts.MEDIUM: "parts cost moderate",
    Parts.HIGH: "parts cost high",
}
LEVELS = {Level.STOP: "STOP", Level.WORK: "Before you work", Level.NOTE: "Note"}
DANGERS = {Danger.STOP: "dangerous", Danger.WATCH: "to be watched", Danger.NONE: ""}
DRIVE_WORDS = {
    DriveWord.STOP: "Do not drive",
    DriveWord.CAUTION: "Drive with caution - have it inspected now",
    DriveWord.NOT_CHECKED: "Not yet checked - drive gently, straight to the check",
    DriveWord.NOTHING_FOUND: "No stop-driving condition found so far",
}
ZONES = {
    Zone.WITHIN: "pass, proven within the limit",
    Zone.BEYOND: "fail, proven beyond the limit",
    Zone.UNDECIDED: "too close to call, the limit lies inside the uncertainty",
}
NEAR_SHARE = 0.3  # an axle is named beside the likelier one from this share of its chance on
_AXLES = {"front": (Corner.LF, Corner.RF), "rear": (Corner.LR, Corner.RR)}
_CHANCE_WORDS = (
    (0.95, "nearly certain"),
    (0.8, "very likely"),
    (0.5, "likely"),
    (0.2, "possible"),
    (0.05, "less likely"),
    (0.0, "unlikely"),
)
_WEIGHT_WORDS = ((3.0, "very strongly"), (1.5, "strongly"), (0.7, "clearly"), (0.3, "somewhat"))
# A check is of high value where it brings more than its own minutes [min per min].
_VALUE_WORDS = ((1.0, "high"), (0.3, "medium"), (0.0, "low"))


def chance_word(probability: float) -> str:
    """A word for a probability."""
    return next(word for least, word in _CHANCE_WORDS if probability >= least)


def weight_word(bits: float) -> str:
    """How strongly a finding speaks, for a weight of evidence in [bit]."""
    return next((word for least, word in _WEIGHT_WORDS if abs(bits) >= least), "a little")


def value_word(score: float) -> str:
    """What a check is worth, for its score [min per min]."""
    return next(word for least, word in _VALUE_WORDS if score >= least)


def at_corner(name: str, corner: Corner | None) -> str:
    """A name with its corner, where it has one."""
    return f"{name}, {corner.spoken}" if corner else name


def cause_name(library: Library, spot: Spot) -> str:
    """A cause at its corner."""
    return at_corner(library.causes[spot.id].name, spot.corner)


def ranked_name(library: Library, cause: RankedCause) -> str:
    """A cause of the ranking; a fault whose corners are alike is named with all of them."""
    if not isinstance(cause, RankedFault) or cause.told_apart:
        return cause_name(library, cause.spot)
    return f"{library.causes[cause.spot.id].name} ({'; '.join(_places(cause))})"


def axle_text(cause: RankedCause) -> str:
    """The axle that comes first where the corner of a fault is open; "" where none does."""
    if not isinstance(cause, RankedFault) or cause.told_apart:
        return ""
    chances = dict(cause.corners)
    axles = {axle: sum(chances.get(side, 0.0) for side in sides)
             for axle, sides in _AXLES.items()}
    most = max(axles.values())
    near = [axle for axle, chance in axles.items() if chance >= NEAR_SHARE * most]
    return near[0] if len(near) == 1 else ""


def _places(fault: RankedFault) -> Iterator[str]:
    """The chances of a fault's corners, both sides of an axle together where they are alike."""
    shares = {corner: round(100.0 * chance) for corner, chance in fault.corners}
    for axle, (left, right) in _AXLES.items():
        if left in shares and shares[left] == shares.get(right):
            yield f"{axle} {shares[left]} % each side"
        else:
            yield from (
                f"{corner.spoken} {shares[corner]} %" for corner in (left, right)
                if corner in shares
            )


def finding_name(library: Library, spot: Spot) -> str:
    """A finding at its corner."""
    return at_corner(library.findings[spot.id].name, spot.corner)


def check_name(library: Library, spot: Spot) -> str:
    """A check at its corner."""
    return at_corner(library.checks[spot.id].name, spot.corner)


def remedy_name(library: Library, spot: Spot) -> str:
    """A remedy at its corner."""
    return at_corner(library.remedies[spot.id].name, spot.corner)


def done_name(library: Library, entry: Entry) -> str:
    """The remedy that an entry says was done; its id where the rules do not know it."""
    if entry.remedy not in library.remedies:
        return entry.remedy
    return remedy_name(library, Spot(entry.remedy, Corner(entry.corner) if entry.corner else None))


def set_name(library: Library, causes: tuple[Spot, ...]) -> str:
    """A combination of causes."""
    names = [cause_name(library, spot) for spot in causes]
    return " together with ".join(names) if names else "none of the known causes"


def access_name(library: Library, access: str) -> str:
    """How far the car is opened up."""
    return next((state.name for state in library.access.states if state.id == access), access)


def state_name(finding: Finding, value: str) -> str:
    """A state in words; what is no state stays as it is."""
    return NOT_SURE if value == UNSURE else finding.states.get(value, value)


def fact_text(library: Library, name: str, value: str) -> str:
    """A fact of the vehicle in words."""
    fact = library.facts.get(name)
    return f"{fact.name}: {fact.values.get(value, value)}" if fact else f"{name}: {value}"
