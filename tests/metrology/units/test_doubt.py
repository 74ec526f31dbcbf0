"""Numbers typed bare that make more sense in another unit."""

from __future__ import annotations

import pytest

from vibecheck.metrology.units.doubt import (
    CHOICES,
    Doubtful,
    doubt,
    doubt_of_list,
    usual_runout,
)
from vibecheck.metrology.units.values import Quantity, parse, parse_list, unit_named

BEAD = usual_runout(0.5)  # mm; usual limit of aftermarket wheels (common practice, no source)
TREAD = (1.0, 12.0)  # mm of tread depth met on cars; common practice, no source


@pytest.mark.parametrize(
    ("typed", "unit", "why", "meant"),
    [
        (".047", "mm", Doubtful.TOO_SMALL, {"in": 1.194}),
        ("0.05", "mm", Doubtful.TOO_SMALL, {"in": 1.27}),
        ("0.125", "mm", Doubtful.TOO_FINE, {"in": 3.175}),
        ("18", "mm", Doubtful.TOO_LARGE, {"thou": 0.457}),
        ("5", "mm", Doubtful.TOO_COARSE, {"thou": 0.127}),
        ("0.49", "in", Doubtful.TOO_LARGE, {"mm": 0.49}),
        ("18", "in", Doubtful.TOO_LARGE, {"thou": 0.457}),
        ("0.018", "thou", Doubtful.TOO_SMALL, {"in": 0.457}),
        ("0.4", "thou", Doubtful.TOO_SMALL, {"mm": 0.4}),
    ],
)
def test_bead_runout_typed_bare(
    typed: str, unit: str, why: Doubtful, meant: dict[str, float]
) -> None:
    """Both readings come back as values: a thou is a thousandth of an inch of 25.4 mm."""
    reading = parse(typed, Quantity.LENGTH, unit)

    found = doubt(reading, Quantity.LENGTH, BEAD, unit)

    assert found is not None and found.why is why and found.as_read is reading
    assert {each.unit: each.value for each in found.otherwise} == pytest.approx(meant, abs=1e-3)


@pytest.mark.parametrize(
    ("typed", "unit"),
    [("0.49", "mm"), ("0.2", "mm"), ("1.19", "mm"), ("18", "thou"), ("47", "thou"), (".018", "in"),
     ("0", "mm"), (".047 in", "mm"), ("0.047 mm", "mm"), ("1/32", "mm")],
)
def test_ordinary_readings_and_those_with_a_unit_are_not_doubted(typed: str, unit: str) -> None:
    assert doubt(parse(typed, Quantity.LENGTH, unit), Quantity.LENGTH, BEAD, unit) is None


def test_every_bare_number_that_flips_the_verdict_in_inches_is_doubted() -> None:
    """Sweep: whatever stands for a runout of 1/4 to 6 times the limit in inches or thou, typed
    into a field of millimeters as a person writes it, is either doubted or lies beyond anyway.
    """
    for thou in range(8, 110):
        for text in (f".{thou:03d}", f"0.{thou:03d}", f"{thou}"):
            reading = parse(text, Quantity.LENGTH, "mm")
            found = doubt(reading, Quantity.LENGTH, BEAD, "mm")
            assert found is not None, text
            assert any(abs(each.value - thou * 0.0254) < 1e-9 for each in found.otherwise), text


def test_what_fits_no_unit_is_doubted_without_a_choice() -> None:
    """24 thousand of anything is at no bead."""
    found = doubt(parse("24000", Quantity.LENGTH), Quantity.LENGTH, BEAD, "mm")
    assert found is not None and found.otherwise == ()


def test_tread_depth() -> None:
    """4/32 in is 3.2 mm, the figure of US tread wear bars being 2/32 (FMVSS 139, from memory)."""
    reading = parse("4/32", Quantity.LENGTH, "mm")
    assert reading.value == pytest.approx(3.175) and reading.unit == "in"
    assert doubt(reading, Quantity.LENGTH, TREAD, "mm") is None
    assert doubt(parse("5", Quantity.LENGTH, "mm"), Quantity.LENGTH, TREAD, "mm") is None


def test_lists_are_doubted_by_their_spread() -> None:
    """Whole thou typed into a list of millimeters: 3 to -2 is 5 mm, or 0.127 mm."""
    readings = parse_list("0 1 3 2 0 -2 -1 0", Quantity.LENGTH, "mm")
    found = doubt_of_list(readings, Quantity.LENGTH, BEAD, "mm")
    assert found is not None and found.as_read.value == 5.0
    assert [each.unit for each in found.otherwise] == ["thou"]
    named = parse_list("0 1 3 2 0 -2 -1 0 thou", Quantity.LENGTH, "mm")
    assert doubt_of_list(named, Quantity.LENGTH, BEAD, "mm") is None
    assert doubt_of_list(parse_list("0 .1 .3 .2 0 -.1", Quantity.LENGTH), Quantity.LENGTH,
                         BEAD) is None


def test_other_quantities() -> None:
    """33 of tire pressure is psi (227 kPa), 2.3 is bar; 80 of torque may be either."""
    pressures = (120.0, 450.0)  # kPa of road tires; common practice, no source
    found = doubt(parse("33", Quantity.PRESSURE), Quantity.PRESSURE, pressures)
    assert found is not None and [each.unit for each in found.otherwise] == ["psi"]
    found = doubt(parse("2.3", Quantity.PRESSURE), Quantity.PRESSURE, pressures)
    assert found is not None and [each.unit for each in found.otherwise] == ["bar"]
    assert doubt(parse("80", Quantity.TORQUE), Quantity.TORQUE, (60.0, 200.0)) is None


def test_units_to_choose_are_units() -> None:
    for quantity, names in CHOICES.items():
        for name in names:
            assert unit_named(name, quantity).name == name
