"""A unit is written behind what was typed without one; the digits stay."""

from __future__ import annotations

import pytest

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.keepunit import Shape, keep_unit
from vibecheck.session.unitchoice import Units

INCH = Units("in", "mph")


@pytest.mark.parametrize("typed, shape, kept", [
    ("0.0180", "value", "0.0180 in"), ("18 thou", "value", "18 thou"), ("  ", "value", "  "),
    (".018 +/- .002", "value", ".018 in +/- .002"), ("[/bad]", "value", "[/bad]"),
    ("0 .05 .13", "list", "0 .05 .13 in"), ("0 .05 .13 mm", "list", "0 .05 .13 mm"),
    ("0 1.2.3", "list", "0 1.2.3"),
    ("0.42 at 120", "spot", "0.42 in at 120"), ("0.42mm@120", "spot", "0.42mm@120"),
    ("0.42 @ 120", "either", "0.42 in @ 120"), ("0 .05 .13", "either", "0 .05 .13 in"),
])
def test_lengths(typed: str, shape: Shape, kept: str) -> None:
    assert kept == keep_unit(typed, shape, Quantity.LENGTH, INCH)


def test_speeds_have_their_own_unit_and_other_fields_none() -> None:
    assert "65 mph" == keep_unit("65", "value", Quantity.SPEED, INCH)
    assert "65" == keep_unit("65", "value", None, INCH)
    assert "65" == keep_unit("65", "value", Quantity.MASS, INCH)
