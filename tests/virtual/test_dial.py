"""What the dial forward model puts in comes out again, within the uncertainty stated."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.distributions import student_t_two_sided_95
from vibecheck.metrology.runout.harmonics import fit, harmonics_of
from vibecheck.metrology.runout.readings import from_readings, tir_uncertainty
from vibecheck.metrology.runout.tir_uncertainty import curve_tir
from vibecheck.metrology.vectors import Vector, difference
from vibecheck.virtual.dial import Dent, DrawnSurface, Gauge, dial_readings, mounted

DRAWS = 2000
ANGLES = np.arange(24) * 15.0
WHEEL = DrawnSurface(first=Vector(0.22, 40.0), second=Vector(0.05, 70.0), third=Vector(0.03, 10.0))


def covered(hits: float) -> bool:
    """A 95 % interval holds 93 to 97 % of the draws."""
    return 0.93 <= hits <= 0.97


def test_harmonic_coverage() -> None:
    """Amplitude and angle of each order, scatter unknown: Student's t intervals hold."""
    rng = np.random.default_rng(11)
    gauge = Gauge(scatter_mm=0.008, division_mm=0.01)
    truth = (WHEEL.first, WHEEL.second, WHEEL.third)
    amplitude_hits, angle_hits = np.zeros(3), np.zeros(3)
    for readings in dial_readings(WHEEL, ANGLES, gauge, rng, DRAWS):
        fitted = fit(readings, ANGLES, 3)
        for index, found in enumerate(harmonics_of(fitted, student_t_two_sided_95(fitted.freedom))):
            true = truth[index]
            amplitude_hits[index] += abs(found.amplitude_mm - true.amplitude) <= (
                found.uncertainty_mm
            )
            off = difference(found.angle_deg * found.order, true.angle_deg * found.order)
            angle_hits[index] += abs(off) / found.order <= found.angle_uncertainty_deg
    assert all(covered(hits / DRAWS) for hits in (*amplitude_hits, *angle_hits))


def test_fitted_runout_coverage() -> None:
    """High minus low of the fitted shape holds the true runout in 93 to 97 % of draws."""
    rng = np.random.default_rng(12)
    hits = 0
    for readings in dial_readings(WHEEL, ANGLES, Gauge(0.008, 0.01), rng, DRAWS):
        fitted = fit(readings, ANGLES, 3)
        found, spread = curve_tir(readings, ANGLES, fitted, None)
        hits += abs(found - WHEEL.tir_mm) <= student_t_two_sided_95(fitted.freedom) * spread
    assert covered(hits / DRAWS)


def drawn_surface(rng: np.random.Generator) -> DrawnSurface:
    """A wheel that runs out by 0.1 to 1 mm with some oval and some triangle."""
    return DrawnSurface(
        first=Vector(rng.uniform(0.05, 0.5), rng.uniform(0.0, 360.0)),
        second=Vector(rng.uniform(0.0, 0.08), rng.uniform(0.0, 180.0)),
        third=Vector(rng.uniform(0.0, 0.03), rng.uniform(0.0, 120.0)),
    )


def test_coverage_of_the_runout_as_read() -> None:
    """High minus low of 12 to 36 readings, its own interval about it: whatever the wheel, with
    few readings that miss the highest place and many noisy ones that overstate it, on a gauge
    set up afresh that creeps. It also allows for readings that stray together: up to 99 %.
    """
    rng = np.random.default_rng(16)
    hits, draws = 0, DRAWS // 4
    for _ in range(draws):
        surface, count = drawn_surface(rng), int(rng.integers(12, 37))
        angles = np.arange(count) * 360.0 / count
        gauge = Gauge(rng.uniform(0.003, 0.015), 0.01, 0.03, rng.normal(0.0, 0.03))
        result = from_readings(list(gauge.turn(surface, angles, rng)[:-1]), list(angles))
        hits += abs(result.tir_mm - surface.tir_mm) <= result.uncertainty_mm
    assert 0.93 <= hits / draws <= 0.99


