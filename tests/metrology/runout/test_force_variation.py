"""Force from runout and the loaded radius, against published stiffness and a worked example."""

from __future__ import annotations

import numpy as np
import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.force_variation import from_runout, loaded_radius
from vibecheck.metrology.runout.harmonics import Harmonic


def test_half_a_millimeter_on_a_usual_tire() -> None:
    """200 N/mm (usual, 180 to 250 by handbooks, memory) times 0.5 mm high minus low: 100 N."""
    found = from_runout([Harmonic(1, 0.25, 0.0, 0.0, 0.0)], 200.0, 0.0)

    assert (1, pytest.approx(100.0)) == (found[0].order, found[0].force_n)


@pytest.mark.parametrize(("stiffness", "pressed"), [(150.0, 26.7), (300.0, 13.3)])
def test_the_loaded_radius_between_published_stiffnesses(stiffness: float, pressed: float) -> None:
    """150 N/mm (a textbook exercise, read) and 300 N/mm (a chassis textbook, read), 4,000 N."""
    radius, _ = loaded_radius(632.0, 4000.0, stiffness)

    assert 316.0 - pressed == pytest.approx(radius, abs=0.05)


def test_the_stated_uncertainty_holds() -> None:
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(2000):
        size, stiffness = rng.uniform(0.1, 0.6), rng.normal(220.0, 30.0)
        read = Harmonic(1, size + rng.normal(0.0, 0.01), 0.02, 0.0, 0.0)
        found = from_runout([read])[0]
        held += abs(found.force_n - 2.0 * size * stiffness) <= found.uncertainty_n

    assert 0.93 <= held / 2000 <= 0.97


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ReadingError, match="stiffness"):
        from_runout([], 0.0)
    with pytest.raises(ReadingError, match="press the tire in"):
        loaded_radius(632.0, 400_000.0)
    with pytest.raises(ReadingError, match="negative"):
        loaded_radius(632.0, -1.0)
