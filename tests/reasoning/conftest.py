"""Lets the test modules of this folder import `garage` and `oracle`; deterministic properties."""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("reasoning", derandomize=True, max_examples=25, deadline=None)
settings.load_profile("reasoning")
