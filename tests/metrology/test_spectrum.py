"""Peaks: recovery, coverage, false alarms; power is kept."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import RecordError
from vibecheck.metrology.record_even import EvenRecord, Stretch
from vibecheck.metrology.spectrum import averaged, band_rms, floor_of, peaks_of, spectrum_of, tail

RATE = 100.0


def tone_and_noise(
    rng: np.random.Generator, hz: float, amplitude: float, noise: float, seconds: float,
    rate: float = RATE,
) -> np.ndarray:
    count = round(seconds * rate)
    values = rng.normal(0.0, noise, (count, 3))
    phase = rng.uniform(0.0, 2.0 * math.pi)
    values[:, 2] += amplitude * np.sin(2.0 * math.pi * hz * np.arange(count) / rate + phase)
    return values


@settings(max_examples=30, derandomize=True, deadline=None)
@given(st.floats(3.0, 45.0), st.floats(0.05, 20.0))
def test_a_clean_tone_is_found_where_it_is(hz: float, amplitude: float) -> None:
    values = tone_and_noise(np.random.default_rng(1), hz, amplitude, 0.01 * amplitude, 40.0)

    peak = peaks_of(averaged([values], RATE, 400, "Hz"))[0]

    assert peak.at == pytest.approx(hz, abs=0.01)
    assert peak.rms == pytest.approx(amplitude / math.sqrt(2.0), rel=0.01)
    assert peak.up_share > 0.95


def test_coverage_of_frequency_and_amplitude() -> None:
    """The 95 % intervals hold the truth in 93 to 97 % of 2,000 draws."""
    rng = np.random.default_rng(21)
    held = np.zeros(2)

    for _ in range(2000):
        hz = rng.uniform(12.0, 13.0)
        values = tone_and_noise(rng, hz, 0.3, 0.2, 60.0, rate=50.0)
        peak = peaks_of(averaged([values], 50.0, 100, "Hz"), most=1)[0]
        held += [
            abs(peak.at - hz) <= peak.coverage_95 * peak.u_at,
            abs(peak.rms - 0.3 / math.sqrt(2.0)) <= peak.coverage_95 * peak.u_rms,
        ]

    assert (0.93 <= held / 2000).all() and (held / 2000 <= 0.97).all()


def test_noise_alone_hardly_ever_shows_a_peak() -> None:
    """Stated: less than one spectrum in a thousand; 500 spectra may show one or two."""
    rng = np.random.default_rng(22)

    alarms = sum(
        bool(peaks_of(averaged([rng.normal(0.0, 1.0, (2000, 3))], RATE, 200, "Hz")))
        for _ in range(500)
    )

    assert alarms <= 3


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

    assert band_rms(spectrum, 0.0, RATE) == pytest.approx(level * math.sqrt(3.0), rel=0.03)


def test_stretches_are_averaged_and_gaps_are_not_bridged() -> None:
    rng = np.random.default_rng(24)
    pieces = tuple(Stretch(0.0, tone_and_noise(rng, 12.3, 1.0, 0.1, 20.0), None) for _ in range(3))

    together = spectrum_of(EvenRecord(RATE, pieces, True))

    assert len(together.segments) == 3 * 9
    assert peaks_of(together)[0].at == pytest.approx(12.3, abs=0.01)


def test_two_tones_are_two_peaks() -> None:
    rng = np.random.default_rng(25)
    values = tone_and_noise(rng, 12.0, 1.0, 0.1, 60.0) + tone_and_noise(rng, 14.0, 0.3, 0.1, 60.0)

    found = peaks_of(averaged([values], RATE, 400, "Hz"))

    assert [round(peak.at, 1) for peak in found] == [12.0, 14.0]


def test_tail_is_one_at_nothing_and_falls() -> None:
    assert tail(0.0, 10.0) == 1.0
    assert tail(1.0, 10.0) > tail(2.0, 10.0) > tail(3.0, 10.0) > 0.0


def test_too_short_a_record_is_refused() -> None:
    with pytest.raises(RecordError, match="no stretch long enough"):
        averaged([np.zeros((500, 3))], RATE, 400, "Hz")
