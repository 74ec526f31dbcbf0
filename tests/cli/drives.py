"""A simulated drive on disk (invented data), for the tests of the command line."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

WITH_SPEED = Dialect(names=("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))
IMBALANCE = ShakeFaults(imbalance={"left-front": Vector(9000.0, 40.0)})


def drive_file(path: Path, faults: ShakeFaults = IMBALANCE, rate_hz: float = 100.0) -> Path:
    """A phone's record of a sweep from 60 to 110 km/h on 205/55R16."""
    drive = Drive(seconds=120.0, from_kmh=60.0, to_kmh=110.0, circumference_m=1.9276)
    shake = drive_record(drive, faults, Phone(rate_hz=rate_hz), np.random.default_rng(5))
    path.write_text(as_csv(shake, WITH_SPEED), encoding="utf-8")
    return path
