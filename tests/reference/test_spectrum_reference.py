"""Spectrum and resampling against scipy (scipy.signal.welch, scipy.signal.resample, scipy.stats).

The confidence of a peak rests on chi-square tails; scipy.stats.chi2 is the reference.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.interpolate
import scipy.signal
import scipy.stats

from vibecheck.distributions import mean_square_tail
from vibecheck.metrology.record.order_tracking import by_angle
from vibecheck.metrology.record.peaks import Peak
from vibecheck.metrology.record.regrid import finer, interpolated
from vibecheck.metrology.record.resonance_bias import shift_of
from vibecheck.metrology.record.spectrum import averaged, floor_of


@pytest.mark.parametrize("length", [64, 255, 400, 801])
def test_welch(length: int) -> None:
    values = np.random.default_rng(1).normal(3.0, 1.0, (5000, 3)).cumsum(axis=0)

    ours = averaged([values], 123.0, length, "Hz")

    at, density = scipy.signal.welch(
        values, 123.0, "hann", length, length // 2, detrend="constant", axis=0)
    assert ours.at == pytest.approx(at)
    assert ours.density == pytest.approx(density, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("count", [1, 4, 17, 150])
@pytest.mark.parametrize("ratio", [0.3, 1.0, 1.7, 4.0])
def test_tail_of_averaged_noise(count: int, ratio: float) -> None:
    assert mean_square_tail(ratio, float(count)) == pytest.approx(
        scipy.stats.chi2.sf(2 * count * ratio, 2 * count), rel=1e-9)


@pytest.mark.parametrize("freedom", [5, 8, 20, 100])
def test_coverage_factor_is_students(freedom: int) -> None:
    factor = scipy.stats.t.ppf(0.975, freedom)

    peak = Peak(1.0, 0.1, freedom, 1.0, 0.2, freedom, 1.0, 10.0, 0.0)

    assert (peak.half_at, peak.half_rms) == pytest.approx((0.1 * factor, 0.2 * factor), rel=0.002)


@pytest.mark.parametrize(("hertz", "damping"), [(11.0, 0.12), (13.0, 0.25)])
def test_shift_of_a_passed_resonance_is_the_phase_that_scipy_gives(
    hertz: float, damping: float
) -> None:
    """One mass on a spring and damper by scipy.signal.freqs, driven from 7 to 19 Hz."""
    at, natural = np.linspace(7.0, 19.0, 1201), 2.0 * np.pi * hertz
    _, answer = scipy.signal.freqs(
        [natural**2], [1.0, 2.0 * damping * natural, natural**2], 2.0 * np.pi * at)
    power, hertz_a_turn = np.abs(answer) ** 2, 12.0 / 900.0
    lag_a_hertz = np.gradient(np.unwrap(np.angle(answer)), at)
    wanted = np.average(lag_a_hertz, weights=power) * hertz_a_turn / (2.0 * np.pi)
    middle = slice(5, None, 10)

    shift, u_shift = shift_of(power[middle], at[middle], np.full(120, hertz_a_turn), 1e-6)

    assert abs(shift - wanted) <= 2.0 * u_shift <= 0.3 * abs(wanted)


@pytest.mark.parametrize("seconds", [60.0, 600.0])
def test_floor_correction_is_the_median_of_chi_square(seconds: float) -> None:
    values = np.zeros((round(100 * seconds), 3))
    values[:, 2] = np.random.default_rng(2).normal(0.0, 1.0, len(values))

    spectrum = averaged([values], 100.0, 400, "Hz")

    freedom = 2.0 * spectrum.independent
    exact = scipy.stats.chi2.median(freedom) / freedom
    middle = len(spectrum.at) // 2
    median = np.median(spectrum.total[middle - 20: middle + 21])
    assert floor_of(spectrum)[middle] == pytest.approx(median / exact, rel=1e-3)


def test_even_grid_against_scipy_resample() -> None:
    """A band-limited periodic signal, twice as many samples: scipy.signal.resample is exact."""
    rng = np.random.default_rng(3)
    spectrum = np.zeros(501, dtype=complex)
    spectrum[1:150] = rng.normal(size=149) + 1j * rng.normal(size=149)  # up to 0.15 of the rate
    signal = np.fft.irfft(spectrum, 1000)
    reference = scipy.signal.resample(signal, 2000)

    ours = interpolated(np.arange(1000.0), signal, np.arange(1998) / 2.0)

    inner = slice(20, -20)
    error = (ours - reference[:1998])[inner]
    assert np.sqrt((error**2).mean()) < 0.01 * signal.std()


@pytest.mark.parametrize("times", [2, 3, 4])
def test_finer_grid_against_scipy_resample(times: int) -> None:
    """Periodic and band-limited, so that scipy.signal.resample is exact; the ends are mirrored."""
    rng = np.random.default_rng(5)
    spectrum = np.zeros(501, dtype=complex)
    spectrum[1:450] = rng.normal(size=449) + 1j * rng.normal(size=449)  # up to 0.45 of the rate
    signal = np.fft.irfft(spectrum, 1000)

    ours = finer(signal[:, None], times)[:, 0]

    error = (ours - scipy.signal.resample(signal, 1000 * times))[50 * times: -50 * times]
    assert np.sqrt((error**2).mean()) < 0.02 * signal.std()


def test_jittered_grid_against_scipy_spline() -> None:
    rng = np.random.default_rng(4)
    at = (np.arange(1500) + rng.uniform(-0.25, 0.25, 1500)) / 100.0
    signal = np.sin(2 * np.pi * 9.0 * at) + 0.5 * np.cos(2 * np.pi * 15.5 * at)
    wanted = np.arange(0.5, 14.0, 0.01)

    ours = interpolated(at, signal, wanted)

    spline = scipy.interpolate.make_interp_spline(at, signal, k=5)
    assert ours == pytest.approx(spline(wanted), abs=0.03)


def test_by_angle_against_scipy_spline() -> None:
    """The wheel angle of a swept speed, inverted and interpolated by scipy."""
    time_s = np.arange(0.0, 40.0, 0.005)
    speed = 18.0 + 0.25 * time_s
    turns = (18.0 * time_s + 0.125 * time_s**2) / 1.95
    signal = np.sin(2 * np.pi * 3.3 * time_s)[:, None]

    ours = by_angle(speed, signal, 200.0, 1.95, 32)[:, 0]

    grid = np.arange(len(ours)) / 32.0
    at = scipy.interpolate.make_interp_spline(turns, time_s, k=3)(grid)
    reference = scipy.interpolate.make_interp_spline(time_s, signal[:, 0], k=5)(at)
    assert ours == pytest.approx(reference, abs=1e-4)
