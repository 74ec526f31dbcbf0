"""How typed texts were read: what was typed bare, as a range, a pair, a fraction or a column.

A bare number that makes more sense in another unit is refused with both readings, so that nobody
gets a verdict on a number that was meant otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from vibecheck.calculators.calculator import Calculator
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.errors import ReadingError
from vibecheck.metrology.units.doubt import (
    LARGEST_USUAL_MM,
    Doubt,
    doubt,
    doubt_of_list,
    finest_step,
    usual_runout,
)
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import (
    Measured,
    Quantity,
    parse,
    parse_column,
    parse_high_low,
    to_unit,
)


@dataclass(frozen=True)
class ReadAs:
    """A field whose text does not say by itself how it counts.

    Attributes
    ----------
    label : of the field.
    typed : as typed.
    readings : as read; two for a high and a low.
    quantity : of the readings.
    heading : of a pasted column, that was skipped.
    """

    label: str
    typed: str
    readings: tuple[Measured, ...]
    quantity: Quantity
    heading: str = ""


def read_as(calculator: Calculator, typed: Texts, written: Texts) -> tuple[ReadAs, ...]:
    """Every field that was typed bare, or in a form that is read as something else.

    Parameters
    ----------
    typed, written : texts of the fields as typed, and with their units written out.
    """
    found = []
    for field in calculator.fields:
        text = typed.get(field.name, "").strip()
        if text and field.quantity_in(typed) not in (None, Quantity.NUMBER, Quantity.ANGLE):
            each = _read(field, text, written.get(field.name, ""), typed)
            if each is not None:
                found.append(each)
    return tuple(found)


class DoubtfulField(NamedTuple):
    """A field typed bare, and what makes more sense of it: its name and the doubt."""

    name: str
    doubt: Doubt

    @property
    def names(self) -> tuple[str, ...]:
        """The fields that were typed together: a high goes with its low."""
        return ("high", "low") if self.name == "high" else (self.name,)

    @property
    def units(self) -> tuple[str, ...]:
        """The unit in which it counts, then those that make more sense."""
        return tuple(each.unit for each in (self.doubt.as_read, *self.doubt.otherwise))


def doubtful_field(calculator: Calculator, typed: Texts, written: Texts) -> DoubtfulField | None:
    """The first bare runout that makes more sense in another unit, None if there is none."""
    if not calculator.takes_surface:
        return None
    limit = _length(written.get("tolerance", ""))
    usual = (0.0, LARGEST_USUAL_MM) if limit is None else usual_runout(limit)
    finest = 0.0 if limit is None else finest_step(limit)
    found = _doubts(typed, written, usual, finest)
    return next((DoubtfulField(name, each) for name, each in found if each.otherwise), None)


def refuse_doubtful(calculator: Calculator, typed: Texts, written: Texts) -> None:
    """Refuse bare runouts that make more sense in another unit.

    Raises
    ------
    ReadingError : at the field; both readings are named.
    """
    found = doubtful_field(calculator, typed, written)
    if found is not None:
        name, each = found
        said = each.as_read
        first = f"{each.otherwise[0].value / _factor(each.otherwise[0]):.6g}"
        readings = [f"{first} {other.unit}" for other in (*each.otherwise, said)]
        raise ReadingError(
            f"'{short(typed[name])}' has no unit, and {readings[0]} makes more sense than "
            f"{readings[-1]}", name,
            f"write the unit, {' or '.join(dict.fromkeys(readings))}",
        )


def _doubts(
    typed: Texts, written: Texts, usual: tuple[float, float], finest: float
) -> list[tuple[str, Doubt]]:
    found: list[tuple[str, Doubt | None]] = []
    try:
        if text := typed.get("tir", "").strip():
            unit = _unit_of(written["tir"])
            found.append(("tir", doubt(parse(text, Quantity.LENGTH, unit), Quantity.LENGTH,
                                       usual, unit, finest)))
        for names in (("high", "low"), ("readings",)):
            texts = [typed.get(name, "").strip() for name in names]
            if all(texts):
                unit = _unit_of(written[names[-1]])
                readings = [each for text in texts
                            for each in parse_column(text, Quantity.LENGTH, unit).readings]
                found.append((names[0], doubt_of_list(
                    readings, Quantity.LENGTH, usual, unit, finest)))
    except ReadingError:  # refused where it is used
        pass
    return [(name, each) for name, each in found if each is not None]


def _factor(each: Measured) -> float:
    return parse(f"1 {each.unit}", Quantity.LENGTH).value


def _unit_of(written: str) -> str:
    return parse_column(written, Quantity.LENGTH).readings[-1].unit


def _length(written: str) -> float | None:
    try:
        return parse(written, Quantity.LENGTH).value if written else None
    except ReadingError:
        return None


def _read(field: Field, text: str, written: str, texts: Texts) -> ReadAs | None:
    quantity = field.quantity_in(texts)
    assert quantity is not None
    try:
        if field.shape is Shape.LIST:
            column = parse_column(written, quantity)
            if column.heading or written != text:
                return ReadAs(field.label, text, column.readings, quantity, column.heading)
            return None
        if field.shape is not Shape.VALUE:
            return None
        pair = parse_high_low(written, quantity)
        if pair is not None:
            return ReadAs(field.label, text, pair, quantity)
        one = parse(written, quantity)
        number = f"{to_unit(one.value, quantity, one.unit):.12g}".lstrip("-0")
        if parse(text, quantity).bare or number not in text.replace(",", "."):
            return ReadAs(field.label, text, (one,), quantity)
    except ReadingError:
        pass
    return None
