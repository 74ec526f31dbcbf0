"""The stack bench: which of tire, wheel and hub runs out, from readings at several mountings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from vibecheck.errors import VibecheckError
from vibecheck.metrology.units.values import Quantity
from vibecheck.session.benches.clockings import ClockingTyped, clocking_of
from vibecheck.session.benches.result import BenchView
from vibecheck.session.benches.stack import StackTyped, run
from vibecheck.tui.benches.base import BenchScreen
from vibecheck.tui.benches.slots import Slot

CLOCKINGS = 5
_FIRST_SHOWN = 3
_LENGTH = Quantity.LENGTH


def _clocking_slots(number: int) -> tuple[Slot, ...]:
    more = number > _FIRST_SHOWN
    return (
        Slot(f"read{number}", "Read", "0.42 {unit} at 120, or a list",
             "High minus low at the angle of the high spot, or readings round the turn.",
             _LENGTH, "either", heading=f"Mounting {number}", more=more),
        Slot(f"tire{number}", "Tire turned by", "0" if number == 1 else "180",
             "Turn of the tire on the wheel from where it stood first [deg]; empty for none.",
             more=more),
        Slot(f"wheel{number}", "Wheel turned by", "0",
             "Turn of the wheel on the hub, valve stem from the marked stud [deg].", more=more),
        Slot(f"how{number}", "How read", "bare, spindle, valve",
             "Words, if they fit: bare (no tire on it), spindle (on a true spindle, not on the "
             "hub), valve (angles count from the valve stem, not from the stud).", more=more),
    )


class StackBench(BenchScreen):
    """Shares of tire, wheel and hub."""

    NAME = "stack"
    ABOUT_TITLE = "Which part runs out"
    ABOUT = (
        "Tire, wheel and hub add up. Turn one against the other, measure again at each mounting, "
        "and the shares come apart. For each mounting type what was read, as 0.42 at 120 or as a "
        "list round the turn, and by how much tire and wheel were turned. The quick way: type "
        "only where the high spot was before and after the tire was turned half a turn."
    )
    EMPTY = (
        "Type what was read at two or more mountings, and by how much the tire or the wheel was "
        "turned; or only where the high spot was before and after.\n\nF5 shows an example."
    )
    SLOTS = (
        Slot("before", "High spot before", "120", "Angle of the high spot on the wheel [deg].",
             heading="The quick way"),
        Slot("after", "High spot after", "300", "The same after the tire was turned [deg]."),
        Slot("turned", "Tire turned by", "180", "How far the tire was turned [deg]."),
        *(slot for number in range(1, CLOCKINGS + 1) for slot in _clocking_slots(number)),
        Slot("parts", "Parts to part", "tire wheel hub", "Else those that were turned.",
             heading="About the readings", more=True),
        Slot("studs", "Studs", "5", "Of the hub.", more=True),
        Slot("remount", "Remount", "0.02 {unit}",
             "How well a mounting repeats, at about 95 %.", _LENGTH, more=True),
        Slot("division", "Gauge division", "0.01 {unit}", "One division of the gauge.", _LENGTH,
             more=True),
    )
    EXAMPLE: ClassVar[Mapping[str, str]] = {
        "read1": "0.94 mm at 101", "tire1": "0",
        "read2": "0.18 mm at 105", "tire2": "120",
        "read3": "0.86 mm at 51", "tire3": "240",
    }

    def result_of(self, texts: Mapping[str, str]) -> BenchView:
        """The shares, or what the high spot follows."""
        turned = texts["turned"].strip() or "180"
        return run(StackTyped(
            clockings=tuple(self._clockings(texts)), before=texts["before"],
            after=texts["after"], turned=turned, parts=texts["parts"], studs=texts["studs"],
            remount=texts["remount"], division=texts["division"],
            told_in=self.units.length,
        ))

    def _clockings(self, texts: Mapping[str, str]) -> list[ClockingTyped]:
        found = []
        for number in self._filled(texts):
            tire, wheel = (texts[f"{part}{number}"].strip() or "0" for part in ("tire", "wheel"))
            how = texts[f"how{number}"].replace(":", " ")
            found.append(clocking_of(
                f"tire {_joined(tire)} wheel {_joined(wheel)} {how}: {texts[f'read{number}']}",
                f"how{number}",
            ))
        return found

    def _filled(self, texts: Mapping[str, str]) -> list[int]:
        return [
            number for number in range(1, CLOCKINGS + 1) if texts[f"read{number}"].strip()
        ]

    def field_of(self, where: str) -> str:
        """A complaint about the second mounting that is filled in belongs to its field."""
        field, _, rest = where.partition(",")
        place = rest.split(",")[0].strip()
        if field == "clockings" and place.isdigit():
            filled = self._filled(self.form.texts())
            return f"read{filled[int(place) - 1]}" if int(place) <= len(filled) else ""
        return super().field_of(where)

    def refuse(self, error: VibecheckError) -> None:
        """One mounting alone is not wrong; the second is wanted."""
        texts = self.form.texts()
        quick = texts["before"].strip() or texts["after"].strip()
        if not quick and len(self._filled(texts)) < 2 and not self.field_of(_where(error)):
            self.form.mark("")
            self.say("at least two mountings are wanted, with a part turned in between",
                     wanted=True)
            return
        super().refuse(error)

    def known(self) -> Mapping[str, str]:
        """The studs of this car."""
        studs = self.desk.case.facts.get("stud_count", "") if self.desk else ""
        return {"studs": studs} if studs else {}


def _joined(angle: str) -> str:
    """An angle as one word."""
    return "".join(angle.split())


def _where(error: VibecheckError) -> str:
    return str(getattr(error, "where", ""))
