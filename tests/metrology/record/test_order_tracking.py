"""Orders stand still in a sweep; peaks are tied to parts with honest confidence."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import RecordError
from vibecheck.metrology.record.even import EvenRecord, Stretch, even
from vibecheck.metrology.record.load import read_record
from vibecheck.metrology.record.order_tracking import (
    Candidate,
    by_angle,
    order_spectrum,
    tie,
    with_constant_speed,
)
from vibecheck.metrology.record.peaks import Peak, peaks_of
from vibecheck.metrology.record.spectrum import Spectrum, spectrum_of
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

DIALECT = Dialect(("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))
AROUND = 1.95


def recorded(drive: Drive, faults: ShakeFaults, phone: Phone | None = None, seed: int = 3):
    shake = drive_record(drive, faults, phone or Phone(), np.random.default_rng(seed))
    return even(read_record(as_csv(shake, DIALECT)))


@pytest.fixture(scope="module")
def sweep() -> EvenRecord:
    """60 to 110 km/h in 100 s, an eccentric front wheel (its force does not grow with speed)."""
    faults = ShakeFaults(eccentricity={"left-front": Vector(0.6, 40.0)})
    return recorded(Drive(100.0, 60.0, 110.0), faults)


def test_a_sweep_stands_on_wheel_order_1_and_smears_in_hertz(sweep) -> None:
    orders = order_spectrum(sweep, AROUND)
    plain = spectrum_of(sweep)

    top = peaks_of(orders.spectrum, 0.4, orders.highest_order)[0]
    smeared = peaks_of(plain, 5.0, 20.0)

    assert top.at == pytest.approx(1.0, abs=0.01)
    assert top.rms > 2.0 * max((peak.rms for peak in smeared), default=0.0)
    assert top.over_floor > 8.0 * max((peak.over_floor for peak in smeared), default=1.0)


def share_between(
    spectrum: Spectrum, low: float, high: float, within: tuple[float, float]
) -> float:
    """Share of the power within a range that lies between two places [0 to 1]."""
    outer = (spectrum.at >= within[0]) & (spectrum.at <= within[1])
    inner = outer & (spectrum.at >= low) & (spectrum.at <= high)
    return float(spectrum.total[inner].sum() / spectrum.total[outer].sum())


def test_the_same_width_holds_the_power_in_orders_but_not_in_hertz(sweep) -> None:
    """Within 6 % of its place: most of the power near order 1, a small part at any one Hz."""
    orders = order_spectrum(sweep, AROUND, segment_turns=32).spectrum
    plain = spectrum_of(sweep)

    in_order = share_between(orders, 0.94, 1.06, (0.6, 1.4))
    in_hertz = max(share_between(plain, 0.94 * f, 1.06 * f, (6.0, 18.0))
                   for f in np.arange(8.0, 16.0, 0.1))

    assert in_order > 0.75
    assert in_hertz < 0.4


def test_all_of_the_shake_is_found_on_the_order() -> None:
    """A chirp of known size at order 1: nothing but numpy makes the signal."""
    rate, seconds = 100.0, 100.0
    time_s = np.arange(0.0, seconds, 1.0 / rate)
    speed = (60.0 + 0.5 * time_s) / 3.6
    turns = (60.0 / 3.6 * time_s + 0.25 / 3.6 * time_s**2) / AROUND
    values = np.zeros((len(time_s), 3))
    values[:, 2] = 0.4 * np.sin(2.0 * np.pi * turns) + 0.1 * np.sin(4.0 * np.pi * turns)
    values += np.random.default_rng(2).normal(0.0, 0.02, values.shape)

    orders = order_spectrum(EvenRecord(rate, (Stretch(0.0, values, speed),), True), AROUND)
    first, second = peaks_of(orders.spectrum, 0.4, orders.highest_order)[:2]

    assert (first.at, second.at) == pytest.approx((1.0, 2.0), abs=0.002)
    assert first.rms == pytest.approx(0.4 / math.sqrt(2.0), rel=0.02)
    assert second.rms == pytest.approx(0.1 / math.sqrt(2.0), rel=0.04)


def test_a_high_order_keeps_its_size() -> None:
    """Order 2.9 at 41 Hz, sampled at 100 Hz: within 3 % of what was put in."""
    time_s = np.arange(0.0, 60.0, 0.01)
    speed = np.full(len(time_s), 100.0 / 3.6)
    values = np.random.default_rng(6).normal(0.0, 0.02, (len(time_s), 3))
    values[:, 2] += 0.3 * np.sin(2.0 * np.pi * 2.9 * speed * time_s / AROUND)

    orders = order_spectrum(EvenRecord(100.0, (Stretch(0.0, values, speed),), True), AROUND)

    peak = peaks_of(orders.spectrum, 0.4, orders.highest_order)[0]
    assert peak.at == pytest.approx(2.9, abs=0.001)
    assert peak.rms == pytest.approx(0.3 / math.sqrt(2.0), rel=0.03)


def test_driveshaft_and_wheel_stand_apart() -> None:
    faults = ShakeFaults(imbalance={"right-front": Vector(8000.0, 0.0)}, driveshaft=(2.9, 0.06))
    orders = order_spectrum(recorded(Drive(120.0, 70.0, 100.0), faults), AROUND)

    places = [peak.at for peak in peaks_of(orders.spectrum, 0.4, orders.highest_order)]

    assert sorted(places) == pytest.approx([1.0, 2.9], rel=0.01)


def test_an_engine_at_fixed_speed_does_not_stand_on_a_wheel_order() -> None:
    """A tone that does not follow the road speed smears over orders instead."""
    rate = 100.0
    time_s = np.arange(0.0, 100.0, 1.0 / rate)
    values = np.random.default_rng(5).normal(0.0, 0.05, (len(time_s), 3))
    values[:, 2] += 0.3 * np.sin(2.0 * np.pi * 12.5 * time_s)
    record = EvenRecord(rate, (Stretch(0.0, values, (60.0 + 0.5 * time_s) / 3.6),), True)

    orders = order_spectrum(record, AROUND, segment_turns=64).spectrum
    strongest = max((peak.rms for peak in peaks_of(orders, 0.4, 3.0)), default=0.0)

    assert peaks_of(spectrum_of(record))[0].rms == pytest.approx(0.3 / math.sqrt(2.0), rel=0.03)
    assert strongest < 0.5 * 0.3 / math.sqrt(2.0)


def test_a_constant_speed_can_be_given() -> None:
    record = recorded(Drive(60.0, 100.0, 100.0),
                      ShakeFaults(imbalance={"left-front": Vector(9000.0, 0.0)}))
    bare = EvenRecord(record.rate_hz, tuple(
        Stretch(p.start_s, p.acceleration, None) for p in record.stretches), True)

    orders = order_spectrum(with_constant_speed(bare, 100.0), AROUND)

    assert peaks_of(orders.spectrum, 0.4, 3.0)[0].at == pytest.approx(1.0, abs=0.005)
    assert orders.slowest_kmh == pytest.approx(100.0)


@settings(max_examples=20, derandomize=True, deadline=None)
@given(st.floats(8.0, 40.0), st.floats(-0.1, 0.1), st.floats(0.8, 3.5))
def test_a_signal_of_wheel_angle_comes_back_as_that(v0: float, rise: float, way: float) -> None:
    time_s = np.arange(0.0, 30.0, 0.005)
    speed = v0 + rise * time_s
    turns = (v0 * time_s + rise * time_s**2 / 2.0) / way
    signal = np.cos(2.0 * np.pi * turns)[:, None]

    found = by_angle(speed, signal, 200.0, way, 32)

    wanted = np.cos(2.0 * np.pi * np.arange(len(found)) / 32)
    slow = v0 / way < 20.0
    assert np.abs(found[:, 0] - wanted)[10:-10].max() < (0.01 if slow else 0.4)


def peak_at(at: float, u_at: float) -> Peak:
    return Peak(at, u_at, 8.0, 0.1, 0.01, 8.0, 0.9, 20.0, 1e-9)


PARTS = (
    Candidate("wheel, 1st order", 1.0, 0.015),
    Candidate("wheel, 2nd order", 2.0, 0.03),
    Candidate("driveshaft, 1st order", 2.9, 0.05),
)


def test_a_peak_on_one_part_belongs_to_it() -> None:
    found = tie(peak_at(1.01, 0.003), PARTS, 4.0)

    assert found.parts[0][0] == "wheel, 1st order" and found.parts[0][1] > 0.95


def test_confidences_sum_to_one() -> None:
    for at in (0.5, 1.0, 1.4, 2.0, 2.95):
        found = tie(peak_at(at, 0.02), PARTS, 4.0)

        assert sum(share for _, share in found.parts) + found.other == pytest.approx(1.0)


def test_two_parts_in_one_place_share_the_peak() -> None:
    twin = (*PARTS, Candidate("engine, 1st order", 1.0, 0.015))

    found = tie(peak_at(1.0, 0.003), twin, 4.0)

    assert {name for name, _ in found.parts[:2]} == {"wheel, 1st order", "engine, 1st order"}
    assert found.parts[0][1] == pytest.approx(found.parts[1][1])


def test_a_peak_on_nothing_is_something_else() -> None:
    assert tie(peak_at(1.5, 0.003), PARTS, 4.0).other > 0.99


def test_bad_input_gives_one_sentence(sweep) -> None:
    bare = EvenRecord(100.0, tuple(
        Stretch(p.start_s, p.acceleration, None) for p in sweep.stretches), True)
    slow = with_constant_speed(sweep, 10.0)

    for call, words in (
        (lambda: order_spectrum(bare, AROUND), "has no speed"),
        (lambda: order_spectrum(slow, AROUND), "never faster than 20 km/h"),
        (lambda: order_spectrum(sweep, 0.0), "circumference of 0 m"),
        (lambda: order_spectrum(sweep, AROUND, segment_turns=2000), "wheel turns above"),
        (lambda: with_constant_speed(sweep, math.nan), "nan km/h"),
    ):
        with pytest.raises(RecordError, match=words):
            call()
