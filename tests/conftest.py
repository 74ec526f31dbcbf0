"""How many workers `-n auto` means for these tests."""

from __future__ import annotations

import os

import pytest


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """One more than there are cores: tests of screens wait more than they compute."""
    return (os.cpu_count() or 1) + 1
