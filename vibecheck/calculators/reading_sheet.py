"""A sheet of readings round the wheel, as a person fills it: evenly spaced from the valve stem.

Every text typed stays as it was typed, also one that cannot be read; a sheet with such a text has
no result until it is corrected. Each step can be taken back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache

from msgspec.structs import replace

from vibecheck.calculators.runout import RunoutResult, run
from vibecheck.calculators.written_units import is_bare, with_unit
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.between import readings_that_see
from vibecheck.metrology.runout.turn_list import (
    FEWEST_READINGS,
    MOST_READINGS,
    check_value,
)
from vibecheck.metrology.units.doubt import (
    CHOICES,
    LARGEST_USUAL_MM,
    doubt,
    doubt_of_list,
    finest_step,
    usual_runout,
)
from vibecheck.metrology.units.values import Measured, Quantity, parse, show

COUNTS = (8, 12, 18, 24, 36, 72)
USUAL_COUNT = 18
FULL_TURN_DEG = 360.0
SEEN_BEND_DEG = 45.0  # a bend so wide is seen by the advised number of readings
ROOM_SHARE = 0.5  # of the limit, left for a bend by the rest of the runout
USUAL_LIMIT_MM, USUAL_SPREAD_MM = 0.5, 0.01  # of a bead seat, of one reading
LENGTH_UNITS = CHOICES[Quantity.LENGTH]
INVENTED = tuple(
    "0 .03 .08 .14 .19 .23 .26 .27 .26 .24 .19 .14 .09 .05 .01 -.02 -.03 -.02".split()
)
_SEVERAL = re.compile(r"[\t;\n\r]+|\s+(?=[-+−–]?[.,]?[0-9])")


@cache
def advised_count(limit_mm: float = USUAL_LIMIT_MM) -> int:
    """How many readings round a turn to take: they miss no bend of `SEEN_BEND_DEG` or wider.

    The most that a sheet has where no list would do. Narrower bends take a slow turn, high and low.
    """
    wanted = readings_that_see(SEEN_BEND_DEG, ROOM_SHARE * limit_mm, USUAL_SPREAD_MM)
    return next((count for count in COUNTS if wanted is not None and count >= wanted), COUNTS[-1])


class RoundSheet:
    """Texts typed at evenly spaced places, the place in hand, and the steps that led here.

    `invented` : an example stands on the sheet, also if some of it was typed over.
    `closing` : the first place read again at the end; "" if it was not.
    """

    def __init__(self, count: int = USUAL_COUNT) -> None:
        self.count = count
        self.at = 0
        self.invented = False
        self.closing = ""
        self._texts: list[str] = [""] * count
        self._done: list[tuple[int, bool, list[str]]] = []

    @classmethod
    def of(cls, count: int, at: int, texts: Sequence[str]) -> RoundSheet:
        """A sheet as it stood.

        Raises
        ------
        ReadingError : a number of places that no sheet has.
        """
        made = cls()
        made.set_count(count)
        made._texts = [text.strip() for text in texts[:count]]
        made._texts += [""] * (count - len(made._texts))
        made.at = max(0, min(at, count - 1))
        return made

    @property
    def texts(self) -> tuple[str, ...]:
        """What stands at each place; "" where nothing does."""
        return tuple(self._texts[: self.count])

    @property
    def read(self) -> int:
        """How many places have a text."""
        return sum(1 for text in self.texts if text)

    @property
    def complete(self) -> bool:
        """True if every place has a text."""
        return self.read == self.count

    def angle(self, place: int) -> float:
        """Where a place is, from the valve stem [deg]."""
        return FULL_TURN_DEG * place / self.count

    def put(self, text: str) -> None:
        """Write at the place in hand, and move on to the next."""
        self._remember()
        self._texts[self.at] = text.strip()
        self.at = min(self.at + 1, self.count - 1)

    def wipe(self) -> None:
        """Empty the place in hand."""
        if self._texts[self.at]:
            self._remember()
            self._texts[self.at] = ""

    def wipe_all(self) -> None:
        """Empty the sheet; one step back brings everything again."""
        if self.read:
            self._remember()
            self._texts = [""] * len(self._texts)
            self.at, self.invented, self.closing = 0, False, ""

    def undo(self) -> bool:
        """Take the last step back and go where it was made; False if there is none."""
        if not self._done:
            return False
        self.at, self.invented, self._texts = self._done.pop()
        self._texts += [""] * (self.count - len(self._texts))
        self.at = min(self.at, self.count - 1)
        return True

    def move(self, places: int) -> None:
        """Go up or down, not beyond the ends."""
        self.at = max(0, min(self.count - 1, self.at + places))

    def set_count(self, count: int) -> None:
        """Read at another number of places; texts beyond the last are kept out of sight."""
        if not FEWEST_READINGS <= count <= MOST_READINGS:
            raise ReadingError(
                f"{count} readings cannot be", "",
                f"choose from {FEWEST_READINGS} to {MOST_READINGS}",
            )
        self.count = count
        self._texts += [""] * (count - len(self._texts))
        self.at = min(self.at, count - 1)

    def fill(self, texts: Sequence[str]) -> tuple[str, ...]:
        """Write one text at each place from the one in hand on; gives those beyond the end.

        An empty sheet takes the number of the readings, so that a whole column fits. One more
        than a usual number is the first place read again.
        """
        if not self.read and self.at == 0 and len(texts) - 1 in COUNTS:
            texts, closing = texts[:-1], texts[-1]
        else:
            closing = ""
        fits = FEWEST_READINGS <= len(texts) <= MOST_READINGS
        if not self.read and self.at == 0 and fits:
            self.set_count(len(texts))
        self._remember()
        self.closing = closing or self.closing
        room = self.count - self.at
        for place, text in enumerate(texts[:room], start=self.at):
            self._texts[place] = text
        self.at = min(self.at + len(texts), self.count - 1)
        return tuple(texts[room:])

    def invent(self) -> None:
        """Fill the sheet with invented readings, to show what comes of them."""
        self._remember()
        self._texts = [f"{value} mm" for value in INVENTED]
        self.at, self.invented = 0, True
        self.set_count(len(INVENTED))

    def write_units(self, unit: str) -> None:
        """Write the unit behind every bare number, so that another unit can be chosen.

        The steps that can be taken back are written so too: they were typed in that unit.
        """
        for texts in (self._texts, *(step[2] for step in self._done)):
            texts[:] = [with_unit(text, Quantity.LENGTH, unit) for text in texts]
        self.closing = with_unit(self.closing, Quantity.LENGTH, unit)

    def faults(self, unit: str) -> dict[int, str]:
        """The places whose text cannot be used, each with the sentence why."""
        found = {}
        for place, text in enumerate(self.texts):
            try:
                if text:
                    check_reading(text, unit)
            except ReadingError as error:
                found[place] = str(error)
        return found

    def doubtful(self, unit: str) -> tuple[str, ...]:
        """Bare readings that are hardly possible in `unit`, but are in another unit of length."""
        return tuple(text for text in self.texts if text and meant_otherwise((text,), unit))

    def settle(self, unit: str) -> None:
        """Say in which unit all bare readings are; can be taken back."""
        self._remember()
        self._texts = [with_unit(text, Quantity.LENGTH, unit) for text in self._texts]

    def result(self, unit: str, limit: str = "", setup: str = "") -> RunoutResult:
        """The runout of what was read so far; `unit` is that of bare numbers.

        `setup` is the spread from one setting-up to the next, "" for the usual one.

        Raises
        ------
        ReadingError : a text that cannot be read, or too little of the turn read.
        """
        places = [place for place, text in enumerate(self.texts) if text]
        for place, sentence in self.faults(unit).items():
            raise ReadingError(sentence, f"reading {place + 1} at {self.angle(place):.0f} deg")
        texts = [self.texts[place] for place in places]
        angles = [f"{self.angle(place):.6g}" for place in places]
        if self.closing and self.complete:
            check_reading(self.closing, unit)
            texts.append(self.closing)
            angles.append(f"{FULL_TURN_DEG:g}")
        found = run({
            "readings": in_one_unit(texts, unit),
            "angles": "; ".join(angles),
            "tolerance": with_unit(limit, Quantity.LENGTH, unit),
            "setup": setup,
        })
        return replace(found, readings=tuple(
            with_unit(text, Quantity.LENGTH, unit) for text in texts))

    def raw(self, unit: str) -> tuple[str, ...]:
        """The single readings as typed, each with its unit."""
        return tuple(with_unit(text, Quantity.LENGTH, unit) for text in self.texts if text)

    def otherwise_in(self, unit: str, limit_mm: float | None) -> tuple[str, ...]:
        """Other units that make more sense of the runout, where all readings were typed bare."""
        texts = [text for text in self.texts if text]
        if limit_mm is None or not texts:
            return ()
        found = doubt_of_list(
            [parse(text, Quantity.LENGTH, unit) for text in texts], Quantity.LENGTH,
            usual_runout(limit_mm), unit, finest_step(limit_mm))
        return () if found is None else tuple(each.unit for each in found.otherwise)

    def _remember(self) -> None:
        self._done.append((self.at, self.invented, list(self._texts)))


def check_reading(text: str, unit: str) -> Measured:
    """One reading; a bare number counts in `unit`.

    Raises
    ------
    ReadingError : not a length, or one that no gauge on a wheel shows.
    """
    found = parse(text, Quantity.LENGTH, unit)
    check_value(found.value)
    return found


def several(pasted: str) -> tuple[str, ...]:
    """The single readings of a pasted column or row, as they stand there."""
    return tuple(piece.strip() for piece in _SEVERAL.split(pasted.strip()) if piece.strip())


def meant_otherwise(texts: Iterable[str], unit: str) -> tuple[str, ...]:
    """Other units of length in which bare readings would be ordinary where `unit` is not one."""
    bare = [parse(text, Quantity.LENGTH, unit) for text in texts if is_bare(text, Quantity.LENGTH)]
    if not bare:
        return ()
    largest = max(bare, key=lambda each: abs(each.value))
    found = doubt(largest, Quantity.LENGTH, (0.0, LARGEST_USUAL_MM), unit, 0.0)
    return () if found is None else tuple(each.unit for each in found.otherwise)


def in_one_unit(texts: Sequence[str], unit: str) -> str:
    """A list for the calculator: as typed if all are in one unit, else all in [mm]."""
    read = [parse(text, Quantity.LENGTH, unit) for text in texts]
    if len({each.unit for each in read}) == 1:
        return "; ".join(with_unit(text, Quantity.LENGTH, unit) for text in texts)
    return "; ".join(show(each.value, Quantity.LENGTH, "mm") for each in read)
