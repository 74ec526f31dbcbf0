"""The match bench: the best turn of a tire on its wheel, or of a wheel on its hub."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.match import MatchTyped, run
from vibecheck.session.benches.result import BenchView
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.slots import Slot

_LENGTH = Quantity.LENGTH


class MatchBench(BenchScreen):
    """Where to turn a part so that high meets low."""

    NAME = "match"
    ABOUT_TITLE = "Best turn"
    ABOUT = (
        "Two parts that each run out a little can take from each other: the high spot of one "
        "over the low spot of the other. Type for each how much it runs out, high minus low, and "
        "at which angle its high spot stands from one mark on the carrying part. The bench says "
        "how far to turn, what is left then, and whether that is worth the work."
    )
    EMPTY = (
        "Type the runout and the high spot of both parts, as 0.60 at 110.\n\nThe carrier is the "
        "part that stays: the wheel under its tire, or the hub under its wheel. F5 shows an "
        "example."
    )
    SLOTS = (
        Slot("carrier", "Part that stays", "0.60 {unit} at 110",
             "The part that stays: high minus low, at the angle of its high spot.",
             _LENGTH, "spot"),
        Slot("part", "Part to turn", "0.50 {unit} at 75",
             "The part to turn: high minus low, at the angle of its high spot from the same mark.",
             _LENGTH, "spot"),
        Slot("studs", "Studs", "5", "Only for a wheel on its hub: it can stand at so many turns."),
        Slot("limit", "Limit", "0.8 {unit}", "High minus low that is still accepted.", _LENGTH),
        Slot("force", "Force variation in N, not runout",
             says="The sizes are radial force variation, 1st harmonic, peak to peak.", flag=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "carrier": "0.60 mm at 110", "part": "0.50 mm at 75", "limit": "0.8 mm",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The best turn."""
        typed = dict(texts)
        force = bool(typed.pop("force"))
        if force:
            typed |= {name: self.form.texts()[name] for name in ("carrier", "part", "limit")}
        return run(MatchTyped(**typed, force=force, unit="" if force else "mm",
                              told_in=self.units.length))
