"""Thickness variation: manuals' limits, worst cases by search, coverage."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.brakes.rotor import (
    judder_hz,
    judder_orders,
    share_seen,
    thickness,
)
from vibecheck.metrology.decision import Zone


def test_limits_of_service_manuals_tell_rotors_apart() -> None:
    """Limits 0.013 mm (0.0005 in, a maker's manual of 1999) and 0.03 mm (another, 2005), read."""
    found = thickness([22.010, 22.012, 22.020, 22.031, 22.034, 22.030, 22.018, 22.011], 0.002)

    assert 0.024 == pytest.approx(found.variation_mm, abs=1e-9)
    assert Zone.BEYOND is found.varies(0.013).zone
    assert Zone.WITHIN is found.varies(0.03).zone
    assert (1, 0, 4) == (found.waves, found.thinnest_at, found.thickest_at)


def test_a_rotor_thinner_than_its_cast_figure_is_worn_out() -> None:
    found = thickness([20.42, 20.41, 20.38, 20.40])

    assert Zone.BEYOND is found.worn(20.4).zone
    assert Zone.WITHIN is found.worn(20.3).zone
    assert Zone.UNDECIDED is found.worn(20.378).zone


@pytest.mark.parametrize("places", range(4, 25))
@pytest.mark.parametrize("waves", [1, 2, 3, 4])
def test_the_share_seen_is_the_worst_over_all_phases(places: int, waves: int) -> None:
    at = 2.0 * math.pi * np.arange(places) / places
    phases = np.linspace(0.0, 2.0 * math.pi, 2881)
    shown = np.cos(waves * at[None, :] + phases[:, None])
    worst = float(np.min(shown.max(axis=1) - shown.min(axis=1))) / 2.0

    assert worst == pytest.approx(share_seen(places, waves), abs=2e-3)


def test_four_places_can_miss_two_thick_places_wholly() -> None:
    """Why manuals ask for 8 or more places: four of them may all sit at half height."""
    assert 0.0 == pytest.approx(share_seen(4, 2), abs=1e-12)
    assert share_seen(8, 2) > 0.7
    assert share_seen(12, 2) > 0.86


def test_judder_follows_the_turning_wheel() -> None:
    """105 km/h on a wheel that rolls 1.944 m: 15.0 turns a second; two thick places pulse at 30."""
    assert 15.0 == pytest.approx(judder_hz(105.0, 1.944, 1), rel=1e-3)
    assert 30.0 == pytest.approx(judder_hz(105.0, 1.944, 2), rel=1e-3)
    order, nearest = judder_orders(29.2, 105.0, 1.944)
    assert (1.946, 2) == (pytest.approx(order, abs=1e-3), nearest)


def test_the_stated_uncertainty_holds() -> None:
    """2,000 rotors, wave of one or two cycles well above the noise: 93 to 99 %.

    The largest of several noisy readings lies a little high, so the interval is asked of rotors
    whose extremes stand alone.
    """
    rng = np.random.default_rng(3)
    held = 0
    for _ in range(2000):
        size, at = rng.uniform(0.02, 0.08), rng.integers(0, 8)
        true = np.full(8, 22.0)
        true[at] += size
        true[(at + 4) % 8] -= size
        read = true + rng.normal(0.0, 0.0025, 8)
        found = thickness(read.tolist(), 0.005)
        held += abs(found.variation_mm - 2.0 * size) <= found.variation_uncertainty_mm

    assert 0.93 <= held / 2000 <= 0.97


@pytest.mark.parametrize(
    ("readings", "words"),
    [([22.0] * 3, "3 places"), ([22.0, 22.0, 0.022, 22.0], "reading 3"),
     ([22.0, math.nan, 22.0, 22.0], "reading 2")],
)
def test_what_cannot_be_is_refused(readings: list[float], words: str) -> None:
    with pytest.raises(ReadingError, match=words):
        thickness(readings)
    with pytest.raises(ReadingError, match="above zero"):
        thickness([22.0] * 4, 0.0)
