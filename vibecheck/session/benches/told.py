"""Lengths in a result's texts, in the unit that a person chose; worked out from the full value."""

from __future__ import annotations

from vibecheck.metrology.stack.matching import Match
from vibecheck.metrology.units.values import Quantity, to_unit

MORE_IN_INCHES = 2  # decimals, so that the step of an inch text is finer than that of a mm text


class Lengths:
    """Speaks lengths in one unit.

    Parameters
    ----------
    unit : "mm" or "in".

    Raises
    ------
    ReadingError : the unit is none of length.
    """

    def __init__(self, unit: str) -> None:
        to_unit(0.0, Quantity.LENGTH, unit)
        self.unit = unit

    def number(self, value_mm: float, digits: int, sign: str = "") -> str:
        """The number alone; `digits` are those of millimeters, `sign` is "+" to show both signs."""
        return f"{to_unit(value_mm, Quantity.LENGTH, self.unit):{sign}.{self._digits(digits)}f}"

    def size(self, value_mm: float, digits: int, sign: str = "") -> str:
        """A length with its unit."""
        return f"{self.number(value_mm, digits, sign)} {self.unit}"

    def spread(self, value_mm: float, spread_mm: float, digits: int) -> str:
        """A length with its unit and its uncertainty."""
        return f"{self.size(value_mm, digits)} +/- {self.number(spread_mm, digits)}"

    def turn(self, match: Match) -> str:
        """A turn and what it brings."""
        return match.told(lambda size: self.number(size, 2), self.unit)

    def _digits(self, in_mm: int) -> int:
        return in_mm if self.unit == "mm" else in_mm + MORE_IN_INCHES
