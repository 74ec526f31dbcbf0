"""Beats of two tires: against a signal made and measured, worked figures, coverage."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import hilbert

from vibecheck.errors import ReadingError
from vibecheck.metrology.orders.beat import from_period, from_sizes


def test_tread_worn_by_five_millimeters() -> None:
    """Rolls of 1.95 and 1.919 m (5 mm of tread less) at 105 km/h: one beat in 4.2 s, by hand."""
    found = from_sizes(105.0, 1.950, 1.919)

    assert 4.14 == pytest.approx(found.period_s, abs=0.01)
    assert 0.016 == pytest.approx(found.difference, abs=1e-4)


def test_the_loudness_of_two_tones_swells_with_that_period() -> None:
    time = np.arange(0.0, 60.0, 0.01)
    hz = [105.0 / 3.6 / roll for roll in (1.950, 1.919)]
    envelope = np.abs(hilbert(sum(np.cos(2.0 * np.pi * each * time) for each in hz)))
    spectrum = np.abs(np.fft.rfft(envelope - envelope.mean()))
    period = 1.0 / np.fft.rfftfreq(len(time), 0.01)[1:][np.argmax(spectrum[1:])]

    assert period == pytest.approx(from_sizes(105.0, 1.950, 1.919).period_s, rel=0.05)


def test_back_from_the_period() -> None:
    there = from_sizes(90.0, 2.10, 2.09)
    back = from_period(there.period_s, 90.0, 2.095)

    assert there.difference == pytest.approx(back.difference, rel=1e-4)


def test_the_stated_uncertainty_holds() -> None:
    rng = np.random.default_rng(2)
    held = 0
    for _ in range(2000):
        first, second = 2.0 + rng.uniform(0.01, 0.05), 2.0
        read = (first + rng.normal(0.0, 0.0005), second + rng.normal(0.0, 0.0005))
        found = from_sizes(100.0, *read, uncertainty_m=0.001)
        share = (first - second) / ((first + second) / 2.0)
        held += abs(found.difference - share) <= found.difference_uncertainty

    assert 0.93 <= held / 2000 <= 0.97


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ReadingError, match="do not drift apart"):
        from_sizes(100.0, 2.0, 2.0)
    with pytest.raises(ReadingError, match="above zero"):
        from_period(0.0, 100.0, 2.0)
    with pytest.raises(ReadingError, match="counts from 1"):
        from_period(5.0, 100.0, 2.0, order=0)
