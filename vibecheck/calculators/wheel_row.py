"""What is typed for bead surfaces: one row for the surfaces read in one turn, one text for each.

A text is high minus low of one slow turn ("14", "0.14 mm"), or its high and low as a pair
("9/-5"). A bare number counts as the dial in use does: in millimeters, inches, thousandths of an
inch, or divisions of 0.01 mm. What makes no sense so, but does on another dial, is refused with
both readings: nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NoReturn

from vibecheck.calculators.runout import RunoutResult, run
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.turn_list import FEWEST_READINGS, LARGEST_TIR_MM
from vibecheck.metrology.units.values import (
    INCH_MM,
    Measured,
    Quantity,
    parse,
    parse_high_low,
)

HUNDREDTH = "0.01 mm"
DIALS: Mapping[str, float] = {  # what one counts [mm]
    "mm": 1.0, HUNDREDTH: 0.01, "thou": INCH_MM / 1000.0, "in": INCH_MM,
}
SMALLEST_SHARE = 1.0 / 20.0  # of the limit; smaller is hardly read off a gauge; from memory
LARGEST_USUAL_MM = 6.0  # hardly any bead runs out farther; common practice, no source
FINEST_MM = {"mm": 0.002, HUNDREDTH: 0.0009}  # finer last digits are another dial's; from memory
_LENGTH = Quantity.LENGTH
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+")
_UNIT_WORD = re.compile(r"[A-Za-z\"“”]")
_SPREAD = re.compile(r"\s*(\+/-|\+-|±)\s*")
_SLASH = re.compile(r"\s*/\s*")


def split_row(text: str) -> tuple[str, ...]:
    """The texts of a row, parted by blanks or semicolons; a unit stays with its number.

    A unit after the last number only counts for all of them.

    Raises
    ------
    ReadingError : a unit without a number before it.
    """
    pieces: list[str] = []
    for word in _SLASH.sub("/", _SPREAD.sub("±", text.replace(";", " "))).split():
        if _UNIT_WORD.match(word):
            if not pieces:
                raise ReadingError(f"'{text[:60]}' does not begin with a number", "",
                                   "write for example 14 18, or 0.14 mm 0.18 mm")
            pieces[-1] += f" {word}"
        else:
            pieces.append(word)
    found = [piece.replace("±", " +/- ") for piece in pieces]
    unit = re.search(r" ?([A-Za-z\"“”]+)$", found[-1]) if len(found) > 1 else None
    if unit and all(_all_bare(each) for each in found[:-1]):
        found[:-1] = [f"{each} {unit[1]}" for each in found[:-1]]
    return tuple(found)


def written(text: str, dial: str) -> str:
    """A text with its unit: the digits as typed, or divisions counted out into millimeters."""
    plain = text.strip()
    if not _all_bare(plain):
        return plain
    if dial != HUNDREDTH:
        return f"{plain} {dial}"
    counted = _NUMBER.sub(lambda found: _hundredths(found[0]), plain)
    return f"{counted} mm"


def slow_turn(text: str, dial: str, limit_mm: float, where: str = "") -> dict[str, str]:
    """The texts of the runout calculator behind one typed text.

    Raises
    ------
    ReadingError : not a reading; one that makes more sense on another dial; one that cannot be; a
        pointer that never moved.
    """
    if "/" in text and not _UNIT_WORD.search(text) and "/-" not in text and "/+" not in text:
        raise ReadingError(f"'{text[:60]}' may be a fraction or a high and a low", where,
                           "write the low with its sign, as 9/+2 or 9/-5, or a fraction with its "
                           "unit")
    texts = _texts(written(text, dial), where)
    if _all_bare(text.strip()):
        _refuse_doubtful(text.strip(), dial, limit_mm, where)
    found = run(texts)
    if found.runout.still:
        raise ReadingError(
            f"'{text[:60]}' is a pointer that never moved, as of a tip that does not touch", where,
            "lift the tip and see it move, then read again",
        )
    if found.runout.tir_mm > LARGEST_TIR_MM:
        raise ReadingError(f"'{text[:60]}' is more than a wheel can run out", where,
                           "check the number and its unit")
    return texts


def place_text(text: str, dial: str, where: str = "") -> str:
    """One reading at a place round the wheel, with its unit; its size alone proves nothing.

    Raises
    ------
    ReadingError : not a reading, or one that no gauge on a wheel shows.
    """
    kept = written(text, dial)
    found = parse(kept, _LENGTH, None, where)
    plain = text.strip()
    fine = _all_bare(plain) and found.step < FINEST_MM.get(dial, 0.0)
    if abs(found.value) > LARGEST_USUAL_MM or fine:
        others = [each for each in DIALS if each != dial and _all_bare(plain)
                  and _usual(plain, each, 0.0)]
        if others:
            _refuse_unnamed(plain, dial, others, where)
    if abs(found.value) > LARGEST_USUAL_MM:
        raise ReadingError(f"'{text[:60]}' is farther than a gauge on a wheel goes", where,
                           "check the number and its unit")
    return kept


def turn_texts(
    readings: Sequence[str], angles: Sequence[str], closing: str = "",
    slow: Mapping[str, str] | None = None,
) -> dict[str, str]:
    """The texts of a turn read place by place, with the slow turn of the same setting-up.

    Parameters
    ----------
    readings, angles : at least 6, each reading with its unit [deg].
    closing : the first place read again; "" if it was not.
    slow : texts of `slow_turn` of the same setting-up.

    Raises
    ------
    ReadingError : too few readings, or ones that cannot be.
    """
    if len(readings) < FEWEST_READINGS:
        raise ReadingError(f"{len(readings)} readings are too few for one turn", "",
                           f"take {FEWEST_READINGS} or more")
    every = [*readings, *([closing] if closing else [])]
    places = [*angles, *(["360"] if closing else [])]
    units = {parse(each, _LENGTH).unit for each in every}
    if len(units) > 1:
        every = [f"{parse(each, _LENGTH).value:.9g} mm" for each in every]
    texts = {"readings": "; ".join(every), "angles": "; ".join(places)}
    if slow and _unit_of(slow) == parse(every[0], _LENGTH).unit:
        texts |= dict(slow)
    elif slow:
        texts |= {name: f"{parse(text, _LENGTH).value:.9g} mm" for name, text in slow.items()}
    return texts


def judged_alone(texts: Mapping[str, str], limit_mm: float) -> RunoutResult:
    """The runout of such texts against a limit."""
    return run({**texts, "tolerance": f"{limit_mm:.9g} mm"})


def _unit_of(texts: Mapping[str, str]) -> str:
    return parse(next(iter(texts.values())), _LENGTH).unit


def _texts(text: str, where: str) -> dict[str, str]:
    pair = parse_high_low(text, _LENGTH, None, where)
    if pair is None:
        found = parse(text, _LENGTH, None, where)
        if found.value < 0.0:
            raise ReadingError(f"a high minus low of '{text[:60]}' is negative", where,
                               "write the high and the low as 9/-5")
        return {"tir": text}
    return {"high": _shown(pair[0]), "low": _shown(pair[1])}


def _shown(each: Measured) -> str:
    bare = each.typed[-1:].isdigit() or each.typed[-1:] in ".,"
    return f"{each.typed} {each.unit}" if bare else each.typed


def _refuse_doubtful(text: str, dial: str, limit_mm: float, where: str) -> None:
    """Refuse a bare text that is no ordinary runout on this dial, where it is one on another."""
    size, _ = _size(text, dial)
    if size == 0.0 or _usual(text, dial, limit_mm):
        return
    others = [each for each in DIALS if each != dial and _usual(text, each, limit_mm)]
    if others:
        _refuse_unnamed(text, dial, others, where)
    if size > LARGEST_USUAL_MM:
        raise ReadingError(f"'{text[:60]}' would be {written(text, dial)}, far more than a wheel "
                           "runs out", where, "check the number, or write its unit")


def _refuse_unnamed(text: str, dial: str, others: Sequence[str], where: str) -> NoReturn:
    meant = " or ".join(dict.fromkeys(written(text, each) for each in others))
    raise ReadingError(
        f"'{text[:60]}' has no unit, and {meant} makes more sense than {written(text, dial)}",
        where, "write it with its unit",
    )


def _usual(text: str, dial: str, limit_mm: float) -> bool:
    size, step = _size(text, dial)
    fine = step < FINEST_MM.get(dial, 0.0)
    return SMALLEST_SHARE * limit_mm <= size <= LARGEST_USUAL_MM and not fine


def _size(text: str, dial: str) -> tuple[float, float]:
    """High minus low, and the step of the last digit, as read on a dial [mm]."""
    kept = written(text, dial)
    pair = parse_high_low(kept, _LENGTH)
    if pair is not None:
        step = min(each.step for each in pair)
        return pair[0].value - pair[1].value, step
    found = parse(kept, _LENGTH)
    return abs(found.value), found.step


def _all_bare(text: str) -> bool:
    """True where no part of a text has a unit."""
    if any(ch.isalpha() or ch in "\"“”±" for ch in text) or "+/-" in text:
        return False
    pair = parse_high_low(text, _LENGTH) if "/" in text or ";" in text else None
    if pair is not None:
        return all(each.bare for each in pair)
    try:
        return parse(text, _LENGTH, "thou").unit == "thou"
    except ReadingError:
        return False


def _hundredths(number: str) -> str:
    """Divisions of 0.01 mm as millimeters, every digit kept."""
    return f"{Decimal(number.replace(',', '.')) * Decimal('0.01'):f}"
