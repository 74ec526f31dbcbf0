"""How many workers `-n auto` means for these tests, one thread for the products of each, and room
for the rule graphs of all cars that the tests walk through."""

from __future__ import annotations

import gc
import os

import pytest

# Before numpy is loaded: with as many workers as cores, more threads wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from vibecheck.session import inference  # noqa: E402

inference._KEPT_NETWORKS = 64  # a person has one car in hand, the tests have all demo cases'


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """One more than there are cores: tests of screens wait more than they compute."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_finish() -> None:
    """What is imported by now stays: the collector need not walk through it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)
