"""Writes the unit behind what was typed without one, so that another unit can be chosen.

The digits typed stay as they are. What cannot be read is left as it stands; it is refused where
it is used.
"""

from __future__ import annotations

import re
from typing import Literal

from vibecheck.errors import ReadingError
from vibecheck.metrology.units.values import Quantity, parse_list
from vibecheck.session.typed import with_unit
from vibecheck.session.unitchoice import Units

Shape = Literal["value", "list", "spot", "either"]
_AT = re.compile(r"(\s*(?:@|\bat\b))")
_ENDS_BARE = re.compile(r"[0-9.,]\s*$")


def keep_unit(typed: str, shape: Shape, quantity: Quantity | None, units: Units) -> str:
    """A typed field with its unit written out.

    Parameters
    ----------
    typed : the text of the field.
    shape : one value, a list, "size at angle", or either of the last two.
    quantity : of the value, the list, or the size; None for words.
    units : the units in which bare numbers count.
    """
    if quantity not in (Quantity.LENGTH, Quantity.SPEED) or not typed.strip():
        return typed
    unit = units.of(quantity.value, "")
    if shape == "value":
        return with_unit(typed, quantity, unit)
    if shape == "list" or (shape == "either" and _AT.search(typed) is None):
        return _list_with_unit(typed, quantity, unit)
    size, *rest = _AT.split(typed, maxsplit=1)
    return with_unit(size, quantity, unit) + "".join(rest)


def _list_with_unit(typed: str, quantity: Quantity, unit: str) -> str:
    """A list whose last value is bare has no unit at all: one written there counts for all."""
    if _ENDS_BARE.search(typed) is None:
        return typed
    try:
        parse_list(typed, quantity, unit)
    except ReadingError:
        return typed
    return f"{typed.rstrip()} {unit}"
