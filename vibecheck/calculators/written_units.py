"""Writes the unit behind what was typed without one, so that it can be read anywhere.

The digits typed stay as they are. What cannot be read is left as it stands; it is refused where
it is used.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from contextlib import suppress

from msgspec.structs import replace

from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import AT
from vibecheck.errors import ReadingError
from vibecheck.metrology.units.choice import CHOICES, Units
from vibecheck.metrology.units.numerals import PLUS_MINUS
from vibecheck.metrology.units.values import (
    UNITS,
    Quantity,
    parse,
    parse_high_low,
    parse_list,
    unit_named,
)

UnitOf = Callable[[Quantity], str]  # the unit chosen, "" where there is no choice
_AT_KEPT = re.compile(rf"({AT.pattern})")
_BEHIND_NUMBER = re.compile(r"[0-9.]\s*([^\W\d]+(?:[/-][^\W\d]+)?|[\"'″”])")
_ENDS_BARE = re.compile(r"[0-9.,]\s*$")


def is_bare(typed: str, quantity: Quantity) -> bool:
    """True for a readable number without a unit."""
    names = [unit.name for unit in UNITS[quantity][:2]] * (2 if quantity is Quantity.NUMBER else 1)
    try:
        return [parse(typed, quantity, name or None).unit for name in names] == names
    except ReadingError:
        return False


def with_unit(typed: str, quantity: Quantity, unit: str) -> str:
    """A bare number with its unit written after the value; any other text as it is."""
    if unit and _bare_pair(typed, quantity):
        return f"{typed.strip()} {unit}"
    if not unit or not is_bare(typed, quantity):
        return typed
    value, *spread = re.split(PLUS_MINUS, typed.strip(), maxsplit=1)
    tail = f" +/- {spread[0].strip()}" if spread else ""
    return f"{value.strip()} {unit}{tail}"


def _bare_pair(typed: str, quantity: Quantity) -> bool:
    """True for a high and a low in one text, both without a unit."""
    try:
        pair = parse_high_low(typed, quantity) if quantity is Quantity.LENGTH else None
    except ReadingError:
        return False
    return pair is not None and all(each.bare for each in pair)


def written_units(fields: Iterable[Field], texts: Texts, unit_of: UnitOf) -> dict[str, str]:
    """Every field with its unit written out."""
    return {
        field.name: keep_unit(
            texts.get(field.name, ""), field.shape, field.quantity_in(texts), field.own_unit,
            unit_of)
        for field in fields
    }


def units_as_typed(fields: Iterable[Field], texts: Texts, usual: Units) -> Units:
    """The units to show a result in: those it was typed in, where every text of a quantity agrees.

    Bare numbers say nothing; what is left open is shown in the usual unit.
    """
    seen: dict[Quantity, set[str]] = {quantity: set() for quantity in CHOICES}
    for field in fields:
        quantity = field.quantity_in(texts)
        if quantity in seen:
            seen[quantity] |= _units_in(texts.get(field.name, ""), quantity)
    typed = {quantity.value: names.pop() for quantity, names in seen.items()
             if len(names) == 1 and names <= set(CHOICES[quantity])}
    return replace(usual, **typed)


def _units_in(typed: str, quantity: Quantity) -> set[str]:
    """Names of the units that stand behind a number."""
    found = set()
    for word in _BEHIND_NUMBER.findall(typed):
        with suppress(ReadingError):
            found.add(unit_named(word, quantity).name)
    return found


def keep_unit(
    typed: str, shape: Shape, quantity: Quantity | None, own_unit: str, unit_of: UnitOf
) -> str:
    """One field with its unit written out.

    Parameters
    ----------
    typed : the text of the field.
    shape, quantity, own_unit : of the field.
    unit_of : the unit in which a bare number counts.
    """
    if quantity is None or not typed.strip():
        return typed
    unit = own_unit or unit_of(quantity)
    if not unit:
        return typed
    if shape is Shape.VALUE:
        return with_unit(typed, quantity, unit)
    if shape is Shape.LIST or (shape is Shape.EITHER and AT.search(typed) is None):
        return _list_with_unit(typed, quantity, unit)
    size, *rest = _AT_KEPT.split(typed, maxsplit=1)
    return with_unit(size, quantity, unit) + "".join(rest)


def _list_with_unit(typed: str, quantity: Quantity, unit: str) -> str:
    """A list whose last value is bare has no unit at all: one written there counts for all."""
    if _ENDS_BARE.search(typed) is None:
        return typed
    try:
        if not parse_list(typed, quantity, unit)[-1].bare:  # the heading names the unit
            return typed
    except ReadingError:
        return typed
    return f"{typed.rstrip()} {unit}"
