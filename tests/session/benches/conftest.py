"""Simulated drives on disk, and a desk with the project's own rules.

Lets the test modules of this folder import `bench_helpers`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from vibecheck.metrology.forward_shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)
from vibecheck.metrology.vectors import Vector
from vibecheck.session.desk import Desk

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
RULES = HERE.parents[2] / "rules"
WITH_SPEED = Dialect(names=("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))
SWEEP = Drive(seconds=120.0, from_kmh=60.0, to_kmh=110.0, circumference_m=1.9276)
IMBALANCE = ShakeFaults(imbalance={"left-front": Vector(9000.0, 40.0)})


def written(path: Path, faults: ShakeFaults, phone: Phone, dialect: Dialect = WITH_SPEED) -> Path:
    """A simulated drive (invented data) as a phone would export it."""
    shake = drive_record(SWEEP, faults, phone, np.random.default_rng(5))
    path.write_text(as_csv(shake, dialect), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def sweep(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A phone on a car with an imbalanced wheel, 60 to 110 km/h."""
    return written(tmp_path_factory.mktemp("drives") / "sweep.csv", IMBALANCE, Phone())


@pytest.fixture(scope="session")
def quiet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same drive with a sound car."""
    return written(tmp_path_factory.mktemp("drives") / "quiet.csv", ShakeFaults(),
                   Phone(rate_hz=200.0))


@pytest.fixture
def desk() -> Desk:
    """A case that is not on disk."""
    return Desk.new(None, place="bay", facts={"tire_size": "205/55R16", "drive": "front"},
                    rules=RULES)
