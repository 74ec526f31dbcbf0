"""Typed values: units kept with their digits, doubts about a unit, values in the unit chosen."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.calculators.written_units import is_bare, with_unit
from vibecheck.metrology.units.choice import Units
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.open_case import OpenCase
from vibecheck.session.typed import doubts

INCH_MM = 25.4  # exact; NIST SP 811 (2008), Appendix B


@pytest.fixture(scope="module")
def opened() -> OpenCase:
    made = OpenCase.new(None, place="bay")
    made.answer(["bead_radial_inboard@LF=0.508 mm", "worst_speed=65 mph"])
    return made


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("0.490", "0.490 in"), (" .018 ", ".018 in"), ("-2.5", "-2.5 in"),
        ("0.49 +/- 0.02", "0.49 in +/- 0.02"), ("0.49±5%", "0.49 in +/- 5%"),
        ("0.49 mm", "0.49 mm"), ("18 thou", "18 thou"), ("1,234", "1,234"), ("abc", "abc"),
        ("", ""), ("1..2", "1..2"),
    ],
)
def test_unit_is_put_to_bare_numbers_only(typed: str, expected: str) -> None:
    assert with_unit(typed, Quantity.LENGTH, "in") == expected


@given(st.decimals(0, 9, places=4, allow_nan=False), st.sampled_from(["mm", "in", "thou"]))
@settings(derandomize=True, max_examples=60)
def test_putting_the_unit_changes_no_value_and_no_digit(number: object, unit: str) -> None:
    typed = str(number)
    put = with_unit(typed, Quantity.LENGTH, unit)

    assert typed in put
    assert parse(put, Quantity.LENGTH, "mm").value == parse(typed, Quantity.LENGTH, unit).value


@pytest.mark.parametrize("quantity", list(Quantity))
def test_bare_number_of_every_quantity(quantity: Quantity) -> None:
    assert is_bare("3.5", quantity)
    assert not is_bare("3.5 [/bad]", quantity)


@pytest.mark.parametrize(
    ("typed", "unit", "meant"),
    [
        ("0.018", "mm", "0.018 in"),  # 0.457 mm
        ("0.49", "in", "0.49 mm"),  # 12.4 mm as typed
        ("18", "mm", "18 thou"),  # 0.457 mm
        ("18", "in", "18 thou"),
    ],
)
def test_unit_wrong_by_25_4_or_a_thousand_is_doubted(
    opened: OpenCase, typed: str, unit: str, meant: str
) -> None:
    assert meant in doubts(opened.diagnosis, "bead_radial_inboard", typed, unit)


@pytest.mark.parametrize(
    ("typed", "unit"),
    [("0.49", "mm"), ("0.10", "mm"), ("0", "mm"), ("2.5", "mm"), ("0.018", "in"),
     ("18 mm", "mm"), ("0.018 mm", "mm"), ("abc", "mm"), ("", "mm")],
)
def test_plausible_and_explicit_values_are_not_doubted(
    opened: OpenCase, typed: str, unit: str
) -> None:
    assert doubts(opened.diagnosis, "bead_radial_inboard", typed, unit) == ()


def test_only_lengths_are_doubted(opened: OpenCase) -> None:
    assert doubts(opened.diagnosis, "worst_speed", "9000", "km/h") == ()
    assert doubts(opened.diagnosis, "vibration", "strong", "") == ()


def test_units_go_round() -> None:
    units = Units()
    assert units.other_length().other_length() == units.other_speed().other_speed() == units
    assert units.of(Quantity.ANGLE, "deg") == "deg"
    assert units.other_length().of(Quantity.MASS) == "oz"
