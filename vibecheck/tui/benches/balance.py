"""The balance bench: what the machine asks for in two planes, and the weights that do it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.balance import BalanceTyped, run
from vibecheck.session.benches.result import BenchView
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.slots import Slot

_LENGTH = Quantity.LENGTH
_AGAIN = "The same after turning the wheel on the machine's shaft; angles from the valve stem."


class BalanceBench(BenchScreen):
    """Weights to place, static and couple."""

    NAME = "balance"
    ABOUT_TITLE = "Balance"
    ABOUT = (
        "Type the weight that the balancing machine asks for in each plane, with the rounding "
        "switched off, and the angle from the valve stem. Read it twice, with the wheel turned "
        "on the shaft in between: that tells how well it was centered. The bench splits the "
        "weights into such as can be had and placed, parts static from couple, and says what "
        "the imbalance does at a speed."
    )
    EMPTY = (
        "Type the weight and angle that the machine asks for, as 35 g at 120, for the inner and "
        "the outer plane.\n\nF5 shows an example."
    )
    SLOTS = (
        Slot("inner", "Inner plane", "35 g at 120", "What the machine asks for, rounding off."),
        Slot("outer", "Outer plane", "20 g at 300", "What the machine asks for, rounding off."),
        Slot("again_inner", "Inner, again", "31 g at 118", _AGAIN),
        Slot("again_outer", "Outer, again", "24 g at 305", _AGAIN),
        Slot("inner_radius", "Inner radius", "200 mm",
             "From the axis to the inner weight's place.", _LENGTH),
        Slot("outer_radius", "Outer radius", "190 mm",
             "From the axis to the outer weight's place.", _LENGTH),
        Slot("distance", "Distance", "160 mm", "Between the two planes.", _LENGTH),
        Slot("step", "Weights in steps", "5 g", "The smallest step of the weights at hand."),
        Slot("places", "Weights can go at", "0 72 144 216 288",
             "Angles at which weights can be placed.", more=True),
        Slot("spokes", "Or behind spokes", "5", "The number of spokes.", more=True),
        Slot("first_spoke", "First spoke at", "20", "Its angle from the valve stem.", more=True),
        Slot("mass", "Wheel and tire", "20 kg", "Their mass together.", more=True),
        Slot("speed", "Speed", "110 {unit}", "For the force of the imbalance.", Quantity.SPEED,
             more=True),
        Slot("tire", "Tire size", "205/55R16", "For the turns at that speed.", more=True),
        Slot("grade", "Balance grade", "16", "Of the standard on rigid rotors, as 16 or 40.",
             more=True),
        Slot("uncertainty", "Uncertainty", "2 g", "Of the grams, at about 95 %.", more=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "inner": "35 g at 120", "outer": "20 g at 300", "again_inner": "31 g at 118",
        "again_outer": "24 g at 305", "inner_radius": "200 mm", "outer_radius": "190 mm",
        "distance": "160 mm", "step": "5 g",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The weights."""
        return run(BalanceTyped(**texts))

    def known(self) -> Mapping[str, str]:
        """The tire of this car."""
        size = self.desk.case.facts.get("tire_size", "") if self.desk else ""
        return {"tire": size} if size else {}
