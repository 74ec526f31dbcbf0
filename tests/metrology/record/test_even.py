"""Even grid: up is up, and gaps part it."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.record.even import even
from vibecheck.metrology.record.load import read_record
from vibecheck.metrology.record.peaks import peaks_of
from vibecheck.metrology.record.spectrum import spectrum_of
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

SPEED = Dialect(("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))


@pytest.mark.parametrize("tilt", [(0.0, 0.0), (25.0, -10.0), (-70.0, 40.0), (90.0, 0.0)])
def test_up_is_found_however_the_phone_lies(tilt: tuple[float, float]) -> None:
    """A wheel shakes 1 up and 0.35 sideways in the model: 0.89 of the power is up."""
    faults = ShakeFaults(imbalance={"left-front": Vector(15000.0, 0.0)})
    shake = drive_record(Drive(30.0), faults, Phone(tilt_deg=tilt), np.random.default_rng(2))

    record = even(read_record(as_csv(shake, SPEED)))

    assert record.upright
    assert peaks_of(spectrum_of(record))[0].up_share == pytest.approx(1 / (1 + 0.35**2), abs=0.02)


def test_gaps_part_the_record_and_nothing_is_filled_in() -> None:
    phone = Phone(gaps=((10.0, 2.0), (21.0, 1.0), (23.0, 1.0)))
    shake = drive_record(Drive(40.0), ShakeFaults(), phone, np.random.default_rng(3))

    record = even(read_record(as_csv(shake, SPEED)))

    starts = [piece.start_s for piece in record.stretches]
    assert starts == pytest.approx([0.0, 12.0, 24.0], abs=0.05)
    assert record.length_s == pytest.approx(10.0 + 9.0 + 16.0, abs=0.2)
    assert all(abs(piece.acceleration.mean(dtype=np.float64)) < 1e-7
               for piece in record.stretches)  # single precision


def test_a_record_in_shreds_is_refused() -> None:
    gaps = tuple((start, 0.5) for start in np.arange(1.0, 20.0, 2.0))
    shake = drive_record(Drive(20.0), ShakeFaults(), Phone(gaps=gaps), np.random.default_rng(4))

    with pytest.raises(RecordError, match="pieces too short"):
        even(read_record(as_csv(shake, SPEED)))
