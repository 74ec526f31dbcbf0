"""What several test modules of the benches need."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pytest

from vibecheck.errors import InputError
from vibecheck.metrology.vectors import Vector


def refusal(calculate: Callable[[], object]) -> InputError:
    """The complaint that a bench raises; one sentence of it."""
    with pytest.raises(InputError) as raised:
        calculate()
    assert "\n" not in str(raised.value)
    return raised.value


def round_text(vector: Vector, count: int = 18, unit: str = "mm") -> str:
    """Readings of a first harmonic, evenly round the turn, to a hundredth."""
    heights = [vector.amplitude * math.cos(math.radians(360.0 * place / count - vector.angle_deg))
               for place in range(count)]
    return " ".join(f"{height:.2f}" for height in heights) + f" {unit}"


def values_of(assignments: Sequence[object]) -> dict[str, str]:
    """Value by finding."""
    return {each.finding: each.value for each in assignments}  # type: ignore[attr-defined]
