"""The orders bench: what shakes at which frequency at a speed, and which parts fit a shake."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.orders import OrdersTyped, run
from vibecheck.session.benches.result import BenchView
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.driveline import DRIVELINE_SLOTS, known_driveline, typed_driveline
from vibecheck.tui.benches.slots import Slot


class OrdersBench(BenchScreen):
    """From speed and tire to frequencies, and back."""

    NAME = "orders"
    ABOUT_TITLE = "Orders at a speed"
    ABOUT = (
        "Whatever turns shakes in step with its turns. From the tire and the road speed follow "
        "the frequencies of wheel, shafts and engine; a shake that was measured in Hz is tied to "
        "the parts that fit it, and the bench says which parts cannot be told apart at this "
        "speed and where they part. Ratios count turns per turn of the wheel."
    )
    EMPTY = "Type the tire size and the road speed.\n\nF5 shows an example."
    SLOTS = (
        Slot("tire", "Tire size", "205/55R16", "As it stands on the tire's side."),
        Slot("speed", "Road speed", "105 {unit}", "The speed at which it shakes.",
             Quantity.SPEED),
        Slot("measured", "Measured shake", "14.9 Hz +/- 0.3",
             "The frequency of the shake, if one was measured."),
        *DRIVELINE_SLOTS,
        Slot("speed_uncertainty", "Speed known to", "2 {unit}",
             "How well the speed is known, at about 95 %.", Quantity.SPEED, more=True),
        Slot("gears", "Other gears", "third=4.8; fourth=3.9",
             "Engine turns per wheel turn, to find the gear that tells two parts apart.",
             more=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "tire": "205/55R16", "speed": "105 km/h", "measured": "14.9 Hz +/- 0.3",
        "axle_ratio": "3.73",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The order table and the fits."""
        gears = tuple(each for each in texts["gears"].split(";") if each.strip())
        return run(OrdersTyped(
            tire=texts["tire"], speed=texts["speed"], measured=texts["measured"],
            speed_uncertainty=texts["speed_uncertainty"], gears=gears, **typed_driveline(texts),
            told_in=self.units.length, told_speed_in=self.units.speed,
        ))

    def known(self) -> Mapping[str, str]:
        """What the case knows of the driveline."""
        if self.desk is None:
            return {}
        return known_driveline(OrdersTyped(tire="", speed=""), self.desk.diagnosis.facts)
