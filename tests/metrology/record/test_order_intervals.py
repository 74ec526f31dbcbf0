"""Stated intervals of orders hold on whole rides, whatever dash, wear and tire size leave open.

`VIBECHECK_DRAWS` sets the rides of a population: few in the test command, 2,000 in the long run,
which takes some 16 minutes on one core. `test_scale.py` draws 2,000 without the ride.
"""

from __future__ import annotations

import math
import os

import pytest
from ride_helpers import tallied

from vibecheck.metrology.record.scale import SizeSource
from vibecheck.virtual.drawn_rides import Population, Wrong
from vibecheck.virtual.road import RoadClass

DRAWS, MANY = int(os.environ.get("VIBECHECK_DRAWS", "24")), 2000
OFF = {
    "dash high, worn tread, size off the tire": (
        Population(Wrong.IMBALANCE, 0.2, dash=True, road=RoadClass.A), SizeSource.TIRE),
    "position sensor, worn tread, size off the tire": (
        Population(Wrong.IMBALANCE, 0.2, sensor_off=0.005, road=RoadClass.A), SizeSource.TIRE),
    "dash high, worn tread, size up to 4 % off": (
        Population(Wrong.ECCENTRIC, 0.2, dash=True, size_off=0.04, road=RoadClass.A),
        SizeSource.LABEL),
    "position sensor, worn tread, size up to 4 % off": (
        Population(Wrong.IMBALANCE, 0.2, size_off=0.04, sensor_off=0.005, road=RoadClass.A),
        SizeSource.UNKNOWN),
}


@pytest.mark.parametrize("name", OFF)
def test_the_stated_interval_of_an_order_holds(name: str) -> None:
    """93 to 97 in 100 of 2,000 rides, give or take three standard deviations where fewer are
    driven; that of the scale, from the lines themselves, in 93 to 98.5.
    """
    population, size_from = OFF[name]

    found = tallied(population, DRAWS, 303, size_from)

    spread = 0.0 if DRAWS >= MANY else 3.0 * math.sqrt(0.05 * 0.95 / found.stated)
    assert found.stated > 0.9 * DRAWS
    assert 0.93 - spread <= found.held / found.stated <= 0.97 + spread
    assert 0.93 - spread <= found.scales_held / found.scales <= 0.985 + spread
