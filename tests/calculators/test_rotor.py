"""Rotor thickness as typed: limits of service manuals, worst cases, coverage, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts, values_of

from vibecheck.calculators.rotor import CALCULATOR, THIN_FINDING, VARIATION_FINDING, run
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.units.choice import US

answers_of = CALCULATOR.answers_of
ROUND = "22.010 22.012 22.020 22.031 22.034 22.030 22.018 22.011 mm"
SMOOTH = "22.00 22.00 22.01 22.00 22.00 22.00 22.01 22.00"


@pytest.mark.parametrize(
    ("limit", "zone"),
    [("0.013 mm", Zone.BEYOND), ("0.0005 in", Zone.BEYOND), ("0.025 mm", Zone.UNDECIDED),
     ("0.03 mm", Zone.WITHIN), ("0.0012 in", Zone.WITHIN)],
)
def test_limits_of_service_manuals(limit: str, zone: Zone) -> None:
    """0.013 mm or 0.0005 in (1999), 0.025 (2001), 0.03 mm or 0.0012 in (2005): read."""
    found = run(texts(thicknesses=ROUND, limit=limit, uncertainty="0.002 mm"))

    assert 0.024 == pytest.approx(found.thickness.variation_mm, abs=1e-9)
    assert found.varies is not None and zone is found.varies.zone


@pytest.mark.parametrize(
    ("least", "zone", "words"),
    [("21.9 mm", Zone.WITHIN, "proven thicker"), ("22.01 mm", Zone.UNDECIDED, "as worn out"),
     ("22.2 mm", Zone.BEYOND, "too thin: replace it")],
)
def test_the_figure_cast_into_the_rotor(least: str, zone: Zone, words: str) -> None:
    """A rotor below its discard figure is replaced, not machined (common practice, no source)."""
    found = run(texts(thicknesses=ROUND, least=least))

    assert found.worn is not None and zone is found.worn.zone
    assert words in said("rotor", found)
    state = {Zone.WITHIN: "no", Zone.UNDECIDED: "yes", Zone.BEYOND: "yes"}[zone]
    assert state == values_of(answers_of(found))[THIN_FINDING]


def test_a_rotor_a_hair_over_its_figure_answers_nothing_of_it() -> None:
    found = run(texts(thicknesses=ROUND, least="22.008 mm"))

    assert THIN_FINDING not in values_of(answers_of(found))


def test_four_places_may_show_nothing_of_two_thick_ones() -> None:
    """Manuals ask for 8 or more places (read, 1999); four may all sit at half height."""
    four, eight = run(texts(thicknesses="22 22.01 22 22.01")), run(texts(thicknesses=ROUND))

    assert [None, four.seen[0].most_mm] == [four.seen[1].most_mm, pytest.approx(
        0.01 / math.cos(math.pi / 4.0), rel=1e-6)]
    assert "eight or more places" in said("rotor", four)
    assert all(each.least_share > 0.7 for each in eight.seen)


def test_the_pulse_of_a_stop() -> None:
    """105 km/h on 205/55R16 (631.9 mm, rolling 0.971): 15.1 turns a second, as in the road test
    tables; two thick places pulse at twice that (common practice, no source)."""
    found = run(texts(thicknesses=ROUND, speed="105", tire="205/55R16", measured="30 Hz"))

    assert [(1, pytest.approx(15.13, abs=0.01)), (2, pytest.approx(30.26, abs=0.02))] == list(
        found.orders)
    assert found.pulse is not None and 2 == found.pulse.nearest


def test_how_far_a_runout_takes_to_wear_in_a_variation() -> None:
    """3,000 to 7,000 miles, 4,800 to 11,300 km (a maker's service manual, 2004, read)."""
    found = run(texts(thicknesses=SMOOTH, runout="0.004 in", runout_limit="0.002 in"))

    assert found.runout is not None and Zone.BEYOND is found.runout.zone
    assert "3,000 miles to 7,000 miles" in said("rotor", found, US)
    assert "4,800 km to 11,300 km" in said("rotor", found)


def test_the_variation_goes_into_a_case_with_its_places() -> None:
    (made,) = answers_of(run(texts(thicknesses=ROUND)))

    assert {VARIATION_FINDING: "0.024 mm +/- 0.00707"} == values_of((made,))
    assert ("22.010 mm", "45") == (made.readings[0], made.angles[1])


def test_the_stated_uncertainty_holds_for_typed_readings() -> None:
    """1,000 invented rotors of one thick and one thin place, typed to a thousandth."""
    rng = np.random.default_rng(8)
    held = 0
    for _ in range(1000):
        size = rng.uniform(0.02, 0.08)
        true = np.full(8, 22.0) + size * np.array([1, 0, 0, 0, -1, 0, 0, 0])
        read = true + rng.normal(0.0, 0.0025, 8)
        found = run(texts(thicknesses=" ".join(f"{each:.4f}" for each in read))).thickness
        held += abs(found.variation_mm - 2.0 * size) <= found.variation_uncertainty_mm

    assert 0.93 <= held / 1000 <= 0.97


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(limit="0.01"), "thicknesses", "0 places"),
        (texts(thicknesses="22 22 22"), "thicknesses", "3 places"),
        (texts(thicknesses="22 22 0.022 22"), "thicknesses, reading 3", "0.022 mm"),
        (texts(thicknesses=SMOOTH, least="0"), "least", "above zero"),
        (texts(thicknesses=SMOOTH, limit="1 m"), "limit", "more than can be"),
        (texts(thicknesses=SMOOTH, speed="100"), "tire", "tire size"),
        (texts(thicknesses=SMOOTH, measured="14"), "speed", "speed it was felt at"),
        (texts(thicknesses=SMOOTH, uncertainty="0"), "uncertainty", "above zero"),
        (texts(thicknesses=SMOOTH, runout="wavy"), "runout", "'wavy'"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
