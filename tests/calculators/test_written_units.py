"""A unit is written behind what was typed without one; the digits stay."""

from __future__ import annotations

import pytest

from vibecheck.calculators.fields import Shape
from vibecheck.calculators.written_units import keep_unit
from vibecheck.metrology.units.choice import Units
from vibecheck.metrology.units.values import Quantity

INCH = Units("in", "mph").of


@pytest.mark.parametrize("typed, shape, kept", [
    ("0.0180", Shape.VALUE, "0.0180 in"), ("18 thou", Shape.VALUE, "18 thou"),
    ("  ", Shape.VALUE, "  "),
    (".018 +/- .002", Shape.VALUE, ".018 in +/- .002"), ("[/bad]", Shape.VALUE, "[/bad]"),
    ("0 .05 .13", Shape.LIST, "0 .05 .13 in"), ("0 .05 .13 mm", Shape.LIST, "0 .05 .13 mm"),
    ("0 1.2.3", Shape.LIST, "0 1.2.3"),
    ("0.42 at 120", Shape.SIZE_AT, "0.42 in at 120"), ("0.42mm@120", Shape.SIZE_AT, "0.42mm@120"),
    ("0.42 @ 120", Shape.EITHER, "0.42 in @ 120"), ("0 .05 .13", Shape.EITHER, "0 .05 .13 in"),
])
def test_lengths(typed: str, shape: Shape, kept: str) -> None:
    assert kept == keep_unit(typed, shape, Quantity.LENGTH, "", INCH)


def test_speeds_have_their_own_unit_and_other_fields_none() -> None:
    assert "65 mph" == keep_unit("65", Shape.VALUE, Quantity.SPEED, "", INCH)
    assert "65" == keep_unit("65", Shape.VALUE, None, "", INCH)
    assert "65 g" == keep_unit("65", Shape.VALUE, Quantity.MASS, "", INCH)
    assert "20 kg" == keep_unit("20", Shape.VALUE, Quantity.MASS, "kg", INCH)
    assert "65" == keep_unit("65", Shape.VALUE, Quantity.FREQUENCY, "", INCH)
