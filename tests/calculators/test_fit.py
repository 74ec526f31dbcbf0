"""Bore, pilot and offset as typed: worked by hand, against imbalance of an eccentricity."""

from __future__ import annotations

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts, values_of

from vibecheck.calculators.fit import CALCULATOR, GAP_FINDING, run
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.units.choice import US

answers_of = CALCULATOR.answers_of


def test_a_missing_ring() -> None:
    """72.6 on 66.6 mm without its ring: 6 mm of runout; m e = 20 kg times 3 mm = 60,000 g mm
    (ISO 21940-1's definition of imbalance, from memory)."""
    found = run(texts(bore="72.6", pilot="66.6 mm", mass="20")).fit

    assert found is not None and 6.0 == pytest.approx(found.runout_mm)
    assert 60_000.0 == pytest.approx(found.imbalance_gmm)


def test_an_offset_worked_by_hand() -> None:
    """7.5 in at +45 to 8.5 in at +35: 12.7 mm of width and 10 of offset: 22.7 out, 2.7 in.

    The usual example of the trade (common practice, no source), worked by hand.
    """
    found = run(texts(width="7.5", offset="45 mm", new_width="8.5 in", new_offset="35")).stance

    assert found is not None
    assert [22.7, 2.7, 20.0] == pytest.approx(
        [found.outboard_mm, found.inboard_mm, found.track_mm])


def test_a_spacer_and_the_offset_in_millimeters_for_all() -> None:
    """A 5 mm spacer acts as 5 mm less offset; in US units it is 0.20 in."""
    found = run(texts(width="7", offset="40", spacer="5"))

    assert found.stance == run(texts(width="7", offset="40", new_offset="35")).stance
    assert "reaches 0.197 in farther outboard and 0.197 in less far inboard" in said(
        "fit", found, US)


def test_a_ring_counts_in_both_of_its_gaps() -> None:
    found = run(texts(bore="72.6", pilot="66.6", ring_inside="66.7", ring_outside="72.5"))

    assert found.fit is not None and 0.1 == pytest.approx(found.fit.clearance_mm)
    assert values_of(answers_of(found))[GAP_FINDING].startswith("0.2 mm +/- 0.1")


@pytest.mark.parametrize(
    ("bore", "zone"),
    [("66.65", Zone.WITHIN), ("66.8", Zone.UNDECIDED), ("67.0", Zone.BEYOND)])
def test_the_limit(bore: str, zone: Zone) -> None:
    found = run(texts(bore=bore, pilot="66.6", limit="0.2"))

    assert found.gap is not None and zone is found.gap.zone
    assert ("hub ring" in said("fit", found)) == (zone is Zone.BEYOND)


def test_a_bore_too_small_is_no_finding_and_is_not_driven_on() -> None:
    found = run(texts(bore="66.4", pilot="66.6"))

    assert () == answers_of(found)
    assert "do not drive it on" in said("fit", found)


def test_the_stated_uncertainty_holds() -> None:
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(1000):
        true = 66.6 + rng.uniform(0.2, 1.0), 66.6
        bore, pilot = (each + rng.normal(0.0, 0.025) for each in true)
        found = run(texts(bore=f"{bore:.4f}", pilot=f"{pilot:.4f}")).fit
        assert found is not None
        held += abs(found.clearance_mm - (true[0] - true[1])) <= found.uncertainty_mm

    assert 0.93 <= held / 1000 <= 0.97


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(limit="1"), "bore", "nothing"),
        (texts(bore="66.6"), "pilot", "missing"),
        (texts(pilot="66.6"), "bore", "missing"),
        (texts(bore="0.067", pilot="66.6"), "bore", "0.067"),
        (texts(bore="66.6", pilot="450"), "pilot", "450"),
        (texts(bore="66.6", pilot="66.5", mass="0.1"), "mass", "0.1 kg"),
        (texts(bore="72.6", pilot="66.5", ring_outside="72"), "ring_inside", "all three"[:4]),
        (texts(width="7"), "offset", "before"),
        (texts(spacer="5"), "width", "before"),
        (texts(width="70", offset="40"), "width", "more than"),
        (texts(width="18", offset="40"), "width", "18 in"),
        (texts(width="7", offset="400"), "offset", "400"),
        (texts(width="7", offset="40", spacer="-5"), "spacer", "-5"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what or says in error.instead
