"""Humps and their widths: what rings is told from what turns."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import lfilter

from vibecheck.metrology.record.humps import Rings, humps_of, rings_at
from vibecheck.metrology.record.spectrum import averaged

RATE = 100.0


def ringing(hertz: float, damping: float, rng: np.random.Generator, count: int) -> np.ndarray:
    """White noise through one mass on a spring, as a two-pole filter of scipy."""
    decay = math.exp(-2.0 * math.pi * damping * hertz / RATE)
    turn = 2.0 * math.pi * hertz * math.sqrt(1.0 - damping**2) / RATE
    return lfilter([1.0 - decay], [1.0, -2.0 * decay * math.cos(turn), decay**2],
                   rng.normal(0.0, 1.0, (count, 3)), axis=0)


@pytest.mark.parametrize(("hertz", "damping"), [(12.0, 0.08), (14.0, 0.05), (22.0, 0.04)])
def test_a_resonance_has_the_width_of_its_damping(hertz: float, damping: float) -> None:
    """Half-power width 2 zeta f (den Hartog, chapter 2)."""
    rng = np.random.default_rng(4)
    values = ringing(hertz, damping, rng, 60_000) + rng.normal(0.0, 0.02, (60_000, 3))

    found = humps_of(averaged([values], RATE, 400, "Hz"), 45.0)[0]

    assert hertz == pytest.approx(found.at_hz, abs=0.5)
    assert 2.0 * damping * hertz == pytest.approx(found.width_hz, rel=0.25)
    assert found.width_hz > 2.0 * found.allowed_hz


def test_a_tone_is_no_hump() -> None:
    rng = np.random.default_rng(5)
    values = rng.normal(0.0, 0.1, (12_000, 3))
    values[:, 2] += 0.3 * np.sin(2.0 * np.pi * 13.1 * np.arange(12_000) / RATE)

    assert () == humps_of(averaged([values], RATE, 400, "Hz"), 45.0)


def test_noise_has_no_hump() -> None:
    rng = np.random.default_rng(6)

    found = [humps_of(averaged([rng.normal(0.0, 1.0, (6000, 3))], RATE, 400, "Hz"), 45.0)
             for _ in range(20)]

    assert sum(bool(humps) for humps in found) <= 1


@pytest.mark.parametrize(
    ("hertz", "rings"),
    [(1.5, Rings.BODY), (12.0, Rings.HOP_OR_HOLDER), (25.0, Rings.HOLDER_OR_OTHER)])
def test_what_rings_where(hertz: float, rings: Rings) -> None:
    """Body 1 to 2 Hz, wheel hop 10 to 15 Hz (TRL SR12UC and a chassis handbook, read)."""
    assert rings is rings_at(hertz)
