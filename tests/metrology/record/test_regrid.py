"""From jittered stamps to an even grid: exact for what a polynomial can hold, and beyond."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.record.regrid import interpolated, regridded


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.lists(st.floats(-3.0, 3.0), min_size=6, max_size=6), st.integers(0, 1000))
def test_a_fifth_degree_polynomial_comes_back(coefficients: list[float], seed: int) -> None:
    rng = np.random.default_rng(seed)
    at = (np.arange(40) + rng.uniform(-0.3, 0.3, 40)) / 20.0
    wanted = rng.uniform(at[0], at[-1], 30)

    found = interpolated(at, np.polyval(coefficients, at - 1.0), wanted)

    assert found == pytest.approx(np.polyval(coefficients, wanted - 1.0), abs=1e-8)


def test_crowded_stamps_do_not_swing() -> None:
    """Two noisy samples a microsecond apart: the result stays within the samples."""
    rng = np.random.default_rng(0)
    at = np.sort(np.concatenate([np.arange(100) / 100.0, np.arange(10, 90, 10) / 100.0 + 1e-6]))
    values = rng.normal(0.0, 1.0, len(at))

    found = interpolated(at, values, np.linspace(0.0, 0.99, 500))

    assert np.abs(found).max() <= np.abs(values).max() * 1.8


def test_jitter_does_not_change_a_tone() -> None:
    rng = np.random.default_rng(1)
    at = (np.arange(2000) + rng.normal(0.0, 0.15, 2000)) / 100.0
    grid = np.arange(1.0, 18.0, 0.01)

    found = interpolated(at, np.sin(2.0 * np.pi * 14.0 * at), grid)

    error = found - np.sin(2.0 * np.pi * 14.0 * grid)
    assert np.sqrt((error**2).mean()) < 0.01
    assert np.abs(error).max() < 0.2


@pytest.mark.parametrize("hertz", [5.0, 28.0, 41.0])
@pytest.mark.parametrize("jitter", [0.0, 0.1, 0.15])
def test_a_tone_keeps_its_size_up_to_two_fifths_of_the_rate(hertz: float, jitter: float) -> None:
    """The grid lies anywhere between the stamps; a polynomial alone loses a third there."""
    rng = np.random.default_rng(2)
    at = (np.arange(4000) * 1.00003 + rng.normal(0.0, jitter, 4000)) / 100.0
    at = np.sort(at)
    grid = np.arange(at[0], at[-1], 0.01)
    tone = np.sin(2.0 * np.pi * hertz * at)[:, None]

    found = regridded(at, tone, grid)[200:-200, 0]

    basis = np.exp(-2j * np.pi * hertz * grid[200:-200])
    assert 2.0 * abs(np.mean(found * basis)) == pytest.approx(1.0, abs=0.015)


@pytest.mark.parametrize("seed", range(8))
def test_lost_and_crowded_samples_do_not_blow_up(seed: int) -> None:
    rng = np.random.default_rng(seed)
    keep = rng.uniform(size=3000) > 0.15
    at = np.sort((np.arange(3000) + rng.normal(0.0, 0.3, 3000))[keep] / 100.0)
    at += np.arange(len(at)) * 1e-9
    values = rng.normal(0.0, 1.0, (len(at), 3))

    found = regridded(at, values, np.arange(at[0], at[-1], 0.01))

    assert np.abs(found).max() < 6.0 * np.abs(values).max()
    assert found.std() < 1.5 * values.std()
