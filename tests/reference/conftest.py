"""Lets the reference tests of the reasoning import `garage` and `oracle` of tests/reasoning."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "reasoning"))
