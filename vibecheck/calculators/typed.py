"""Reads typed texts: values, lists and "size at angle", complaints by field name.

Every complaint has the name of the field in its `where`, so that a screen can put the cursor
there and the command line can name the option. A bare number counts in the base unit: a front end
writes the unit chosen behind it first (`written_units`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from msgspec import Struct

from vibecheck.calculators.fields import Texts
from vibecheck.errors import InputError, ReadingError
from vibecheck.metrology.orders.tire_size import Rolling, TireSize, parse_size
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Measured, Quantity, parse, parse_list

MARKED_BY_HAND_DEG = 10.0  # expanded uncertainty of a high spot marked with chalk; from memory
AT = re.compile(r"\s*(?:@|\bat\b)\s*")


class SizeAt(Struct, frozen=True):
    """A size and the angle it stands at [base unit, deg]."""

    size: Measured
    angle_deg: float


@contextmanager
def at_field(name: str) -> Iterator[None]:
    """Give every complaint raised inside the field's name as its place."""
    try:
        yield
    except InputError as error:
        if error.where.partition(",")[0] == name:
            raise
        raise type(error)(error.what, name, error.instead) from None


class Typed:
    """Typed texts by field name; a field that is not there counts as empty.

    Every method gives None, or nothing, where the field is empty.

    Raises
    ------
    ReadingError : what stands in the field is not what is asked for.
    """

    def __init__(self, texts: Texts) -> None:
        self.texts = texts

    def text(self, name: str) -> str:
        """The text as typed, without blanks around it."""
        return self.texts.get(name, "").strip()

    def flag(self, name: str) -> bool:
        """Whether a flag is set."""
        return bool(self.text(name))

    def value(self, name: str, quantity: Quantity, unit: str | None = None) -> Measured | None:
        """One value; `unit` is that of a bare number."""
        typed = self.text(name)
        return parse(typed, quantity, unit, name) if typed else None

    def size(self, name: str, quantity: Quantity) -> float | None:
        """One value without its uncertainty [base unit]."""
        found = self.value(name, quantity)
        return None if found is None else found.value

    def number(self, name: str) -> float | None:
        """A number without unit."""
        return self.size(name, Quantity.NUMBER)

    def angle(self, name: str) -> float | None:
        """An angle [deg]."""
        return self.size(name, Quantity.ANGLE)

    def count(self, name: str) -> int | None:
        """A whole number."""
        found = self.number(name)
        if found is not None and found != int(found):
            raise ReadingError(f"'{short(self.text(name))}' is not a count", name,
                               "write a whole number as 5")
        return None if found is None else int(found)

    def above_zero(self, name: str, quantity: Quantity, unit: str | None = None) -> float | None:
        """A value that must be more than zero [base unit]."""
        found = self.value(name, quantity, unit)
        if found is not None and found.value <= 0.0:
            raise ReadingError(f"'{short(self.text(name))}' is not above zero", name,
                               "write a larger value")
        return None if found is None else found.value

    def up_to(
        self, name: str, quantity: Quantity, most: float, unit: str | None = None
    ) -> float | None:
        """A value above zero, up to the largest that can be [base unit]."""
        found = self.above_zero(name, quantity, unit)
        if found is not None and found > most:
            raise ReadingError(f"'{short(self.text(name))}' is more than can be", name,
                               "check the number and its unit")
        return found

    def uncertainty(self, name: str, quantity: Quantity) -> float | None:
        """An expanded uncertainty [base unit]."""
        found = self.size(name, quantity)
        if found is not None and found < 0.0:
            raise ReadingError("an uncertainty cannot be negative", name, "write 0 or more")
        return found

    def values(self, name: str, quantity: Quantity) -> tuple[Measured, ...]:
        """A list."""
        typed = self.text(name)
        return parse_list(typed, quantity, None, name) if typed else ()

    def angles(self, name: str) -> list[float] | None:
        """A list of angles [deg]."""
        return [angle.value for angle in self.values(name, Quantity.ANGLE)] or None

    def size_at(self, name: str, quantity: Quantity) -> SizeAt | None:
        """A "35 g at 120"."""
        typed = self.text(name)
        return size_at(typed, quantity, name) if typed else None

    def tire(self, name: str = "tire") -> TireSize | None:
        """A tire size."""
        typed = self.text(name)
        return parse_size(typed, name) if typed else None

    def rolling(self) -> Rolling | None:
        """How far the tire rolls in one turn."""
        size = self.tire()
        return None if size is None else size.rolling


def size_at(typed: str, quantity: Quantity, field: str) -> SizeAt:
    """A "35 g at 120".

    Raises
    ------
    ReadingError : not a size at an angle, or a negative one.
    """
    parts = AT.split(typed)
    if len(parts) != 2 or not all(part.strip() for part in parts):
        raise ReadingError(
            f"'{short(typed)}' is not a size at an angle", field, "write for example 0.42 at 120"
        )
    size = parse(parts[0], quantity, None, field)
    if size.value < 0.0:
        raise ReadingError(
            f"'{short(parts[0])}' is negative", field, "turn the angle by 180 deg instead"
        )
    return SizeAt(size, parse(parts[1], Quantity.ANGLE, None, field).value)


def single(found: Sequence[Measured]) -> tuple[str, ...]:
    """Single readings as typed, each with its unit."""
    return tuple(
        f"{each.typed} {each.unit}" if each.typed[-1:].isdigit() or each.typed[-1:] in ".,"
        else each.typed
        for each in found
    )
