"""The simulated ride obeys the physics it states."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import welch

from vibecheck.virtual.drawn_rides import Population, Wrong, drawn_ride
from vibecheck.virtual.quarter_car import QuarterCar, quarter_car
from vibecheck.virtual.ride import (
    FRONT_SHARE,
    WHEELBASE_M,
    Holder,
    Path,
    Pickup,
    Ride,
    Tone,
    Turner,
    Vehicle,
    level_of,
    ride_record,
)
from vibecheck.virtual.road import RoadClass, roughness
from vibecheck.virtual.shake import Shake

STILL = Pickup(rate_hz=200.0, jitter=0.0, noise=0.0, drift=0.0, tilt_deg=(0.0, 0.0))


def recorded(ride: Ride, vehicle: Vehicle, pickup: Pickup = STILL, seed: int = 1) -> Shake:
    return ride_record(ride, vehicle, pickup, np.random.default_rng(seed))


def added(turner: Turner, ride: Ride) -> np.ndarray:
    """(n, 3) what something that turns adds to the same ride."""
    with_it, without = recorded(ride, Vehicle(turners=(turner,))), recorded(ride, Vehicle())
    return with_it.acceleration - without.acceleration


def amplitude(values: np.ndarray, time_s: np.ndarray, hertz: float) -> float:
    return 2.0 * abs(np.mean(values * np.exp(-2j * np.pi * hertz * time_s)))


@pytest.mark.parametrize("kmh", [60.0, 90.0, 120.0])
def test_an_imbalance_shakes_the_body_as_the_quarter_car_says(kmh: float) -> None:
    """m r omega^2 on the wheel, through the response of `quarter_car`, which has its own tests."""
    ride, one = Ride(20.0, (kmh,)), Turner(1.0, Path.WHEEL_FORCE, 0.010)
    hertz = kmh / 3.6 / ride.circumference_m
    omega = 2.0 * math.pi * hertz
    answer = quarter_car(np.array([hertz]), QuarterCar()).body_per_force[0]
    wanted = FRONT_SHARE * 0.010 * omega**2 * answer * omega**2

    found = added(one, ride)[1000:3000, 2]

    assert wanted == pytest.approx(level_of(one, kmh, ride.circumference_m), rel=1e-6)
    assert wanted == pytest.approx(
        amplitude(found, np.arange(1000, 3000) / 200.0, hertz), rel=0.03)


def test_an_oval_moves_the_tires_foot_twice_a_turn() -> None:
    ride, one = Ride(20.0, (90.0,)), Turner(2.0, Path.TIRE_FOOT, 0.0005)
    hertz = 2.0 * 25.0 / ride.circumference_m
    answer = quarter_car(np.array([hertz]), QuarterCar()).body_per_base[0]
    wanted = FRONT_SHARE * 0.0005 * answer * (2.0 * math.pi * hertz) ** 2

    found = added(one, ride)[1000:3000, 2]

    assert wanted == pytest.approx(
        amplitude(found, np.arange(1000, 3000) / 200.0, hertz), rel=0.03)


@pytest.mark.parametrize("road", list(RoadClass))
def test_the_road_shakes_the_body_as_random_vibration_theory_says(road: RoadClass) -> None:
    """Over time a road has the density G_d(f / v) / v; two like tracks halve it; the rear axle
    follows by wheelbase over speed; the body answers by the square of its response.
    """
    speed = 25.0
    shake = recorded(Ride(300.0, (speed * 3.6,), road=road), Vehicle())
    at, found = welch(shake.acceleration[:, 2], 200.0, nperseg=1024)
    band = (at > 2.0) & (at < 25.0)
    at, found = at[band], found[band]
    follows = FRONT_SHARE * np.exp(2j * np.pi * at * WHEELBASE_M / speed) + 1.0 - FRONT_SHARE
    answer = quarter_car(at, QuarterCar()).body_per_base * (2.0 * np.pi * at) ** 2
    wanted = roughness(at / speed, road) / speed / 2.0 * np.abs(follows * answer) ** 2

    assert np.sum(wanted) == pytest.approx(np.sum(found), rel=0.1)
    for low, high in ((2.0, 5.0), (5.0, 9.0), (9.0, 13.0), (13.0, 18.0)):
        inside = (at > low) & (at < high)
        assert np.sum(wanted[inside]) == pytest.approx(np.sum(found[inside]), rel=0.15)


def test_a_holder_rings_at_its_own_frequency() -> None:
    """1 / (2 zeta) of the body's motion at the resonance (den Hartog, chapter 2)."""
    hum = Vehicle(tones=(Tone(20.0, 0.5),))
    pickup = Pickup(rate_hz=200.0, jitter=0.0, noise=0.0, drift=0.0, tilt_deg=(0.0, 0.0),
                    holder=Holder(20.0, 0.05))

    plain, held = recorded(Ride(20.0), hum), recorded(Ride(20.0), hum, pickup)

    time_s = plain.time_s[1000:3000]
    ratio = amplitude(held.acceleration[1000:3000, 2], time_s, 20.0) / amplitude(
        plain.acceleration[1000:3000, 2], time_s, 20.0)
    assert math.hypot(1.0, 10.0) == pytest.approx(ratio, rel=0.05)


def test_the_speed_shown_lags_and_reads_high() -> None:
    """From 60 to 96 km/h in 36 s; 2 s late and 5 % high."""
    pickup = Pickup(speed_lag_s=2.0, speed_share=0.05, speed_step_s=0.0)

    shake = recorded(Ride(36.0, (60.0, 96.0)), Vehicle(), pickup)

    at_20 = float(np.interp(20.0, shake.time_s, shake.speed_ms)) * 3.6
    assert (60.0 + 18.0) * 1.05 == pytest.approx(at_20, rel=1e-3)


def test_gaps_hold_nothing() -> None:
    pickup = Pickup(gaps=((5.0, 2.0),))

    shake = recorded(Ride(20.0), Vehicle(), pickup)

    assert not ((shake.time_s >= 5.0) & (shake.time_s < 7.0)).any()
    assert 2.0 == pytest.approx(np.diff(shake.time_s).max(), abs=0.1)


def test_a_drawn_ride_holds_what_it_says() -> None:
    """The scale is that of the way really driven for each turn, by the speed that was shown."""
    rng = np.random.default_rng(8)

    held = drawn_ride(Population(Wrong.IMBALANCE, swept=False, dash=True), rng)
    swept = drawn_ride(Population(Wrong.OVAL), rng)

    assert held.typed_kmh is not None and held.record.speed_ms is None
    assert 0.9 < held.scale < 1.0
    assert swept.record.speed_ms is not None and 0.98 < swept.scale < 1.03
