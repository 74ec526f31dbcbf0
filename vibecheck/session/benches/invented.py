"""A record with invented values, so that the record bench can be tried without a phone."""

from __future__ import annotations

import tempfile
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

INVENTED_TIRE = "205/55R16"
_NAMES = ("time (s)", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)")
_DRIVE = Drive(seconds=60.0, from_kmh=80.0, to_kmh=120.0)
_FAULTS = ShakeFaults(imbalance={"left-front": Vector(9000.0, 40.0)})
_SEED = 20


def invented_record() -> Path:
    """Write a file of a simulated drive with an imbalance, in a fresh folder of the system's own.

    Raises
    ------
    OSError : it cannot be written.
    """
    shake = drive_record(_DRIVE, _FAULTS, Phone(), np.random.default_rng(_SEED))
    path = Path(tempfile.mkdtemp(prefix="vibecheck-")) / "invented-shake.csv"
    path.write_text(as_csv(shake, Dialect(names=_NAMES)), encoding="utf-8")
    return path
