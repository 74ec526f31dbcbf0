"""Quarter car and clocking fits against a handbook and a reference library."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg
import scipy.optimize
import scipy.stats

from vibecheck.metrology.stack.separation import Clocking, Stacked, separate
from vibecheck.metrology.vectors import Vector, vector_of
from vibecheck.virtual.dial import mounted
from vibecheck.virtual.quarter_car import QuarterCar, heave_hz, hop_hz, quarter_car


def test_handbook_wheel_hop() -> None:
    """Automotive Chassis Engineering p. 213 (read): 20.63 and 300 kN/m, 40 kg give 14.25 Hz."""
    assert hop_hz(20_630.0, 300_000.0, 40.0) == pytest.approx(14.25, abs=0.005)


def test_heave_and_hop_lie_where_they_were_measured() -> None:
    """Body 1 to 1.75 Hz, hop 10 to 15 Hz (maker's self-study text and TRL SR12UC, both read)."""
    car = QuarterCar()
    assert 1.0 <= heave_hz(car.spring_n_m, car.tire_n_m, car.sprung_kg) <= 1.75
    assert 10.0 <= hop_hz(car.spring_n_m, car.tire_n_m, car.unsprung_kg) <= 15.0


def test_response_as_scipy_computes_it() -> None:
    """The equations of motion in state space, solved by scipy.linalg at each frequency."""
    car = QuarterCar()
    ms, mu, cs = car.sprung_kg, car.unsprung_kg, car.damper_ns_m
    ks, kt = car.spring_n_m, car.tire_n_m
    motion = np.array([
        [0, 1, 0, 0],
        [-ks / ms, -cs / ms, ks / ms, cs / ms],
        [0, 0, 0, 1],
        [ks / mu, cs / mu, -(ks + kt) / mu, -cs / mu],
    ])
    frequency = np.array([0.5, 1.2, 4.0, 11.0, 12.5, 30.0])
    found = quarter_car(frequency, car)
    for place, hz in enumerate(frequency):
        push = np.array([0.0, 0.0, 0.0, 1.0 / mu])
        state = np.abs(scipy.linalg.solve(2j * np.pi * hz * np.eye(4) - motion, push))
        assert found.body_per_force[place] == pytest.approx(state[0], rel=1e-9)
        assert found.wheel_per_force[place] == pytest.approx(state[2], rel=1e-9)
        assert found.body_per_base[place] == pytest.approx(kt * state[0], rel=1e-9)
        assert found.wheel_per_base[place] == pytest.approx(kt * state[2], rel=1e-9)


def test_clockings_as_scipy_fits_them() -> None:
    """Parts, covariance and misfit equal scipy.optimize.curve_fit on real and imaginary parts."""
    rng = np.random.default_rng(5)
    setup = [(0.0, 0.0, 0.02), (180.0, 0.0, 0.03), (0.0, 216.0, 0.02), (90.0, 72.0, 0.05),
             (240.0, 144.0, 0.02)]
    parts = (Vector(0.4, 20.0), Vector(0.3, 110.0), Vector(0.1, 250.0))
    readings = [
        mounted(*parts, tire, wheel).xy + spread / 2 * complex(*rng.normal(size=2))
        for tire, wheel, spread in setup
    ]
    found = separate(
        [Clocking(vector_of(reading), spread, tire, wheel, turn_uncertainty_deg=0.0)
         for reading, (tire, wheel, spread) in zip(readings, setup, strict=True)],
        (Stacked.TIRE, Stacked.WHEEL, Stacked.HUB),
    )

    def model(_: np.ndarray, *p: float) -> np.ndarray:
        tire, wheel, hub = complex(p[0], p[1]), complex(p[2], p[3]), complex(p[4], p[5])
        total = np.array([
            hub + np.exp(1j * np.deg2rad(w)) * wheel + np.exp(1j * np.deg2rad(w + t)) * tire
            for t, w, _ in setup
        ])
        return np.concatenate([total.real, total.imag])

    data = np.concatenate([np.real(readings), np.imag(readings)])
    sigma = np.tile([spread / 2 for *_, spread in setup], 2)
    best, covariance = scipy.optimize.curve_fit(
        model, np.zeros(10), data, p0=np.zeros(6), sigma=sigma, absolute_sigma=True
    )
    for index, each in enumerate(found.parts):
        assert each.vector.xy == pytest.approx(complex(*best[2 * index:2 * index + 2]), abs=1e-6)
        expected = 2.0 * np.sqrt(covariance[2 * index, 2 * index])
        assert each.uncertainty == pytest.approx(expected, rel=1e-4)
    misfit = np.sum(((data - model(data, *best)) / sigma) ** 2)
    assert found.chi_square == pytest.approx(misfit, rel=1e-6)
    assert found.freedom == 4
    assert found.chi_square_limit == pytest.approx(scipy.stats.chi2.ppf(0.95, 4), rel=0.01)
