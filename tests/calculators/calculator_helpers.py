"""What several test modules of the calculators need."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from vibecheck.calculators.calculator import FindingAnswer
from vibecheck.errors import InputError
from vibecheck.metrology.units.choice import METRIC, Units
from vibecheck.metrology.vectors import Vector
from vibecheck.report.calculators.pages import calculator_page
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

RULES = Path(__file__).parents[2] / "rules"
WITH_SPEED = Dialect(names=("time", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))
SWEEP = Drive(seconds=120.0, from_kmh=60.0, to_kmh=110.0, circumference_m=1.9276)
IMBALANCE = ShakeFaults(imbalance={"left-front": Vector(9000.0, 40.0)})


def written(path: Path, faults: ShakeFaults, phone: Phone, dialect: Dialect = WITH_SPEED) -> Path:
    """A simulated drive (invented data) as a phone would export it."""
    shake = drive_record(SWEEP, faults, phone, np.random.default_rng(5))
    path.write_text(as_csv(shake, dialect), encoding="utf-8")
    return path


def refusal(calculate: Callable[[], object]) -> InputError:
    """The complaint that a calculator raises; one sentence of it."""
    with pytest.raises(InputError) as raised:
        calculate()
    assert "\n" not in str(raised.value)
    return raised.value


def round_text(vector: Vector, count: int = 18, unit: str = "mm") -> str:
    """Readings of a first harmonic, evenly round the turn, to a hundredth."""
    heights = [vector.amplitude * math.cos(math.radians(360.0 * place / count - vector.angle_deg))
               for place in range(count)]
    return " ".join(f"{height:.2f}" for height in heights) + f" {unit}"


def values_of(answers: Sequence[FindingAnswer]) -> dict[str, str]:
    """Text by finding."""
    return {each.finding: each.text for each in answers}


def texts(**fields: str) -> dict[str, str]:
    """Typed texts by field."""
    return fields


def said(name: str, result: object, units: Units = METRIC) -> str:
    """A result's page as it is printed, on one line."""
    page = calculator_page(name, result, Wording(units))
    return " ".join(" ".join(text_lines(page, 100)).split())


def bent(dip: float, bulge: float, width: float, count: int = 36) -> str:
    """A rim with an offset of 0.05 mm and one dent at 120 deg."""
    readings = []
    for place in range(count):
        angle = 360.0 * place / count
        off = (angle - 120.0 + 180.0) % 360.0 - 180.0
        low = math.exp(-0.5 * ((off + width / 4.0) / (width / 8.0)) ** 2)
        high = math.exp(-0.5 * ((off - width / 4.0) / (width / 8.0)) ** 2)
        readings.append(0.05 * math.cos(math.radians(angle)) - dip * low + bulge * high)
    return " ".join(f"{reading:.2f}" for reading in readings) + " mm"
