"""The quarter car."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import VehicleError
from vibecheck.virtual.quarter_car import QuarterCar, heave_hz, hop_hz, quarter_car


def test_slow_road_is_followed_and_hard_spring_passes_nothing_new() -> None:
    """At very low frequency body and wheel follow the road one to one."""
    found = quarter_car(np.array([0.001]), QuarterCar())
    assert found.body_per_base[0] == pytest.approx(1.0, rel=1e-4)
    assert found.wheel_per_base[0] == pytest.approx(1.0, rel=1e-4)


def test_peaks_lie_at_heave_and_hop() -> None:
    """With little damping the body peaks at heave and the wheel at hop."""
    car = QuarterCar(damper_ns_m=50.0)
    frequency = np.arange(0.3, 25.0, 0.01)
    found = quarter_car(frequency, car)
    heave = heave_hz(car.spring_n_m, car.tire_n_m, car.sprung_kg)
    hop = hop_hz(car.spring_n_m, car.tire_n_m, car.unsprung_kg)
    assert frequency[found.body_per_base.argmax()] == pytest.approx(heave, rel=0.02)
    above = frequency > 5.0
    peak = frequency[above][found.wheel_per_force[above].argmax()]
    assert peak == pytest.approx(hop, rel=0.02)


def test_more_damping_lowers_the_hop_peak() -> None:
    """A worn damper lets the wheel hop."""
    frequency = np.arange(8.0, 18.0, 0.05)
    worn, sound = (
        quarter_car(frequency, QuarterCar(damper_ns_m=rate)).wheel_per_force.max()
        for rate in (300.0, 1500.0)
    )
    assert worn > 2.0 * sound


def test_refusals() -> None:
    """No mass, no tire, or a number that is none."""
    with pytest.raises(VehicleError, match="sprung_kg"):
        QuarterCar(sprung_kg=0.0)
    with pytest.raises(VehicleError, match="tire_n_m"):
        QuarterCar(tire_n_m=float("nan"))
