"""One thread for the products of each worker, room for the rule graphs of all cars that the tests
walk through, and memory that is kept from test to test."""

from __future__ import annotations

import gc
import os

# Before numpy is loaded: with as many workers as cores, more threads wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from vibecheck.memory import keep_memory  # noqa: E402
from vibecheck.session import inference  # noqa: E402

keep_memory()
inference._KEPT_NETWORKS = 64  # a person has one car in hand, the tests have all demo cases'


def pytest_collection_finish() -> None:
    """What is imported by now stays: the collector need not walk through it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)
