"""First-harmonic vectors and the angle convention."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.vectors import (
    Vector,
    add,
    complex_of,
    difference,
    turned,
    vector_of,
    wrap,
)

QUICK = settings(max_examples=60, derandomize=True, deadline=None)
angles = st.floats(-2000.0, 2000.0)
amplitudes = st.floats(0.001, 10.0)


@QUICK
@given(angles)
def test_wrap_stays_in_one_turn(angle: float) -> None:
    """Wrapping keeps the direction and lands in [0, 360)."""
    assert 0.0 <= wrap(angle) < 360.0
    assert math.cos(math.radians(wrap(angle))) == pytest.approx(
        math.cos(math.radians(angle)), abs=1e-9
    )


def test_wrap_of_a_tiny_negative_angle() -> None:
    """Rounding must not give 360."""
    assert wrap(-1e-20) == 0.0


def test_difference_is_the_short_way() -> None:
    """From 350 to 10 is +20; half a turn is +180."""
    assert difference(10.0, 350.0) == pytest.approx(20.0)
    assert difference(350.0, 10.0) == pytest.approx(-20.0)
    assert difference(180.0, 0.0) == 180.0
    assert difference(0.0, 180.0) == 180.0


@QUICK
@given(amplitudes, angles)
def test_vector_and_number_are_the_same(amplitude: float, angle: float) -> None:
    """Going to a complex number and back keeps amplitude and angle."""
    back = vector_of(complex_of(amplitude, angle))
    assert back.amplitude == pytest.approx(amplitude)
    assert difference(back.angle_deg, angle) == pytest.approx(0.0, abs=1e-6)


def test_vectors_add() -> None:
    """3 at 0 deg and 4 at 90 deg make 5 at 53.13 deg; opposite ones cancel."""
    total = add([Vector(3.0, 0.0), Vector(4.0, 90.0)])
    assert total.amplitude == pytest.approx(5.0)
    assert total.angle_deg == pytest.approx(53.130102, abs=1e-5)
    assert add([Vector(1.0, 30.0), Vector(1.0, 210.0)]).amplitude == pytest.approx(0.0, abs=1e-12)
    assert add([]) == Vector(0.0, 0.0)


def test_high_spot_and_tir_of_a_sampled_harmonic() -> None:
    """A sampled A cos(theta - phi) is highest at phi and spans 2 A."""
    vector = Vector(0.3, 130.0)
    readings = [
        (vector.xy * complex_of(1.0, -theta)).real for theta in range(360)
    ]
    assert readings.index(max(readings)) == 130
    assert max(readings) - min(readings) == pytest.approx(vector.tir)


def test_turning_moves_the_high_spot() -> None:
    """A tire turned 90 deg in the direction of rotation takes its high spot along."""
    assert turned(Vector(0.2, 300.0), 90.0) == Vector(0.2, 30.0)
