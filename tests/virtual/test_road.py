"""Roads have the roughness that ISO 8608 gives them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import welch

from vibecheck.virtual.road import (
    STEP_M,
    Pothole,
    RoadClass,
    profile,
    roughness,
    with_potholes,
)


@pytest.mark.parametrize(
    ("mean_gd", "road"), [(16e-6, RoadClass.A), (64e-6, RoadClass.B), (256e-6, RoadClass.C)])
def test_classes_after_iso_8608(mean_gd: float, road: RoadClass) -> None:
    """Geometric means of G_d(n0), n0 = 0.1 cycles/m; each octave up has a quarter (w = 2)."""
    assert mean_gd == pytest.approx(roughness(np.array([0.1]), road)[0])
    assert mean_gd / 4.0 == pytest.approx(roughness(np.array([0.2]), road)[0])


@pytest.mark.parametrize("road", list(RoadClass))
def test_a_drawn_profile_has_that_density(road: RoadClass) -> None:
    """Welch's estimate by scipy against the formula, in thirds of an octave, 0.03 to 2.5 cycles/m.
    """
    heights = profile(40_000.0, road, np.random.default_rng(3))[:, 0]

    at, found = welch(heights, 1.0 / STEP_M, nperseg=8192)

    for middle in np.geomspace(0.03, 2.4, 20):
        band = (at > middle / 1.12) & (at < middle * 1.12)
        wanted = roughness(at[band], road)
        assert np.mean(found[band] / wanted) == pytest.approx(1.0, abs=0.15)


def test_nothing_outside_the_standards_range() -> None:
    heights = profile(40_000.0, RoadClass.B, np.random.default_rng(4))[:, 0]

    at, found = welch(heights, 1.0 / STEP_M, nperseg=8192)

    assert found[at > 3.0].max() < 1e-3 * found[(at > 2.0) & (at < 2.8)].mean()


def test_tracks_have_nothing_to_do_with_each_other() -> None:
    left, right = profile(20_000.0, RoadClass.A, np.random.default_rng(5), tracks=2).T

    slopes = np.diff(left), np.diff(right)

    assert abs(np.corrcoef(*slopes)[0, 1]) < 0.02


def test_a_pothole_goes_down_by_its_depth() -> None:
    flat = np.zeros((400, 2))

    holed = with_potholes(flat, (Pothole(5.0, 1.0, 0.04),))

    assert -0.04 == pytest.approx(holed[:, 0].min())
    assert 1.0 == pytest.approx(np.count_nonzero(holed[:, 0]) * STEP_M, abs=2 * STEP_M)
    assert not holed[:, 1].any()
