"""The runout bench: from high and low, from high minus low, or from a list of readings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.intake import surfaces
from vibecheck.session.benches.result import BenchView
from vibecheck.session.benches.runout import RunoutTyped, run
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.handover import hand_over
from vibecheck.tui.benches.slots import Slot
from vibecheck.tui.dialogs import ChoiceDialog
from vibecheck.tui.plain import plain
from vibecheck.tui.widgets.choices import Choice

_LENGTH = Quantity.LENGTH


class RunoutBench(BenchScreen):
    """High minus low over one turn."""

    NAME = "runout"
    ABOUT_TITLE = "Runout"
    ABOUT = (
        "Runout is high minus low over one full turn. Type the high and the low of the pointer, "
        "or high minus low alone, or a list of readings round the turn; a column can be pasted. "
        "A bare number counts in the unit shown; 18 thou or 0.46 mm work as well. With a limit "
        "the bench says whether the runout is proven within it, proven beyond it, or undecided."
    )
    EMPTY = (
        "Type the high and the low of the pointer over one turn, or high minus low, or a list of "
        "readings.\n\nF5 shows an example. To type readings one by one round the wheel, take the "
        "bench 'Readings round the wheel'."
    )
    SLOTS = (
        Slot("high", "High", "0.18 {unit}", "The highest pointer position.", _LENGTH),
        Slot("low", "Low", "-0.06 {unit}", "The lowest pointer position.", _LENGTH),
        Slot("tir", "Or high minus low", "0.24 {unit}", "If only the difference was noted.",
             _LENGTH),
        Slot("readings", "Or a list", "0 .05 .13 .21 ... {unit}",
             "Readings round one turn, in order, the first at the valve stem.", _LENGTH, "list"),
        Slot("tolerance", "Limit", "0.5 {unit}",
             "What the runout is judged by: the vehicle maker's figure.", _LENGTH),
        Slot("angles", "Angles", "0 20 40 ... deg",
             "Where each reading of the list was taken; else evenly spaced.", more=True),
        Slot("ignore", "Leave out at", "140 deg",
             "Angles of readings at weld, paint or a scratch.", more=True),
        Slot("division", "Gauge division", "0.01 {unit}",
             "One division of the gauge.", _LENGTH, more=True),
        Slot("uncertainty", "Uncertainty", "0.02 {unit}",
             "Of high minus low, at about 95 %, if it is known.", _LENGTH, more=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "readings": "0 .05 .13 .21 .24 .22 .15 .06 mm", "tolerance": "0.5 mm",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The runout."""
        return run(RunoutTyped(**texts, told_in=self.units.length))

    def action_take(self) -> None:
        """Ask where it was read, then take it into the case."""
        self.work_out()
        if self.desk is None or self.view is None or self.is_example:
            super().action_take()
            return
        findings = self.desk.library.findings
        choices = [
            Choice(name, findings[name].name, str(number) if number < 10 else "")
            for number, name in enumerate(surfaces(self.desk.library), start=1)
        ]

        def back(surface: str | None) -> None:
            if surface is not None:
                hand_over(self.vibecheck, self.desk, self.view, self.corner, surface, self.taken)

        self.app.push_screen(
            ChoiceDialog("Where was it read?", plain("A tire that is still on the wheel belongs "
                         "to the assembly."), choices), back,
        )

