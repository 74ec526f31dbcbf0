"""May the car be driven, as far as is known: the word, and what it rests on.

A value with its reasons: what was seen, what is likely enough, and what was not looked at. The
sentences for it stand in the report.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Danger, Level
from vibecheck.reasoning.belief import Belief, anywhere
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.cautions import ActiveCaution

CAUTION_ABOVE = 0.3  # a cause to be watched asks for caution from this probability on


class DriveWord(StrEnum):
    """The word on driving."""

    STOP = "stop"
    CAUTION = "caution"
    NOTHING_FOUND = "nothing_found"


@dataclass(frozen=True)
class LikelyDanger:
    """A dangerous cause that is likely enough to count, at its likeliest corner.

    `probability` is that of the cause at some corner or another [unitless].
    """

    spot: Spot
    danger: Danger
    probability: float


@dataclass(frozen=True)
class Driving:
    """The word on driving and its reasons.

    seen : stop cautions in force, with what raised them.
    likely : dangers that are likely enough, those that stop the car first.
    unchecked : safety checks that come before all others and are not done.
    """

    seen: tuple[ActiveCaution, ...] = ()
    likely: tuple[LikelyDanger, ...] = ()
    unchecked: tuple[Option, ...] = ()

    @property
    def word(self) -> DriveWord:
        """What the reasons amount to."""
        if self.seen or any(each.danger is Danger.STOP for each in self.likely):
            return DriveWord.STOP
        return DriveWord.CAUTION if self.likely or self.unchecked else DriveWord.NOTHING_FOUND


def driving(
    belief: Belief, cautions: Iterable[ActiveCaution], checks: Iterable[Option]
) -> Driving:
    """The word on driving.

    Parameters
    ----------
    belief : what is believed now.
    cautions : all cautions in force.
    checks : all checks worth doing.
    """
    stop_above = belief.network.library.settings.stop_driving_above
    found = (
        (likeliest_danger(belief, Danger.STOP), stop_above),
        (likeliest_danger(belief, Danger.WATCH), CAUTION_ABOVE),
    )
    return Driving(
        seen=tuple(each for each in cautions if each.rule.level is Level.STOP),
        likely=tuple(each for each, least in found if each and each.probability >= least),
        unchecked=tuple(option for option in checks if option.urgent),
    )


def likeliest_danger(belief: Belief, danger: Danger) -> LikelyDanger | None:
    """The cause of this danger that is likeliest to be present at some corner."""
    network, chances = belief.network, belief.chances
    sums: dict[str, float] = {}
    for node, chance in zip(network.causes, chances, strict=True):
        if node.rule.danger is danger:
            sums[node.spot.id] = sums.get(node.spot.id, 0.0) + float(chance)
    top, most = "", 0.0
    for cause in sorted(sums, key=lambda each: -sums[each]):
        if sums[cause] <= most:
            break  # the chance of any corner is never above the sum over the corners
        found = anywhere(belief, cause)
        if found > most:
            top, most = cause, found
    spots = [spot for spot in network.index if spot.id == top]
    if not spots:
        return None
    best = max(spots, key=lambda spot: chances[network.index[spot]])
    return LikelyDanger(best, danger, most)
