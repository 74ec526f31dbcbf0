"""The bench of trial weights: a wheel balanced where it sits on the car."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.session.benches.result import BenchView
from vibecheck.session.benches.trialweight import TrialTyped, run
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.slots import Slot

_TWO = "One sensor, or two parted by a semicolon, as 8.4 at 30; 5.1 at 120."
_RUN = "The same speed with the trial weight on, and nothing else changed."


class TrialWeightBench(BenchScreen):
    """The weight that tire, wheel, hub and disc want together."""

    NAME = "trialweight"
    ABOUT_TITLE = "Trial weight on the car"
    ABOUT = (
        "Run the wheel on the car at one steady speed and read the vibration, once as found and "
        "once with a known weight fixed to the rim. From the change follows the weight that all "
        "that turns wants together: tire, wheel, hub and disc. With a phase, one trial run for "
        "each plane does; without, the same weight is tried at three places in turn. A raised "
        "wheel under power can kill: keep to the vehicle maker's manual for stands and drive "
        "modes, and keep everybody out of the wheel's plane."
    )
    EMPTY = (
        "Type the vibration as found, the trial weight, and the vibration with it on.\n\n"
        "F5 shows an example."
    )
    SLOTS = (
        Slot("first", "Shake as found", "8.4 at 30",
             f"Size and phase at one steady speed, in any unit. {_TWO}"),
        Slot("trial1", "Trial weight", "30 g at 0", "Its mass, and its angle on the rim."),
        Slot("run1", "With weight on", "12.1 at 75", _RUN),
        Slot("uncertainty", "Uncertainty", "0.4", "Of a size read, at about 95 %."),
        Slot("trial2", "Weight, plane 2", "30 g at 90",
             "For two planes and two sensors: the second weight, the first one taken off.",
             more=True),
        Slot("run2", "With it, plane 2", "5.0 at 10; 9.2 at 80", _RUN, more=True),
        Slot("positions", "Weight sat at", "0 120 240",
             "Without a phase: where the one weight sat in turn. Then write sizes alone, one run "
             "for each place: 9.6 12.0 4.4.", more=True),
        Slot("step", "Weights in steps", "5 g", "The smallest step of the weights at hand.",
             more=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "first": "8.4 at 30", "trial1": "30 g at 0", "run1": "12.1 at 75", "uncertainty": "0.4",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The weights."""
        return run(TrialTyped(
            first=texts["first"], runs=_filled(texts, "run"), trials=_filled(texts, "trial"),
            positions=texts["positions"], uncertainty=texts["uncertainty"], step=texts["step"],
        ))

    def field_of(self, where: str) -> str:
        """A complaint about the second run belongs to its field."""
        field, _, rest = where.partition(",")
        name = {"runs": "run", "trials": "trial"}.get(field.strip())
        if name is None:
            return super().field_of(where)
        place = rest.split(",")[0].strip()
        return f"{name}{place}" if place in ("1", "2") else f"{name}1"


def _filled(texts: Mapping[str, str], name: str) -> tuple[str, ...]:
    return tuple(texts[f"{name}{place}"] for place in (1, 2) if texts[f"{name}{place}"].strip())
