"""Moved weights as typed: the law of the lever, forces and moments kept, a spinning rotor."""

from __future__ import annotations

import cmath
import math

import pytest
from calculator_helpers import refusal, said, texts
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.calculators.moveweight import CALCULATOR, run
from vibecheck.metrology.units.choice import US

TWO = {"inner": "35 g at 120", "outer": "20 g at 300", "inner_radius": "200", "distance": "160"}


def test_mass_times_radius_stays() -> None:
    """U = m r (ISO 21940-2, from memory): 35 g at 200 mm is 7,000 g mm, so 40 g at 175 mm."""
    (after,) = run(texts(inner="35 g at 120", inner_radius="200", new_inner_radius="175")).after

    assert (40.0, 120.0) == (pytest.approx(after.amplitude), pytest.approx(after.angle_deg))


def test_ounce_inches() -> None:
    """1 oz at 8 in is 8 oz in, which 1.143 oz make at 7 in (by hand)."""
    found = run(texts(inner="1 oz at 40", inner_radius="8 in", new_inner_radius="7 in"))

    assert "1.143 oz at 40 deg (1:30 o'clock) does what 1.000 oz" in said("moveweight", found, US)


def test_a_force_between_two_planes_parts_by_the_law_of_the_lever() -> None:
    """30 g in the old outer plane, 120 mm out; new planes at 0 and 160 mm: 7.5 and 22.5 g."""
    inner, outer = run(texts(inner="0 g at 0", outer="30 g at 90", inner_radius="200",
                             distance="120", new_distance="160")).after

    assert [7.5, 22.5] == pytest.approx([inner.amplitude, outer.amplitude])
    assert [90.0, 90.0] == pytest.approx([inner.angle_deg, outer.angle_deg])


def test_planes_that_stay_change_nothing() -> None:
    found = run(TWO)

    assert [each.xy for each in found.before] == pytest.approx([each.xy for each in found.after])


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    weights=st.tuples(st.floats(0.0, 90.0), st.floats(0.0, 359.0), st.floats(0.0, 90.0),
                      st.floats(0.0, 359.0)),
    distance=st.floats(60.0, 200.0), offset=st.floats(-40.0, 40.0),
)
def test_force_and_moment_are_what_they_were(
    weights: tuple[float, float, float, float], distance: float, offset: float
) -> None:
    """Statics of a rigid body: the sum of forces and of moments about any point (exact)."""
    one, at, two, there = (f"{each:.3f}" for each in weights)
    after = run(texts(
        inner=f"{one} g at {at}", outer=f"{two} g at {there}", inner_radius="200",
        outer_radius="190", distance="160", new_inner_radius="180", new_outer_radius="170",
        new_distance=f"{distance:.3f}", offset=f"{offset:.3f}")).after
    old = [float(size) * radius * cmath.exp(1j * math.radians(float(angle)))
           for size, angle, radius in ((one, at, 200.0), (two, there, 190.0))]
    new = [each.xy * radius for each, radius in zip(after, (180.0, 170.0), strict=True)]

    start, apart = float(f"{offset:.3f}"), float(f"{distance:.3f}")
    assert abs(sum(old) - sum(new)) < 1e-6
    assert abs(old[1] * 160.0 - new[0] * start - new[1] * (start + apart)) < 1e-3


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(TWO))


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(inner_radius="200"), "inner", "no weight"),
        (texts(inner="35", inner_radius="200"), "inner", "size at an angle"),
        (texts(inner="35 at 1"), "inner_radius", "missing"),
        (texts(inner="35 at 1", inner_radius="200"), "new_inner_radius", "missing"),
        (texts(inner="35 at 1", inner_radius="0.2"), "inner_radius", "0.2 mm"),
        (texts(inner="35 at 1", inner_radius="9 m"), "inner_radius", "more than"),
        (texts(inner="35 at 1", inner_radius="200", distance="160"), "outer", "no weight"),
        (texts(inner="35 at 1", outer="1 at 1", inner_radius="200"), "distance", "missing"),
        (texts(**TWO, offset="9 m"), "offset", "so far off"),
        (texts(inner="4 kg at 1", inner_radius="900", new_inner_radius="20"), "inner", "needed"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
