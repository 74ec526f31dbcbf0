"""The page of two tires that roll unlike."""

from __future__ import annotations

import math
from collections.abc import Iterable

from vibecheck.calculators.beat import BeatResult
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

PERCENT = 100.0


def page(result: BeatResult, wording: Wording) -> tuple[Block, ...]:
    """The swelling, and what it says of the two tires."""
    return result_page(
        _headline(result, wording), titled("Two tires", _tires(result, wording)),
        mind=_mind(result),
        next_steps=("measure both rolls on the floor: chalk the tread, roll ten turns, divide",
                    "set pressures alike and compare sizes, makes and tread before parts"),
    )


def _share(result: BeatResult, wording: Wording) -> str:
    found = result.beat
    return wording.spread(PERCENT * found.difference, PERCENT * found.difference_uncertainty,
                          Quantity.NUMBER) + " %"


def _headline(result: BeatResult, wording: Wording) -> str:
    at = wording.size(result.speed_kmh, Quantity.SPEED)
    found = result.beat
    if result.from_period:
        return f"the two tires roll {_share(result, wording)} unlike, by beats at {at}"
    period = wording.spread(found.period_s, found.period_uncertainty_s, Quantity.NUMBER)
    return f"at {at} the shake swells every {period} s"


def _tires(result: BeatResult, wording: Wording) -> Iterable[str]:
    apart, spread = result.roll_apart_mm
    roll = wording.spread(apart, spread, Quantity.LENGTH)
    yield f"one rolls {roll} farther in a turn: {_share(result, wording)}"
    tread = wording.spread(apart / math.tau, spread / math.tau, Quantity.LENGTH)
    yield f"that is as much as {tread} of tread"


def _mind(result: BeatResult) -> Iterable[str]:
    yield "a beat tells that two parts turn unlike, not which of them is larger"
    if result.beat.difference_uncertainty >= result.beat.difference:
        yield "so small a difference cannot be told from the sizes alone: measure the rolls"
    yield ("makers of all-wheel drives limit how unlike four tires may roll: the manual's figure "
           "goes first")
