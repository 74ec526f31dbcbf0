"""Hub taken off a wheel's lateral readings: forward geometry, the carry of a face, coverage."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.faces import less_hub, tip_factor
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.runout.hub_carry import face_at_bead

PLACES = np.arange(12) * 30.0


def wave(amplitude: float, at_deg: float, order: int = 1) -> Floats:
    return np.asarray(amplitude * np.cos(order * np.deg2rad(PLACES - at_deg)))


def test_the_wheel_comes_out_whole() -> None:
    hub = wave(0.03, 40.0)
    wheel = wave(0.20, 200.0) + hub * (180.0 / 60.0)
    found = less_hub(wheel, hub, PLACES, 180.0, 60.0)

    assert 0.20 == pytest.approx(found.wheel.amplitude)
    assert 200.0 == pytest.approx(found.wheel.angle_deg)
    assert wave(0.20, 200.0) == pytest.approx(found.readings_mm)
    assert face_at_bead(0.06, 0.0, 60.0, 180.0).lateral_mm == pytest.approx(found.hub.tir)


def test_waves_of_the_face_are_bridged_and_said() -> None:
    hub = wave(0.01, 0.0) + wave(0.02, 10.0, order=5)
    found = less_hub(wave(0.1, 0.0), hub, PLACES, 60.0, 60.0)

    assert 0.09 == pytest.approx(found.wheel.amplitude)
    assert 0.02 < found.bridged_mm <= 0.04 + 1e-12


def test_the_stated_uncertainty_holds() -> None:
    """2,000 wheels on 2,000 hubs with gauge noise: each component within k = 2 in 93 to 97 %."""
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(2000):
        hub, own = rng.normal(0.0, 0.03, 2), rng.normal(0.0, 0.2, 2)
        tilt, part = (np.cos(np.deg2rad(PLACES)) * each[0] + np.sin(np.deg2rad(PLACES)) * each[1]
                      for each in (hub, own))  # fmt: skip
        found = less_hub(
            part + 3.0 * tilt + rng.normal(0.0, 0.01, 12), tilt + rng.normal(0.0, 0.01, 12),
            PLACES, 180.0, 60.0,
        )
        held += abs(found.wheel.xy.real - own[0]) <= found.uncertainty_mm

    assert 0.93 <= held / 2000 <= 0.97


@pytest.mark.parametrize(("tip", "factor"), [(0.0, 1.0), (15.0, 0.97), (30.0, 0.87), (60.0, 0.5)])
def test_the_cosine_table_of_lever_gauges(tip: float, factor: float) -> None:
    """Factors that makers of lever gauges print: 0.97 at 15 deg, 0.87 at 30 (memory)."""
    assert factor == pytest.approx(tip_factor(tip), abs=5e-3)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ReadingError, match="do not belong together"):
        less_hub(PLACES, PLACES[:-1], PLACES, 180.0, 60.0)
    with pytest.raises(ReadingError, match="too few"):
        less_hub(PLACES[:5], PLACES[:5], PLACES[:5], 180.0, 60.0)
    with pytest.raises(ReadingError, match="above zero"):
        less_hub(PLACES, PLACES, PLACES, 0.0, 60.0)
    with pytest.raises(ReadingError, match="tells nothing"):
        tip_factor(75.0)
