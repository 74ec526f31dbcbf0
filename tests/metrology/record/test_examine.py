"""A record examined at once: with speed and tire, without, and with a speed given."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.record.examine import examine
from vibecheck.metrology.record.load import Record, read_record
from vibecheck.metrology.record.order_tracking import Candidate
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

NAMES = ("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)")
PARTS = (
    Candidate("wheel, 1st order", 1.0, 0.015),
    Candidate("wheel, 2nd order", 2.0, 0.03),
    Candidate("driveshaft, 1st order", 2.9, 0.045),
)


def record(speed: bool = True, phone: Phone | None = None, **faults: object) -> Record:
    shake = drive_record(Drive(60.0, 95.0, 105.0), ShakeFaults(**faults), phone or Phone(),
                         np.random.default_rng(7))
    return read_record(as_csv(shake, Dialect((*NAMES, "speed (m/s)" if speed else ""))))


def test_a_wheel_out_of_balance_is_named() -> None:
    found = examine(record(imbalance={"left-front": Vector(12000.0, 0.0)}), 1.95,
                    candidates=PARTS)

    assert found.ties[0].parts[0][0] == "wheel, 1st order"
    assert found.ties[0].parts[0][1] > 0.9
    assert found.severity.total > 0.05


def test_a_driveshaft_is_named() -> None:
    found = examine(record(driveshaft=(2.9, 0.1)), 1.95, candidates=PARTS)

    assert found.ties[0].parts[0][0] == "driveshaft, 1st order"


def test_a_quiet_car_shows_no_order() -> None:
    assert examine(record(), 1.95, candidates=PARTS).ties == ()


def test_without_tire_or_speed_peaks_stay_in_hertz() -> None:
    heavy = {"imbalance": {"left-front": Vector(12000.0, 0.0)}}

    no_tire, no_speed = examine(record(**heavy)), examine(record(False, **heavy), 1.95)

    assert no_tire.orders is None and no_speed.orders is None
    assert any("without the tire size" in note for note in no_tire.notes)
    assert any("without the speed" in note for note in no_speed.notes)
    assert no_speed.peaks[0].at == pytest.approx(100.0 / 3.6 / 1.95, rel=0.06)


def test_a_speed_that_was_held_can_be_given() -> None:
    shake = drive_record(Drive(60.0), ShakeFaults(imbalance={"left-front": Vector(12000.0, 0.0)}),
                         Phone(), np.random.default_rng(8))

    found = examine(read_record(as_csv(shake, Dialect((*NAMES, "")))), 1.95, 100.0, PARTS)

    assert found.ties[0].peak.at == pytest.approx(1.0, abs=0.005)
    assert any("constant speed of 100 km/h" in note for note in found.notes)


def test_bad_input_gives_one_sentence() -> None:
    with pytest.raises(RecordError, match="circumference of 50 m"):
        examine(record(), 50.0)
    with pytest.raises(RecordError, match="-5 km/h"):
        examine(record(), 1.95, -5.0)
