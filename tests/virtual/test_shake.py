"""The simulated drive obeys the physics it states."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    FELT_M_S2_N,
    HOP_HZ,
    Drive,
    Phone,
    ShakeFaults,
    drive_record,
    hop_gain,
)

QUIET = Phone(noise=0.0, jitter=0.0, gravity=False, tilt_deg=(0.0, 0.0), speed_step_s=0.0)


def amplitude_at(faults: ShakeFaults, kmh: float, order: float, axis: int = 2) -> float:
    """Amplitude [m/s2] at an order of the wheel, by projection over 30 s."""
    drive = Drive(30.0, kmh, kmh)
    shake = drive_record(drive, faults, QUIET, np.random.default_rng(1))
    turns = kmh / 3.6 * shake.time_s / drive.circumference_m
    return 2.0 * abs(np.mean(shake.acceleration[:, axis] * np.exp(-2j * np.pi * order * turns)))


def test_imbalance_pulls_with_m_r_omega_squared() -> None:
    """F = m r omega^2 through the hop resonance (10 g at 200 mm: 23 N at 107 rad/s, by hand)."""
    hertz = 107.0 / (2.0 * math.pi)
    kmh = hertz * 1.95 * 3.6
    faults = ShakeFaults(imbalance={"left-front": Vector(20000.0, 0.0)})

    gain = hop_gain(np.array([hertz]))[0][0]

    assert amplitude_at(faults, kmh, 1.0) == pytest.approx(230.0 * gain * FELT_M_S2_N, rel=0.03)


def test_hop_gain_peaks_near_the_hop() -> None:
    at = np.linspace(1.0, 30.0, 2000)

    gain, phase = hop_gain(at)

    assert at[np.argmax(gain)] == pytest.approx(HOP_HZ, rel=0.05)
    assert gain[0] == pytest.approx(1.0, abs=0.01)
    assert np.interp(HOP_HZ, at, phase) == pytest.approx(-math.pi / 2.0, abs=0.01)


def test_opposite_imbalances_cancel_and_a_rear_wheel_is_felt_less() -> None:
    front = ShakeFaults(imbalance={"left-front": Vector(9000.0, 30.0)})
    rear = ShakeFaults(imbalance={"left-rear": Vector(9000.0, 30.0)})
    pair = ShakeFaults(imbalance={"left-front": Vector(9000.0, 30.0),
                                  "right-front": Vector(9000.0, 210.0)})

    assert amplitude_at(rear, 90.0, 1.0) == pytest.approx(0.7 * amplitude_at(front, 90.0, 1.0),
                                                          rel=0.1)
    assert amplitude_at(pair, 90.0, 1.0) < 0.1 * amplitude_at(front, 90.0, 1.0)


@pytest.mark.parametrize(
    ("faults", "order", "axis"),
    [
        (ShakeFaults(eccentricity={"right-rear": Vector(0.8, 0.0)}), 1.0, 2),
        (ShakeFaults(oval_mm={"left-front": 0.8}), 2.0, 2),
        (ShakeFaults(driveshaft=(2.6, 0.2)), 2.6, 2),
        (ShakeFaults(engine=(1.4, 2.0, 0.2)), 2.8, 2),
    ],
)
def test_each_fault_stands_at_its_order(faults: ShakeFaults, order: float, axis: int) -> None:
    at_order = amplitude_at(faults, 80.0, order, axis)

    assert at_order > 8.0 * amplitude_at(ShakeFaults(), 80.0, order, axis)
    assert at_order > 8.0 * amplitude_at(faults, 80.0, order + 0.31, axis)


def test_judder_only_while_braking() -> None:
    drive = Drive(20.0, 80.0, 80.0, braking=(10.0, 15.0))

    shake = drive_record(drive, ShakeFaults(judder=(1.0, 2.0)), QUIET, np.random.default_rng(2))

    on = (shake.time_s >= 10.0) & (shake.time_s < 15.0)
    assert shake.acceleration[on, 0].std() > 5.0 * shake.acceleration[~on, 0].std()


def test_the_phone_clips_jitters_and_drops() -> None:
    phone = Phone(limit=11.0, jitter=0.2, gaps=((5.0, 1.0),))

    shake = drive_record(Drive(20.0), ShakeFaults(), phone, np.random.default_rng(3))

    assert np.abs(shake.acceleration).max() <= 11.0
    assert (np.diff(shake.time_s) > 0.0).all()
    assert len(shake.time_s) == pytest.approx(1900, abs=3)
    assert np.diff(shake.time_s).max() == pytest.approx(1.0, abs=0.05)