def test_whole_evaluation_states_the_same() -> None:
    """A whole evaluation, the spread of one reading known, carries just the fit's interval."""
    [readings] = dial_readings(WHEEL, ANGLES, Gauge(0.008, 0.01), np.random.default_rng(15))
    result = from_readings(list(readings), list(ANGLES), repeat_sd_mm=0.008)
    fitted = fit(readings, ANGLES, 3, math.hypot(0.008, 0.01 / math.sqrt(12.0)))
    found, spread = curve_tir(readings, ANGLES, fitted, None)
    assert result.curve_tir_mm == pytest.approx(found)
    assert result.curve_uncertainty_mm == pytest.approx(2.0 * spread)
    assert abs(result.tir_mm - WHEEL.tir_mm) <= result.uncertainty_mm


def test_what_lies_beside_a_bend_is_counted_in() -> None:
    """A bend 35 to 80 deg wide in 24 to 48 readings: judged with what they may have missed, the
    truth is held at least 9 times in 10, and it is never far beyond what was read.
    """
    rng = np.random.default_rng(17)
    bent = held = 0
    for _ in range(300):
        dent = Dent(rng.uniform(0.0, 360.0), rng.uniform(35.0, 80.0), rng.uniform(0.2, 0.7),
                    float(rng.choice([0.0, 0.3])))
        surface = DrawnSurface(first=Vector(rng.uniform(0.02, 0.3), 70.0), dents=(dent,))
        angles = np.arange(count := int(rng.integers(24, 49))) * 360.0 / count
        [readings] = dial_readings(surface, angles, Gauge(0.006, 0.01), rng)
        result = from_readings(list(readings), list(angles))
        middle, half = result.judged_mm
        bent += result.local_bend is not None
        held += abs(middle - surface.tir_mm) <= half
        assert result.tir_mm - half <= middle <= 4.0 * result.tir_mm
    assert bent > 280
    assert held / 300 > 0.9


def test_pair_coverage() -> None:
    """High and low swept over one turn, once or as the mean of four turns: k = 2 holds."""
    rng = np.random.default_rng(13)
    division = 0.01
    for scatter, turns in ((0.01, 1), (0.00001, 4)):
        gauge = Gauge(scatter, division)
        high = 0.31 + rng.uniform(0.0, division, (10 * DRAWS, 1))
        low = -0.12 + rng.uniform(0.0, division, (10 * DRAWS, 1))
        found = [
            np.mean(gauge.read(np.broadcast_to(value, (10 * DRAWS, turns)), rng), axis=1)
            for value in (high, low)
        ]
        error = np.abs(found[0] - found[1] - (high - low)[:, 0])
        stated = tir_uncertainty(division, scatter, turns, setup_sd_mm=0.0)
        assert covered(float(np.mean(error <= stated)))


def test_dent_comes_back() -> None:
    """A drop's dent put in at 250 deg is found there, though the model's shape differs."""
    rng = np.random.default_rng(14)
    angles = np.arange(36) * 10.0
    wheel = DrawnSurface(first=Vector(0.05, 0.0), dents=(Dent(250.0, 44.0, 0.5, 0.3),))
    [readings] = dial_readings(wheel, angles, Gauge(), rng)
    bend = from_readings(list(readings), list(angles)).local_bend
    assert bend is not None and bend.dip_and_bulge
    assert abs(difference(bend.center_deg, 250.0)) < 8.0
    assert abs(difference(bend.low_deg, 239.0)) < 6.0
    assert 30.0 <= bend.width_deg <= 60.0


def test_mounting_adds_turned_vectors() -> None:
    """Turning the tire half a turn reverses the tire's share alone."""
    tire, wheel, hub = Vector(0.4, 20.0), Vector(0.3, 100.0), Vector(0.05, 300.0)
    as_is, half = mounted(tire, wheel, hub), mounted(tire, wheel, hub, tire_turn_deg=180.0)
    assert (as_is.xy - half.xy) / 2.0 == pytest.approx(tire.xy)
    both = mounted(tire, wheel, hub, wheel_turn_deg=180.0)
    assert (as_is.xy + both.xy) / 2.0 == pytest.approx(hub.xy)


def test_true_runout_of_an_offset() -> None:
    """A surface that is only offset by e runs out by 2 e."""
    assert DrawnSurface(first=Vector(0.25, 33.0)).tir_mm == pytest.approx(0.5, abs=1e-5)
    assert math.isclose(DrawnSurface(dents=(Dent(10.0, 30.0, 0.7),)).tir_mm, 0.7, abs_tol=1e-3)
