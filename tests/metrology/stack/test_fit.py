"""Pilot clearance and stance: worked by hand, and held against the imbalance of an eccentricity."""

from __future__ import annotations

import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.stack.fit import pilot_fit, stance_change


def test_a_missing_ring_hangs_the_wheel() -> None:
    """Bore 72.6 on a pilot of 66.6 without its ring: up to 6 mm of runout, 60,000 g mm at 20 kg."""
    found = pilot_fit(72.6, 66.6, mass_kg=20.0)

    assert 6.0 == pytest.approx(found.runout_mm)
    assert 60_000.0 == pytest.approx(found.imbalance_gmm)
    assert found.imbalance_gmm == pytest.approx(60_000.0)


def test_a_bore_that_is_too_small_does_not_go_on() -> None:
    found = pilot_fit(66.5, 66.6)

    assert found.clearance_mm < 0.0
    assert 0.0 == found.runout_mm
    assert found.imbalance_gmm is None


def test_an_offset_calculation_worked_by_hand() -> None:
    """7.5 in at +45 to 8.5 in at +35: half the width 12.7 mm, the offset 10 mm: 22.7 out, 2.7 in.

    The usual example of the trade (common practice, no source), worked by hand.
    """
    found = stance_change(7.5, 45.0, 8.5, 35.0)

    assert 22.7 == pytest.approx(found.outboard_mm)
    assert 2.7 == pytest.approx(found.inboard_mm)
    assert 20.0 == pytest.approx(found.track_mm)


def test_a_spacer_acts_as_less_offset() -> None:
    assert stance_change(7.0, 40.0, 7.0, 40.0, 5.0) == stance_change(7.0, 40.0, 7.0, 35.0)


@pytest.mark.parametrize("wrong", [(0.067, 66.6), (66.6, float("nan")), (66.6, 1000.0)])
def test_what_cannot_be_is_refused(wrong: tuple[float, float]) -> None:
    with pytest.raises(ReadingError, match="cannot be"):
        pilot_fit(*wrong)
    with pytest.raises(ReadingError, match="cannot be"):
        stance_change(7.0, 400.0, 7.0, 40.0)
