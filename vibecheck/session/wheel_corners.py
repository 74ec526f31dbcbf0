"""The four wheels of a car, tires off: the same table, kept in the open case at its corners."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from msgspec.structs import replace

from vibecheck.calculators.wheel import SURFACES
from vibecheck.casebook.case import Case, CornerName, Entry
from vibecheck.casebook.journal import active_entries, readings_together
from vibecheck.knowledge.words import Corner
from vibecheck.session.answers import Assignment
from vibecheck.session.open_case import OpenCase
from vibecheck.session.wheel import WheelRules
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_table import LOOKS, WheelRow, WheelTable, wheel_row, wheel_table

NEW, SHIPPED = "new_wheels", "wheel_shipped"


class CornerWheels(WheelBench):
    """The wheels of a car, by corner. What is read goes into the open case as findings there."""

    def __init__(self, opened: OpenCase, dial: str = "mm") -> None:
        super().__init__()
        self.opened, self.library = opened, opened.library
        self._dial = dial

    @property
    def case(self) -> Case:
        """The car's case."""
        return self.opened.case

    @property
    def path(self) -> Path | None:
        """Its file."""
        return self.opened.path

    @property
    def names(self) -> Mapping[str, str]:
        """The corners as the driver sits."""
        return {corner.value: corner.spoken for corner in Corner}

    @property
    def dial(self) -> str:
        """What a number typed bare counts in."""
        return self._dial

    @property
    def rules(self) -> WheelRules:
        """Judged by the limits in force on this car."""
        return WheelRules(self.library, self.case.limits, self.opened.diagnosis.facts)

    def set_dial(self, dial: str) -> None:
        """Count bare numbers otherwise from now on."""
        self._dial = dial

    def reload(self) -> bool:
        """Read the file again if it changed underneath; True if it did."""
        return self.opened.reload()

    def _judged(self) -> WheelTable:
        return wheel_table(self.rules, [self._row(corner) for corner in Corner])

    def _row(self, corner: Corner) -> WheelRow:
        active = active_entries(self.case)
        said = {entry.finding: entry.value for entry in active if entry.corner is None}
        looks = {entry.finding: entry.value for entry in active
                 if entry.corner == corner.value and entry.finding in LOOKS}
        together = readings_together(self.case)
        at: CornerName = corner.value
        readings = {name: together[name, at] for name in SURFACES if (name, at) in together}
        new = {"yes": True, "no": False}.get(said.get(NEW, ""))
        return wheel_row(self.rules, corner.value, corner.spoken, readings, looks, new,
                         said.get(SHIPPED) == "yes")

    def _put(
        self, key: str, said: list[Assignment], taken_back: tuple[str, ...]
    ) -> tuple[Entry, ...]:
        made = self.opened.answer([replace(each, corner=key) for each in said])
        retracted = [self.opened.retract(each) for each in taken_back]
        return (*made, *retracted)

    def _retract(self, ids: tuple[str, ...]) -> None:
        for each in ids:
            self.opened.retract(each)
