"""The kind of complaint that a text makes likely, from the answers that it offers.

The first kind that fits is taken, from the special to the general: a swing after a bump, a shake
only under the brakes, a noise, a shake standing still, a shudder under pull, a shake on the road, a
worry, no complaint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum


class ComplaintKind(StrEnum):
    """Kinds of complaint, as the finding `complaint_kind` has them."""

    SHAKE = "shake"
    BRAKING = "braking"
    NOISE = "noise"
    PULLING = "pulling"
    STANDING = "standing"
    BUMP_SWING = "bump_swing"
    WORRY = "worry"
    NONE = "none"


FINDING = "complaint_kind"
SHAKE_WORDS, NOISE_WORDS, WORRY_WORDS, NONE_WORDS = "shake", "noise", "worry", "no_complaint"
GROUPS = (SHAKE_WORDS, NOISE_WORDS, WORRY_WORDS, NONE_WORDS)
_NOISES = frozenset({"hum", "thump", "clunk", "rattle", "clicks_in_turns", "other_noise"})
_FELT = frozenset({
    "felt_in_steering_wheel", "felt_in_seat", "felt_in_shifter", "felt_in_body", "vibration",
})  # fmt: skip
_TRIED = frozenset({"in_neutral_coast", "hands_on_wheel", "drive_mode"})
_PULL = frozenset({"under_acceleration", "moving_off", "at_light_throttle"})
_STANDING = frozenset({"at_standstill", "idle_swings", "rev_standing",
                       "changes_in_neutral_standing", "at_start_stop"})  # fmt: skip
_WORRIES = frozenset({
    "danger_seen", "brake_warning", "hot_smell", "pulls", "steering_loose", "off_center",
    "engine_lamp", "fumes_inside", "power_loss", "pull_when_braking", "wanders", "loses_air",
    "steering_return", "steering_lamp", "binds_in_tight_turns",
})  # fmt: skip


@dataclass(frozen=True)
class Signs:
    """What was said: findings that are not normal, groups of words, and how.

    `only` and `worse` are the conditions said to be the only one, or to make it worse.
    """

    said: frozenset[str]
    groups: frozenset[str]
    only: frozenset[str]
    worse: frozenset[str]
    feel: str | None = None

    def any_of(self, findings: Iterable[str]) -> bool:
        """Whether one of these findings was said."""
        return not self.said.isdisjoint(findings)

    @property
    def shakes(self) -> bool:
        """Whether a shake was said."""
        felt = self.feel is not None and self.feel != "knock"
        return felt or SHAKE_WORDS in self.groups or self.any_of(_FELT | _TRIED)

    @property
    def sounds(self) -> bool:
        """Whether a noise was said."""
        return NOISE_WORDS in self.groups or self.any_of(_NOISES)

    @property
    def at_speed(self) -> bool:
        """Whether a road speed was said."""
        return self.any_of(("worst_speed", "onset_speed"))


def _braking(signs: Signs) -> bool:
    if not signs.any_of(("under_braking", "felt_in_pedal")):
        return False
    if "under_braking" in signs.worse and "under_braking" not in signs.only:
        return False
    return signs.shakes or "felt_in_pedal" in signs.said


def _standing(signs: Signs) -> bool:
    if signs.at_speed or not signs.any_of(_STANDING):
        return False
    return signs.shakes or signs.any_of(_STANDING - {"at_standstill"}) or not signs.any_of(_WORRIES)


def _pulling(signs: Signs) -> bool:
    if "at_light_throttle" in signs.said:
        return True
    return signs.any_of(_PULL - signs.worse) and (signs.shakes or "power_loss" in signs.said)


_KINDS: tuple[tuple[ComplaintKind, Callable[[Signs], bool]], ...] = (
    (ComplaintKind.BUMP_SWING, lambda signs: "shakes_after_bump" in signs.said),
    (ComplaintKind.BRAKING, _braking),
    (ComplaintKind.NOISE, lambda signs: signs.sounds and not signs.shakes),
    (ComplaintKind.STANDING, _standing),
    (ComplaintKind.PULLING, _pulling),
    (ComplaintKind.SHAKE, lambda signs: signs.shakes),
    (ComplaintKind.WORRY, lambda signs: signs.any_of(_WORRIES) or WORRY_WORDS in signs.groups),
    (ComplaintKind.SHAKE, lambda signs: signs.at_speed),
    (ComplaintKind.NONE, lambda signs: NONE_WORDS in signs.groups),
)


def kind_of(signs: Signs) -> ComplaintKind | None:
    """The kind of complaint, or None where nothing tells."""
    return next((kind for kind, fits in _KINDS if fits(signs)), None)
