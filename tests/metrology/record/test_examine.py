"""A record examined at once: with speed and tire, without, and with a speed given."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note
from vibecheck.metrology.orders.rotating_parts import Driveline, Part
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.record.car_orders import CarOrders, car_orders
from vibecheck.metrology.record.examine import Nature, examine
from vibecheck.metrology.record.judge import OrderVerdict
from vibecheck.metrology.record.load import Record, read_record
from vibecheck.metrology.record.order_tracking import Candidate
from vibecheck.metrology.record.scale import ScaleState, SpeedSource
from vibecheck.metrology.vectors import Vector
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.wording import Wording
from vibecheck.virtual.drawn_rides import as_recorded
from vibecheck.virtual.ride import Holder, Pickup, Ride, Vehicle, ride_record
from vibecheck.virtual.road import RoadClass
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
    Candidate("wheel_1", 1.0, 0.015),
    Candidate("wheel_2", 2.0, 0.03),
    Candidate("driveshaft, 1st order", 2.9, 0.045),
)


def said(notes: Iterable[Note]) -> list[str]:
    """Notes as they are read."""
    return [note_text(note, Wording()) for note in notes]


def record(speed: bool = True, phone: Phone | None = None, **faults: object) -> Record:
    shake = drive_record(Drive(60.0, 95.0, 105.0), ShakeFaults(**faults), phone or Phone(),
                         np.random.default_rng(7))
    return read_record(as_csv(shake, Dialect((*NAMES, "speed (m/s)" if speed else ""))))


def test_a_wheel_out_of_balance_is_named() -> None:
    found = examine(record(imbalance={"left-front": Vector(12000.0, 0.0)}), 1.95,
                    candidates=PARTS)

    assert found.ties[0].parts[0][0] == "wheel_1"
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
    assert any("without the tire size" in note for note in said(no_tire.notes))
    assert any("without the speed" in note for note in said(no_speed.notes))
    assert no_speed.peaks[0].at == pytest.approx(100.0 / 3.6 / 1.95, rel=0.06)


def test_a_speed_that_was_held_can_be_given() -> None:
    shake = drive_record(Drive(60.0), ShakeFaults(imbalance={"left-front": Vector(12000.0, 0.0)}),
                         Phone(), np.random.default_rng(8))

    found = examine(read_record(as_csv(shake, Dialect((*NAMES, "")))), 1.95, 100.0, PARTS)

    assert found.ties[0].peak.at == pytest.approx(1.0, abs=0.005)
    assert any("constant speed of 100 km/h" in note for note in said(found.notes))


def judged_car() -> CarOrders:
    rolling = Rolling(1.95, 1.93, 1.97)
    return car_orders(rolling, Driveline(axle_ratio=2.9), SpeedSource.GPS, tread_mm=8.0)


def test_every_order_is_judged_and_its_smeared_trace_is_no_hump() -> None:
    """95 to 105 km/h spread order 1 over 13.5 to 15 Hz: a trace of what turns, not a resonance."""
    found = examine(record(imbalance={"left-front": Vector(12000.0, 0.0)}), 1.95,
                    candidates=PARTS, car=judged_car())

    assert found.judgement is not None
    verdicts = {(each.turning.part, each.turning.order): each.verdict
                for each in found.judgement.orders}
    assert verdicts[Part.WHEEL, 1.0] in (OrderVerdict.KEEPS_STEP, OrderVerdict.FITS)
    assert not any(12.5 < hump.at_hz < 16.0 for hump in found.humps)
    assert len(found.natures) == len(found.peaks)
    assert Nature.TURNS in found.natures
    assert [1.0] == pytest.approx([each.peak.at for each in found.ties], abs=0.02)
    assert 90.0 < found.bands[0].from_kmh + 20.0 and found.bands[0].highest_order > 2.5


def test_a_hump_is_told_with_its_width_and_is_no_order() -> None:
    """A holder of 14 Hz and damping 0.06 on a rough road; nothing turns badly."""
    pickup = Pickup(holder=Holder(14.0, 0.06), rate_hz=100.0)
    shake = ride_record(Ride(90.0, (100.0,), road=RoadClass.C), Vehicle(), pickup,
                        np.random.default_rng(9))

    found = examine(as_recorded(shake, 100.0), 1.95, candidates=PARTS, car=judged_car())

    assert () == found.ties
    assert 14.0 == pytest.approx(found.humps[0].at_hz, abs=1.0)
    assert found.humps[0].width_hz > 3.0 * found.humps[0].allowed_hz
    assert found.judgement is not None
    assert not any(each.named for each in found.judgement.orders)
    assert Nature.TURNS not in found.natures


def test_a_speed_of_unknown_unit_is_not_tied_to_orders() -> None:
    """A bare 43 to 50 may be mph or km/h: asked first, then judged."""
    shake = drive_record(Drive(60.0, 70.0, 80.0), ShakeFaults(), Phone(),
                         np.random.default_rng(7))
    text = as_csv(shake, Dialect((*NAMES, "speed"), per_m_s=3.6 / 1.609344))

    asked = examine(read_record(text), 1.95, car=judged_car())
    told = examine(read_record(text, speed_unit="mph"), 1.95, car=judged_car())

    assert asked.judgement is None and asked.orders is None
    assert told.judgement is not None
    assert told.judgement.scale.state is ScaleState.PRIOR_ONLY


def test_what_rounds_to_nothing_is_not_listed() -> None:
    """A line of 0.0003 m/s2 in a still room."""
    rng = np.random.default_rng(3)
    time_s = np.arange(12_000) / 100.0
    values = rng.normal(0.0, 1e-5, (12_000, 3)) + [0.0, 0.0, 9.80665]
    values[:, 2] += 0.0003 * np.sin(2.0 * np.pi * 13.0 * time_s)
    still = Record(time_s=time_s, acceleration=values, speed_ms=None, rate_hz=100.0, jitter_s=0.0,
                   gaps=(), gravity=np.array([0.0, 0.0, 9.8]), assumed=(), warnings=(), source="")

    assert () == examine(still).peaks


def test_bad_input_gives_one_sentence() -> None:
    with pytest.raises(RecordError, match="circumference of 50 m"):
        examine(record(), 50.0)
    with pytest.raises(RecordError, match="-5 km/h"):
        examine(record(), 1.95, -5.0)
