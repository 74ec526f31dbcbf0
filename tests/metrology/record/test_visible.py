"""What a sampling rate shows at which speed, and how fast to record."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.record.visible import (
    advised_rate,
    bands_of,
    fastest_for,
    highest_order,
)


def test_a_slow_phone_does_not_show_a_driveshaft_at_speed() -> None:
    """100 a second show less than 50 Hz; order 3.73 of a wheel of 1.93 m at 110 km/h is 59 Hz."""
    assert highest_order(100.0, 110.0, 1.93) < 3.73 < highest_order(200.0, 110.0, 1.93)
    assert 110.0 > fastest_for(100.0, 3.73, 1.93)
    assert 110.0 < fastest_for(200.0, 3.73, 1.93)


def test_the_rate_to_record_at() -> None:
    found = advised_rate([1.0, 2.0, 3.73, 7.46], 110.0, 1.93)

    assert 7.46 == found.highest_order
    assert 2.0 * 7.46 * 110.0 / 3.6 / 1.93 < found.needed_hz < found.advised_hz
    assert 400.0 == found.advised_hz
    assert highest_order(found.needed_hz, 110.0, 1.93) == pytest.approx(7.46)


def test_only_the_wheels_need_no_more_than_usual() -> None:
    assert 100.0 == advised_rate([1.0, 2.0], 110.0, 1.93).advised_hz


@pytest.mark.parametrize("speed", [0.0, -5.0, float("nan")])
def test_no_speed_no_advice(speed: float) -> None:
    with pytest.raises(RecordError, match="cannot be"):
        advised_rate([1.0], speed, 1.93)


def test_bands_of_speed_show_ever_less() -> None:
    speed = np.repeat([30.0, 70.0, 71.0, 110.0], 500)

    found = bands_of(speed, 100.0, 1.93, 20.0)

    assert [(20.0, 40.0), (60.0, 80.0), (100.0, 120.0)] == [
        (band.from_kmh, band.to_kmh) for band in found]
    assert [5.0, 10.0, 5.0] == [band.seconds for band in found]
    orders = [band.highest_order for band in found]
    assert orders == sorted(orders, reverse=True)
