"""Numbers as people type them: decimal point or comma, fractions, and the last digit's step.

A fraction is read off a scale whose marks halve and halve again, and is written with the smallest
denominator that serves. Whoever writes 1/16 saw no reason to write an odd number of 32nds: the
step is that of the next finer marks, half of one over the denominator.

One comma counts as the decimal mark, except where it could just as well group thousands
(`1,234`): that is refused. Only ASCII digits are digits here.
"""

from __future__ import annotations

import re

from vibecheck.errors import ReadingError

# Patterns are compiled where they are first used: most commands read no number.
DECIMAL = r"(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
FRACTION = r"(?:[0-9]{1,4}[ -])?[0-9]{1,4}/[0-9]{1,4}"
NUMBER = rf"[+-]? ?(?:{FRACTION}|{DECIMAL})"
PLUS_MINUS = r"\s*(?:±|\+\s?/\s?[-−–]|\+[-−–])\s*"
FRACTION_SHARE = 2  # a rule is read to half of its mark; common practice, no source
RULER_PARTS = (8, 16, 32, 64)  # denominators that only inch scales have
_TWO_MARKS = r"[0-9]*[.,][0-9]*[.,]"
_TWO_NUMBERS = r"[0-9.,]+ [+-]?[0-9.,]+"


def read_number(text: str, where: str) -> tuple[float, float]:
    """A typed number and one unit of its last digit; for a fraction half of its denominator's mark.

    A fraction is written in its lowest terms: 1/16 was chosen among marks at 1/32, since 1/32 and
    3/32 are the next ones that would have been written otherwise.

    Raises
    ------
    ReadingError : the comma is ambiguous, or a fraction divides by zero.
    """
    sign = -1.0 if text.startswith("-") else 1.0
    body = text.lstrip("+- ")
    if "/" in body:
        return _fraction(body, sign, where)
    whole, comma, decimals = body.partition(",")
    if comma and re.fullmatch(r"[1-9][0-9]{0,2}", whole) and re.fullmatch(r"[0-9]{3}", decimals):
        raise ReadingError(
            f"the comma in '{body}' may part decimals or thousands", where,
            f"write {whole}.{decimals} or {whole}{decimals}",
        )
    body = body.replace(",", ".").lower()
    mantissa, _, exponent = body.partition("e")
    places = len(mantissa.partition(".")[2])
    return sign * float(body), float(f"1e{int(exponent or 0) - places}")


def _fraction(body: str, sign: float, where: str) -> tuple[float, float]:
    top, bottom = body.rsplit("/", 1)
    whole, numerator = ("0", top) if top.isdigit() else re.split(r"[ -]", top, maxsplit=1)
    if int(bottom) == 0:
        raise ReadingError(f"'{body}' divides by zero", where, "write a decimal number")
    value = sign * (int(whole) + int(numerator) / int(bottom))
    return value, 1.0 / (FRACTION_SHARE * int(bottom))


def is_inch_fraction(text: str) -> bool:
    """True for a bare fraction of a kind that only an inch scale shows, as 1/32 or 2 3/16."""
    if not re.fullmatch(rf"[+-]? ?{FRACTION}", text):
        return False
    return int(text.rsplit("/", 1)[1]) in RULER_PARTS


def short(text: str) -> str:
    """At most 24 characters of a text, on one line, to quote in a complaint."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 24 else f"{flat[:21]}..."


def fault_of(plain: str) -> str:
    """Why a text is not one number with a unit, as the end of a sentence."""
    if re.search(_TWO_MARKS, plain):
        return "has two decimal marks"
    if re.match(_TWO_NUMBERS, plain):
        return "holds two numbers where one belongs"
    return "is not a reading"
