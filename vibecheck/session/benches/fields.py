"""Typed fields of the benches: values, lists and "size at angle", complaints by field name.

Every complaint of a bench has the name of the field in its `where`, so that a screen can put the
cursor there and the command line can name the option.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from vibecheck.errors import InputError, ReadingError
from vibecheck.metrology.orders.tire_size import Rolling, TireSize, parse_size
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Measured, Quantity, parse, parse_list, to_unit

MARKED_BY_HAND_DEG = 10.0  # expanded uncertainty of a high spot marked with chalk; from memory
_AT = re.compile(r"\s*(?:@|\bat\b)\s*")
_DIGITS = {"mm": 3, "in": 5, "thou": 2, "um": 0, "g": 1, "oz": 3, "N": 1, "lb": 2}


@dataclass(frozen=True)
class Spot:
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


def value(
    typed: str, quantity: Quantity, field: str, unit: str | None = None
) -> Measured | None:
    """One typed value, or None where nothing was typed."""
    return parse(typed, quantity, unit, field) if typed.strip() else None


def number(typed: str, field: str) -> float | None:
    """A typed number without unit, or None where nothing was typed."""
    found = value(typed, Quantity.NUMBER, field)
    return None if found is None else found.value


def count(typed: str, field: str) -> int | None:
    """A typed whole number, or None where nothing was typed."""
    found = number(typed, field)
    if found is None:
        return None
    if found != int(found):
        raise ReadingError(f"'{short(typed)}' is not a count", field, "write a whole number as 5")
    return int(found)


def above_zero(typed: str, quantity: Quantity, field: str, unit: str | None = None) -> float | None:
    """A typed value that must be more than zero [base unit]."""
    found = value(typed, quantity, field, unit)
    if found is None:
        return None
    if found.value <= 0.0:
        raise ReadingError(f"'{short(typed)}' is not above zero", field, "write a larger value")
    return found.value


def uncertainty(
    typed: str, quantity: Quantity, field: str, unit: str | None = None
) -> float | None:
    """A typed expanded uncertainty [base unit]."""
    found = value(typed, quantity, field, unit)
    if found is not None and found.value < 0.0:
        raise ReadingError("an uncertainty cannot be negative", field, "write 0 or more")
    return None if found is None else found.value


def values(
    typed: str, quantity: Quantity, field: str, unit: str | None = None
) -> tuple[Measured, ...]:
    """A typed list, empty where nothing was typed."""
    return parse_list(typed, quantity, unit, field) if typed.strip() else ()


def angles(typed: str, field: str) -> list[float] | None:
    """A typed list of angles [deg], or None where nothing was typed."""
    found = values(typed, Quantity.ANGLE, field)
    return [angle.value for angle in found] or None


def angle(typed: str, field: str) -> float | None:
    """A typed angle [deg], or None where nothing was typed."""
    found = value(typed, Quantity.ANGLE, field)
    return None if found is None else found.value


def spot(typed: str, quantity: Quantity, field: str, unit: str | None = None) -> Spot | None:
    """A typed "35 g at 120", or None where nothing was typed."""
    if not typed.strip():
        return None
    parts = _AT.split(typed)
    if len(parts) != 2 or not all(part.strip() for part in parts):
        raise ReadingError(
            f"'{short(typed)}' is not a size at an angle", field, "write for example 0.42 at 120"
        )
    size = parse(parts[0], quantity, unit, field)
    if size.value < 0.0:
        raise ReadingError(
            f"'{short(parts[0])}' is negative", field, "turn the angle by 180 deg instead"
        )
    return Spot(size, parse(parts[1], Quantity.ANGLE, None, field).value)


def tire(typed: str, field: str = "tire") -> TireSize | None:
    """A typed tire size, or None where nothing was typed."""
    return parse_size(typed, field) if typed.strip() else None


def rolling(typed: str) -> Rolling | None:
    """How far the typed tire rolls in one turn, or None where nothing was typed."""
    size = tire(typed)
    return None if size is None else size.rolling


def single(found: Sequence[Measured]) -> tuple[str, ...]:
    """Single readings as typed, each with its unit."""
    return tuple(
        f"{each.typed} {each.unit}" if each.typed[-1:].isdigit() or each.typed[-1:] in ".,"
        else each.typed
        for each in found
    )


def spoken(size: float, spread: float, quantity: Quantity, unit: str) -> str:
    """A value with its expanded uncertainty as a person would type them, from the base unit."""
    digits = _DIGITS.get(unit, 3)
    shown = f"{to_unit(size, quantity, unit):.{digits}f} {unit}".strip()
    return f"{shown} +/- {to_unit(spread, quantity, unit):.2g}"
