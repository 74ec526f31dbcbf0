"""Readings as people type them: `0.49`, `0,49 mm`, `.018in`, `-2.5 thou`, `0.49 mm +/- 0.02`.

A value is kept in its base unit (mm, km/h, Nm, g, Hz, deg, kPa, N, m/s2) together with the text
that was typed. One comma counts as the decimal mark, except where it could just as well group
thousands (`1,234`): that is refused. An uncertainty typed after `+/-` is an expanded one, k = 2
(about 95 %), in the unit of the value unless it carries its own unit or `%`. A range as
`12-13 thou` is its middle, uncertain by as much as its width. Eighths to 64ths typed bare for a
length are inches, whatever the unit of bare numbers is.

This module does not judge whether a value is possible for a part: see the calculators.

References
----------
1. NIST Special Publication 811, Guide for the Use of the International System of Units, 2008,
   Appendix B: conversion factors (inch, mile, pound, pound-force, standard gravity are exact).
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.errors import ReadingError
from vibecheck.metrology.units.numerals import (
    DECIMAL,
    FRACTION,
    NUMBER,
    PLUS_MINUS,
    fault_of,
    is_inch_fraction,
    read_number,
    short,
)

INCH_MM = 25.4
MILE_KM = 1.609344
POUND_G = 453.59237
STANDARD_GRAVITY = 9.80665  # m/s2
POUND_FORCE_N = POUND_G / 1000.0 * STANDARD_GRAVITY
FOOT_M = 0.3048
LONGEST_TEXT = 80  # characters; a reading is never longer
MOST_READINGS = 10_000


class Quantity(StrEnum):
    """What a reading is a reading of."""

    LENGTH = "length"
    SPEED = "speed"
    TORQUE = "torque"
    MASS = "mass"
    FREQUENCY = "frequency"
    ANGLE = "angle"
    PRESSURE = "pressure"
    FORCE = "force"
    ACCELERATION = "acceleration"
    NUMBER = "number"


class Unit(Struct, frozen=True):
    """One unit: how it is shown, its size in the base unit, and the ways people write it."""

    name: str
    factor: float
    spellings: tuple[str, ...]


# The first unit of each quantity is its base unit.
UNITS: dict[Quantity, tuple[Unit, ...]] = {
    Quantity.LENGTH: (
        Unit("mm", 1.0, ("millimeter", "millimeters", "millimetre", "millimetres")),
        Unit("in", INCH_MM, ("inch", "inches", '"', "''", "″", "”")),
        Unit("thou", INCH_MM / 1000.0, ("thous", "mil", "mils", "thousandth", "thousandths")),
        Unit("um", 0.001, ("µm", "μm", "micron", "microns")),
        Unit("hundredths mm", 0.01, ("hundredth mm", "hundredths of a mm", "hundredths of mm",
                                     "hundredths of a millimeter", "1/100 mm")),
        Unit("cm", 10.0, ()),
        Unit("m", 1000.0, ("meter", "meters", "metre", "metres")),
    ),
    Quantity.SPEED: (
        Unit("km/h", 1.0, ("kmh", "kph", "kmph", "kmhr", "km/hr")),
        Unit("mph", MILE_KM, ("mi/h", "mi/hr", "miles/h")),
        Unit("m/s", 3.6, ("mps",)),
    ),
    Quantity.TORQUE: (
        Unit("Nm", 1.0, ("newtonmeter", "newtonmeters", "newtonmetre", "newtonmetres")),
        Unit("lb-ft", POUND_FORCE_N * FOOT_M,
             ("lbft", "lbsft", "ftlb", "ftlbs", "lbfft", "ftlbf", "footpounds", "poundfeet")),
        Unit("lb-in", POUND_FORCE_N * INCH_MM / 1000.0,
             ("lbin", "lbsin", "inlb", "inlbs", "lbfin", "inlbf", "inchpounds")),
    ),
    Quantity.MASS: (
        Unit("g", 1.0, ("gram", "grams", "gramme", "grammes", "gr")),
        Unit("kg", 1000.0, ("kilo", "kilos", "kilogram", "kilograms")),
        Unit("oz", POUND_G / 16.0, ("ounce", "ounces", "ozs")),
        Unit("lb", POUND_G, ("lbs", "pound", "pounds")),
    ),
    Quantity.FREQUENCY: (
        Unit("Hz", 1.0, ("hertz",)),
        Unit("rpm", 1.0 / 60.0, ("r/min", "rev/min", "cpm")),
        Unit("kHz", 1000.0, ()),
    ),
    Quantity.ANGLE: (
        Unit("deg", 1.0, ("°", "degs", "degree", "degrees")),
        Unit("rad", 180.0 / math.pi, ("radian", "radians")),
        Unit("o'clock", 30.0, ("oclock", "o’clock")),
    ),
    Quantity.PRESSURE: (
        Unit("kPa", 1.0, ()),
        Unit("bar", 100.0, ("bars",)),
        Unit("psi", POUND_FORCE_N / INCH_MM**2 * 1000.0, ("lb/in2", "lbf/in2", "psig")),
    ),
    Quantity.FORCE: (
        Unit("N", 1.0, ("newton", "newtons")),
        Unit("lb", POUND_FORCE_N, ("lbs", "lbf", "pound", "pounds", "poundforce")),
        Unit("kN", 1000.0, ()),
        Unit("kgf", STANDARD_GRAVITY, ("kg", "kp")),
    ),
    Quantity.ACCELERATION: (
        Unit("m/s2", 1.0, ("m/ss", "m/s/s", "mps2")),
        Unit("g", STANDARD_GRAVITY, ("gn", "gravity")),
        Unit("mg", STANDARD_GRAVITY / 1000.0, ()),
    ),
    Quantity.NUMBER: (Unit("", 1.0, ()),),
}


class Measured(Struct, frozen=True):
    """One reading.

    Attributes
    ----------
    value : in the base unit of its quantity [mm, km/h, Nm, g, Hz, deg, kPa, N, m/s2 or unitless].
    uncertainty : expanded, k = 2, in the base unit, or None if none was typed.
    unit : the unit it was typed in, by its shown name.
    typed : the text as typed.
    step : one unit of the last digit typed, or the width of a range, in the base unit.
    bare : no unit was typed: it counts in the unit of bare numbers.
    """

    value: float
    uncertainty: float | None
    unit: str
    typed: str
    step: float = 0.0
    bare: bool = False


_READING = (
    rf"(?P<value>{NUMBER})(?: ?(?:-|to) ?(?P<upto>{DECIMAL}))? ?(?P<unit>[^0-9±+., -][^±]*?)? ?"
    rf"(?:± ?(?P<spread>{NUMBER}) ?(?P<spread_unit>[^±]*?))?"
)
_EXAMPLES = {
    Quantity.LENGTH: "0.49 mm or 18 thou", Quantity.SPEED: "105 km/h or 65 mph",
    Quantity.TORQUE: "120 Nm or 90 lb-ft", Quantity.MASS: "15 g or 0.5 oz",
    Quantity.FREQUENCY: "14.2 Hz", Quantity.ANGLE: "90 deg", Quantity.PRESSURE: "230 kPa or 33 psi",
    Quantity.FORCE: "80 N or 18 lb", Quantity.ACCELERATION: "0.3 m/s2", Quantity.NUMBER: "3",
}


@lru_cache(maxsize=2048)  # a case is read again after every answer
def parse(
    text: str, quantity: Quantity, default_unit: str | None = None, where: str = ""
) -> Measured:
    """Read one typed value.

    Parameters
    ----------
    text : as typed, up to 80 characters.
    quantity : what it must be a reading of.
    default_unit : the unit of a bare number; the base unit if None.
    where : field, option or file to name in a complaint.

    Raises
    ------
    ReadingError : not one finite number with a unit of that quantity, or the comma is ambiguous.
    """
    plain = _normalize(text, quantity, where)
    match = re.fullmatch(_READING, plain)
    if match is None:
        raise _refusal(f"'{short(text)}' {fault_of(plain)}", quantity, where)
    word = (match["unit"] or "").strip()
    if quantity is Quantity.LENGTH and not word and is_inch_fraction(match["value"]):
        word = "in"
    unit = unit_named(word or (default_unit or ""), quantity, where)
    number, step = read_number(match["value"], where)
    if match["upto"] is not None:
        number, step = _range(number, step, match["upto"], quantity, where)
    value = number * unit.factor
    if not math.isfinite(value):
        raise _refusal(f"'{short(text)}' is too large to be a reading", quantity, where)
    spread = None
    if match["spread"] is not None:
        spread = _spread(match["spread"], match["spread_unit"] or "", value, unit, quantity, where)
    return Measured(value, spread, unit.name, text.strip(), step * unit.factor, not word)


def _range(
    low: float, step: float, text: str, quantity: Quantity, where: str
) -> tuple[float, float]:
    """Middle and width of a range of which the lower end was read."""
    high, upper_step = read_number(text, where)
    if low < 0.0:
        raise _refusal("a range of negative values may be two readings", quantity, where)
    if not low < high:
        raise _refusal(f"a range from {low:g} to {high:g} runs backward", quantity, where)
    return (low + high) / 2.0, max(high - low, step, upper_step)


_PAIR = r"(?P<high>[^/;]+?) ?(?:/(?= ?[+-])|;| to | (?=-)) ?(?P<low>.+)"


def parse_high_low(
    text: str, quantity: Quantity, default_unit: str | None = None, where: str = ""
) -> tuple[Measured, Measured] | None:
    """A high and a low typed as one: `+7/-2.5 thou`, `7 / -2.5`, `7 to -2.5 thou`, `7; 2 thou`.

    A unit after the last number only counts for both. See `parse` for the parameters.

    Returns
    -------
    the higher and the lower value; None if the text is not of that kind.

    Raises
    ------
    ReadingError : it is a pair, but one of the two cannot be read or the units differ.
    """
    if len(text) > LONGEST_TEXT:
        return None
    match = re.fullmatch(_PAIR, _normalize(text, quantity, where))
    if match is None or not _is_bare(match["high"]) and not _has_digit(match["high"]):
        return None
    low = parse(match["low"], quantity, default_unit, where)
    shared = low.unit if _is_bare(match["high"]) and not low.bare else default_unit
    high = parse(match["high"], quantity, shared, where)
    if high.unit != low.unit:
        raise ReadingError(
            f"the pair mixes {high.unit} and {low.unit}", where, "write both in one unit"
        )
    return (high, low) if high.value >= low.value else (low, high)


class Column(Struct, frozen=True):
    """Readings of a pasted column, and the heading that was skipped ("" if there was none)."""

    readings: tuple[Measured, ...]
    heading: str


def parse_column(
    text: str, quantity: Quantity, default_unit: str | None = None, where: str = ""
) -> Column:
    """Many values, perhaps under a heading line; a unit in the heading counts for bare numbers.

    A heading is a first line without a number of its own. See `parse_list` for the rest.
    """
    first, newline, rest = text.strip().partition("\n")
    if not newline or not first.strip() or any(
        re.match(r"[+\-−–]?[.,]?[0-9]", token) for token in first.split()
    ):
        return Column(_listed(text, quantity, default_unit, where), "")
    words = re.findall(r"[^\s()\[\]/,;:]+", first)
    named = [word for word in words if _key(word) in _BY_SPELLING[quantity]]
    unit = named[-1] if named else default_unit
    readings = _listed(rest, quantity, unit, where)
    if named:
        readings = tuple(replace(reading, bare=False) for reading in readings)
    return Column(readings, short(first))


def parse_list(
    text: str, quantity: Quantity, default_unit: str | None = None, where: str = ""
) -> tuple[Measured, ...]:
    """Read many values parted by new lines, spaces or semicolons, all in one unit.

    A unit after the last value only counts for all of them. A heading line above a column is
    skipped; see `parse_column` to say so, and `parse` for the parameters.

    Raises
    ------
    ReadingError : no value at all, one that cannot be read, or units that differ.
    """
    return parse_column(text, quantity, default_unit, where).readings


def _listed(
    text: str, quantity: Quantity, default_unit: str | None, where: str
) -> tuple[Measured, ...]:
    pieces = _pieces(text, quantity, where)
    if not pieces:
        raise _refusal("there is no reading", quantity, where)
    if len(pieces) > MOST_READINGS:
        raise _refusal(f"{len(pieces)} readings are more than {MOST_READINGS}", quantity, where)
    if all(_is_bare(piece) for piece in pieces[:-1]):
        default_unit = parse(pieces[-1], quantity, default_unit, _nth(where, len(pieces))).unit
    readings = tuple(
        parse(piece, quantity, default_unit, _nth(where, index))
        for index, piece in enumerate(pieces, start=1)
    )
    if not readings[-1].bare:
        readings = tuple(replace(reading, bare=False) for reading in readings)
    units = sorted({reading.unit for reading in readings})
    if len(units) > 1:
        raise ReadingError(
            f"the list mixes {' and '.join(units)}", where, "write every reading in one unit"
        )
    return readings


def unit_named(word: str, quantity: Quantity, where: str = "") -> Unit:
    """The unit that a person means by a word; the base unit for an empty word.

    Raises
    ------
    ReadingError : no unit of that quantity is written so.
    """
    if not word.strip():
        return UNITS[quantity][0]
    unit = _BY_SPELLING[quantity].get(_key(word))
    if unit is None and quantity is Quantity.LENGTH and re.fullmatch("hundredths?", _key(word)):
        raise ReadingError(
            "hundredths may be of a millimeter or of an inch", where,
            "write for example 0.04 mm or 0.04 in",
        )
    if unit is None and re.match(r"/\s*[-\u2212]", word.strip()):
        raise ReadingError(
            "a high and a low stand where one reading is wanted", where,
            "give them as high and low, or as high minus low",
        )
    if unit is None:
        names = ", ".join(unit.name for unit in UNITS[quantity] if unit.name)
        instead = f"write one of {names}" if names else "write the number alone"
        raise ReadingError(f"'{short(word)}' is not a unit of {quantity.value}", where, instead)
    return unit


def to_unit(value: float, quantity: Quantity, unit: str) -> float:
    """A value in the base unit, expressed in the named unit."""
    return value / unit_named(unit, quantity).factor


def show(value: float, quantity: Quantity, unit: str = "", digits: int | None = None) -> str:
    """A base-unit value in the named unit, as text that `parse` reads back to the same value.

    Parameters
    ----------
    value : in the base unit of the quantity.
    unit : the unit to show; the base unit if empty.
    digits : decimals to show; None shows all that carry information (12 significant).
    """
    chosen = unit_named(unit, quantity)
    number = value / chosen.factor
    text = _all_digits(number) if digits is None else f"{number:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text} {chosen.name}".strip()


def _all_digits(number: float) -> str:
    text = f"{number:.12g}"
    return format(Decimal(text), "f") if "e" in text else text


def _key(word: str) -> str:
    return re.sub(r"[\s.\-·⋅*^]", "", word).replace("²", "2").lower()


_BY_SPELLING: dict[Quantity, dict[str, Unit]] = {
    quantity: {_key(word): unit for unit in units for word in (unit.name, *unit.spellings)}
    for quantity, units in UNITS.items()
}


def _normalize(text: str, quantity: Quantity, where: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise _refusal(f"a text of {len(text)} characters is not a reading", quantity, where)
    plain = " ".join(text.replace("−", "-").replace("–", "-").split())
    if not plain:
        raise _refusal("there is no reading", quantity, where)
    return re.sub(PLUS_MINUS, "±", plain)


def _spread(
    text: str, word: str, value: float, unit: Unit, quantity: Quantity, where: str
) -> float:
    number, _ = read_number(text, where)
    if word.strip() == "%":
        spread = abs(value) * number / 100.0
    else:
        spread = number * (unit_named(word, quantity, where) if word.strip() else unit).factor
    if spread < 0.0 or not math.isfinite(spread):
        raise ReadingError(
            f"an uncertainty of '{text}' cannot be", where, "write a positive number after +/-"
        )
    return spread


def _pieces(text: str, quantity: Quantity, where: str) -> list[str]:
    """The single readings in a list, each with the unit words that follow it."""
    pieces: list[str] = []
    for field in re.split(r"[;\n\r]", text):
        fresh = True
        for token in re.sub(PLUS_MINUS, "±", field).split():
            token = token.rstrip(",") or token
            if not fresh and not re.match(r"[0-9.,+\-−–]", token):
                pieces[-1] = f"{pieces[-1]} {token}"
            elif not fresh and re.fullmatch(FRACTION, token) and pieces[-1].isdigit():
                raise _refusal(
                    f"'{short(pieces[-1])} {short(token)}' may be one reading or two",
                    quantity, where,
                )
            else:
                pieces.append(token)
            fresh = False
    return pieces


def _has_digit(text: str) -> bool:
    return re.search(r"[0-9]", text) is not None


def _is_bare(piece: str) -> bool:
    return re.fullmatch(NUMBER, piece.replace("−", "-").replace("–", "-")) is not None


def _nth(where: str, index: int) -> str:
    return f"{where}, reading {index}" if where else f"reading {index}"


def _refusal(what: str, quantity: Quantity, where: str) -> ReadingError:
    return ReadingError(what, where, f"write for example {_EXAMPLES[quantity]}")
