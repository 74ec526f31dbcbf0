"""Power is kept, and white noise has the floor it should have."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import RecordError
from vibecheck.metrology.record.spectrum import averaged, floor_of

RATE = 100.0


def test_floor_of_white_noise_is_its_density() -> None:
    """White noise of standard deviation s has a one-sided density of 2 s^2 / rate an axis."""
    values = np.random.default_rng(23).normal(0.0, 0.5, (60_000, 3))

    spectrum = averaged([values], RATE, 400, "Hz")

    assert floor_of(spectrum)[5:-5].mean() == pytest.approx(3 * 2 * 0.25 / RATE, rel=0.03)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(st.integers(100, 700), st.floats(0.1, 5.0))
def test_power_is_kept(length: int, level: float) -> None:
    """Parseval: the density integrates to the mean square."""
    values = np.random.default_rng(length).normal(0.0, level, (30_000, 3))

    spectrum = averaged([values], RATE, length, "Hz")

    rms = math.sqrt(spectrum.total.sum() * spectrum.step)
    assert rms == pytest.approx(level * math.sqrt(3.0), rel=0.03)


def test_too_short_a_record_is_refused() -> None:
    with pytest.raises(RecordError, match="no stretch long enough"):
        averaged([np.zeros((500, 3))], RATE, 400, "Hz")
