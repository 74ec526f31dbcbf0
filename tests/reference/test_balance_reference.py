"""Balancing against published numbers.

1. ISO 21940-11:2016 (ISO 1940-1:2003): U_per = 1000 G m / omega and its guide grades, from memory;
   the standard's kind of example: G 2.5, 3600 kg, 3000 1/min: e_per 8 um, U_per 28.6e3 g mm
   (memory, medium; arithmetic checked).
2. S. S. Rao, Mechanical Vibrations, chapter 9, two-plane example (turbine rotor), data and
   answer from memory: original imbalance 10.0561 oz at 145.5548 deg and 5.8774 oz at 248.2559 deg.
3. G. Genta / den Hartog: closed form of one mass on a spring under an imbalance.
"""

from __future__ import annotations

import math

import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.limits import (
    CAR_WHEEL_GRADE,
    GRADES_MM_S,
    force_n,
    permissible_residual,
    wheel_rpm,
)
from vibecheck.metrology.balance.trial_weight import two_planes
from vibecheck.metrology.balance.two_planes import RimPlanes
from vibecheck.metrology.vectors import Vector, wrap
from vibecheck.virtual.balancer import Rotor, run_rotor


def test_worked_grade_value_of_the_standard() -> None:
    """[1] G 2.5, 3600 kg, 3000 1/min."""
    limit = permissible_residual(2.5, 3600.0, 3000.0)

    assert limit.eccentricity_mm * 1000.0 == pytest.approx(8.0, rel=0.01)
    assert limit.total_gmm == pytest.approx(28.6e3, rel=0.003)


def test_car_wheel_at_120_kmh() -> None:
    """Calculated by hand: 20 kg, 1.95 m, G 40: 107 rad/s, 0.37 mm, 7450 g mm, 37 g at 200 mm."""
    rpm = wheel_rpm(120.0, 1.95)

    limit = permissible_residual(CAR_WHEEL_GRADE, 20.0, rpm)

    assert rpm / 60.0 == pytest.approx(17.1, abs=0.05)
    assert limit.eccentricity_mm == pytest.approx(0.37, abs=0.005)
    assert limit.total_gmm == pytest.approx(7450.0, rel=0.002)
    assert limit.grams_at(200.0) == pytest.approx(37.0, abs=0.3)


def test_force_of_ten_grams() -> None:
    """Calculated by hand: 10 g at 200 mm and 107 rad/s pull with 23 N."""
    rpm = 107.0 * 60.0 / (2.0 * math.pi)

    assert force_n(10.0 * 200.0, rpm) == pytest.approx(23.0, abs=0.2)


def test_grades_step_by_two_and_a_half() -> None:
    """[1] Each grade is 2.5 times the one below (rounded to preferred numbers)."""
    for lower, upper in zip(GRADES_MM_S, GRADES_MM_S[1:], strict=False):
        assert upper / lower == pytest.approx(2.5, rel=0.02)


def test_grade_and_eccentricity_are_one_statement() -> None:
    """[1] G = e_per omega; and U = m e."""
    limit = permissible_residual(6.3, 12.0, 900.0)

    assert limit.eccentricity_mm * 900.0 * 2.0 * math.pi / 60.0 == pytest.approx(6.3)
    assert limit.total_gmm == pytest.approx(12_000.0 * limit.eccentricity_mm)


def test_two_plane_textbook_example() -> None:
    """[2] Readings in mils, weights in ounces; the correction lies opposite the imbalance."""
    found = two_planes(
        (Vector(8.5, 60), Vector(6.5, 205)),
        (Vector(6.0, 125), Vector(4.5, 230)),
        (Vector(6.0, 35), Vector(10.5, 160)),
        (Vector(10.0, 270), Vector(12.0, 180)),
    )

    left, right = found.weights
    assert left.amplitude == pytest.approx(10.0561, abs=5e-4)
    assert wrap(left.angle_deg + 180.0) == pytest.approx(145.5548, abs=5e-3)
    assert right.amplitude == pytest.approx(5.8774, abs=5e-4)
    assert wrap(right.angle_deg + 180.0) == pytest.approx(248.2559, abs=5e-3)


def test_rotor_simulation_against_the_closed_form() -> None:
    """[3] Symmetric rotor, static imbalance: m e w^2 / sqrt((k - m w^2)^2 + (c w)^2)."""
    rotor = Rotor(bearings_m=(-0.1, 0.1), stiffness_n_m=(1e5, 1e5), damping_ns_m=(300.0, 300.0),
                  planes_m=(-0.08, 0.08))
    omega = 2.0 * math.pi * 700.0 / 60.0
    weights = (Vector(20.0, 30.0), Vector(20.0, 30.0))

    reading = run_rotor(rotor, RimPlanes(200.0, 200.0, 160.0), 700.0, [weights])[0][0]

    force = 40e-3 * 0.2 * omega**2
    answer = force / complex(2e5 - rotor.mass_kg * omega**2, 600.0 * omega)
    assert reading.amplitude == pytest.approx(abs(answer) * 1e6, rel=1e-4)
    lag = math.degrees(math.atan2(answer.imag, answer.real))
    assert reading.angle_deg == pytest.approx(wrap(30.0 + lag), abs=0.01)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: permissible_residual(5.0, 20.0, 900.0), "G 5 is not a balance grade"),
        (lambda: permissible_residual(40.0, 0.0, 900.0), "mass of 0 kg"),
        (lambda: permissible_residual(40.0, 20.0, math.nan), "speed of nan"),
        (lambda: wheel_rpm(100.0, -1.0), "circumference of -1 m"),
        (lambda: force_n(-1.0, 900.0), "imbalance of -1"),
    ],
)
def test_bad_input_gives_one_sentence(call, words) -> None:
    with pytest.raises(ReadingError) as caught:
        call()

    assert words in str(caught.value) and "\n" not in str(caught.value)
