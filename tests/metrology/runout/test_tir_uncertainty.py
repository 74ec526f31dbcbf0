"""The interval about a reading that is off: as wide as it must be, and no wider."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.runout.harmonics import fit
from vibecheck.metrology.runout.local_bend import find_bend
from vibecheck.metrology.runout.readings import from_readings
from vibecheck.metrology.runout.tir_uncertainty import curve_tir, half_width
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.dial import Dent, DrawnSurface, Gauge, dial_readings


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.floats(-5.0, 5.0), st.floats(0.01, 2.0))
def test_the_interval_holds_95_of_100_of_a_normal(off: float, spread: float) -> None:
    """scipy.stats.norm is the reference."""
    half = half_width(off, spread, 1.959964)

    normal = scipy.stats.norm(off, spread)
    assert normal.cdf(half) - normal.cdf(-half) == pytest.approx(0.95, abs=1e-5)


def test_limits_of_the_interval() -> None:
    """On the spot 1.96, far off one-sided 1.645 (normal tables); a known truth is a distance."""
    assert half_width(0.0, 1.0, 1.959964) == pytest.approx(1.96, abs=1e-3)
    assert half_width(-10.0, 1.0, 1.959964) == pytest.approx(11.645, abs=1e-3)
    assert half_width(0.3, 0.0, 2.0) == 0.3
    assert half_width(0.0, 1.0, 3.92) == pytest.approx(3.92, abs=1e-3)


def test_few_readings_miss_the_highest_place_and_the_interval_says_so() -> None:
    """Twelve exact readings of a 1 mm offset, the highest place midway between two of them."""
    angles = np.arange(12) * 30.0
    readings = 0.5 * np.cos(np.deg2rad(angles - 15.0))

    result = from_readings(list(readings), list(angles))

    assert result.tir_mm == pytest.approx(np.cos(np.deg2rad(15.0)))
    assert result.tir_mm + result.uncertainty_mm > 1.0


def test_a_bend_is_in_the_curve_and_its_doubt_in_the_spread() -> None:
    angles = np.arange(36) * 10.0
    wheel = DrawnSurface(first=Vector(0.1, 30.0), dents=(Dent(200.0, 60.0, 0.6),))
    [readings] = dial_readings(wheel, angles, Gauge(), np.random.default_rng(6))
    bend, scatter, _ = find_bend(readings, angles, 3, 0.01)
    assert bend is not None
    plain = fit(readings, angles, 3, scatter)

    found, spread = curve_tir(readings, angles, plain, bend)

    assert found == pytest.approx(wheel.tir_mm, abs=0.12)
    assert spread > curve_tir(readings, angles, plain, None)[1]


@pytest.mark.parametrize("place", [97.5, 105.0, 90.0])
def test_a_bend_that_hides_between_readings_is_no_wild_number(place: float) -> None:
    """A pair that vanishes at every reading would fit any size at all."""
    angles = np.arange(24) * 15.0
    wheel = DrawnSurface(first=Vector(0.1, 10.0), dents=(Dent(place, 44.0, 0.5, 0.3),))

    for readings in dial_readings(wheel, angles, Gauge(0.01, 0.01), np.random.default_rng(7), 40):
        result = from_readings(list(readings), list(angles))

        assert result.uncertainty_mm < 1.0 and result.unseen_mm < 2.0
        assert result.curve_tir_mm is not None and result.curve_tir_mm < 3.0
