"""Simulated drives on disk, and a case opened with the project's own rules.

Lets the test modules of this folder import `calculator_helpers`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from calculator_helpers import IMBALANCE, RULES, written  # noqa: E402

from vibecheck.session.open_case import OpenCase  # noqa: E402
from vibecheck.virtual.shake import Phone, ShakeFaults  # noqa: E402


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
def opened() -> OpenCase:
    """A case that is not on disk."""
    return OpenCase.new(None, place="bay", facts={"tire_size": "205/55R16", "drive": "front"},
                    rules=RULES)
