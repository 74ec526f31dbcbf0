"""Results of driveshaft, rotor and fit into a case: known findings, by checks that name them."""

from __future__ import annotations

import pytest
from calculator_helpers import RULES

from vibecheck.calculators.registry import listed
from vibecheck.session.intake import take_in
from vibecheck.session.open_case import OpenCase

ROTOR = "22.00 22.01 22.02 22.03 22.02 22.01 22.00 22.00"


@pytest.mark.parametrize(
    ("name", "texts", "corner", "value"),
    [
        ("driveshaft", {"side": "2 6 3.5"}, None, "1.5 deg +/- "),
        ("rotor", {"thicknesses": ROTOR}, "LF", "0.03 mm +/- "),
        ("fit", {"bore": "67.6", "pilot": "66.6"}, "RR", "1 mm +/- "),
    ],
)
def test_a_result_is_taken_in_under_the_check_that_names_the_calculator(
    name: str, texts: dict[str, str], corner: str | None, value: str
) -> None:
    opened = OpenCase.new(None, place="bay", facts={"tire_size": "205/55R16", "drive": "rear"},
                        rules=RULES)
    found = listed(name)
    assert found is not None
    calculator = found.load()
    entry, *_ = take_in(opened, calculator, calculator.run(texts), "what came of it", corner)

    assert entry.value.startswith(value)
    assert name == opened.library.checks[entry.check].calculator
    assert entry.finding in opened.library.checks[entry.check].yields
