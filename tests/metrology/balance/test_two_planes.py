"""Static and couple: identities, moves between planes, and what a static weight leaves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.two_planes import (
    EXPAND_2D,
    RimPlanes,
    angle_uncertainty_deg,
    moved_to_planes,
    static_and_couple,
    static_only,
)
from vibecheck.metrology.vectors import Vector, vector_of
from vibecheck.virtual.balancer import indicated

PLANES = RimPlanes(200.0, 180.0, 170.0)
grams = st.floats(0.0, 200.0)
degrees = st.floats(0.0, 359.99)
weights = st.builds(Vector, grams, degrees)
quick = settings(max_examples=60, derandomize=True, deadline=None)


def close(one: Vector, other: Vector, tolerance: float = 1e-6) -> bool:
    return abs(one.xy - other.xy) <= tolerance


def test_equal_weights_side_by_side_are_purely_static() -> None:
    parts = static_and_couple(Vector(20, 40), Vector(20, 40), RimPlanes(200, 200, 150))

    assert parts.static_gmm.amplitude == pytest.approx(8000.0)
    assert parts.static_g.amplitude == pytest.approx(40.0)
    assert parts.static_gmm.angle_deg == pytest.approx(40.0)
    assert parts.couple_gmm2.amplitude == pytest.approx(0.0, abs=1e-9)


def test_opposite_equal_weights_are_purely_couple() -> None:
    """Moment of a pair of forces: force times their distance (any statics text)."""
    parts = static_and_couple(Vector(20, 210), Vector(20, 30), RimPlanes(200, 200, 150))

    assert parts.static_gmm.amplitude == pytest.approx(0.0, abs=1e-9)
    assert parts.couple_gmm2.amplitude == pytest.approx(20.0 * 200.0 * 150.0)
    assert parts.couple_gmm2.angle_deg == pytest.approx(30.0)
    assert parts.couple_g.amplitude == pytest.approx(20.0)


@quick
@given(weights, weights)
def test_parting_and_joining_give_the_weights_back(inner: Vector, outer: Vector) -> None:
    parts = static_and_couple(inner, outer, PLANES)

    static, half = parts.static_gmm.xy / 2.0, parts.couple_gmm2.xy / PLANES.distance_mm
    assert close(vector_of((static - half) / PLANES.inner_radius_mm), inner)
    assert close(vector_of((static + half) / PLANES.outer_radius_mm), outer)


@quick
@given(weights, weights, st.floats(-60.0, 60.0), st.floats(20.0, 300.0))
def test_other_planes_keep_force_and_moment(
    inner: Vector, outer: Vector, offset: float, distance: float
) -> None:
    used = RimPlanes(150.0, 190.0, distance)

    new_inner, new_outer = moved_to_planes_wide(inner, outer, used, offset)

    force = inner.xy * 200.0 + outer.xy * 180.0
    moment = outer.xy * 180.0 * 170.0
    new_force = new_inner.xy * 150.0 + new_outer.xy * 190.0
    new_moment = new_inner.xy * 150.0 * offset + new_outer.xy * 190.0 * (offset + distance)
    assert abs(force - new_force) < 1e-6 * (1.0 + abs(force))
    assert abs(moment - new_moment) < 1e-6 * (1.0 + abs(moment) + abs(force) * 400.0)


def moved_to_planes_wide(
    inner: Vector, outer: Vector, used: RimPlanes, offset: float
) -> tuple[Vector, Vector]:
    return moved_to_planes(inner, outer, PLANES, used, offset)


@quick
@given(weights, weights, st.floats(0.0, 1.0))
def test_static_weight_and_left_couple_make_up_the_whole(
    inner: Vector, outer: Vector, share: float
) -> None:
    """The one weight plus the couple it leaves do what the two weights did (force and moment)."""
    only = static_only(inner, outer, PLANES, share)

    radius = 200.0 + share * (180.0 - 200.0)
    each = only.couple_g.xy * 190.0
    force = only.weight.xy * radius
    moment = only.weight.xy * radius * share * 170.0 + each * 170.0
    assert abs(force - (inner.xy * 200.0 + outer.xy * 180.0)) < 1e-5
    assert abs(moment - outer.xy * 180.0 * 170.0) < 1e-3


def test_static_weight_on_a_couple_wheel_leaves_it_all() -> None:
    """Common practice, no source: a static-only balance cannot cure a pure couple."""
    only = static_only(Vector(30, 180), Vector(30, 0), RimPlanes(200, 200, 150))

    assert only.weight.amplitude == pytest.approx(0.0, abs=1e-9)
    assert only.couple_g.amplitude == pytest.approx(30.0)


def test_coverage_of_static_and_couple_circles() -> None:
    """The 95 % circle holds the truth in 93 to 97 % of 2,000 noisy indications."""
    rng = np.random.default_rng(11)
    inner, outer = Vector(35, 70), Vector(20, 215)
    truth = static_and_couple(inner, outer, PLANES)
    hits = np.zeros(2)

    for _ in range(2000):
        shown = indicated(inner, outer, 2.5, rng)
        parts = static_and_couple(*shown, PLANES, u_grams=2.5)
        hits += [
            abs(parts.static_gmm.xy - truth.static_gmm.xy) <= EXPAND_2D * parts.u_static_gmm,
            abs(parts.couple_gmm2.xy - truth.couple_gmm2.xy) <= EXPAND_2D * parts.u_couple_gmm2,
        ]

    assert (0.93 <= hits / 2000).all() and (hits / 2000 <= 0.97).all()


def test_a_display_in_steps_shows_whole_steps() -> None:
    inner, outer = indicated(Vector(23, 70), Vector(3.9, 10), 0.0, np.random.default_rng(0), 5.0)

    assert (inner.amplitude, outer.amplitude) == (25.0, 5.0)


def test_angle_is_unknown_where_the_vector_is_noise() -> None:
    assert angle_uncertainty_deg(1.0, 2.0) == 180.0
    assert angle_uncertainty_deg(100.0, 1.0) == pytest.approx(math.degrees(0.01), rel=1e-3)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: RimPlanes(0.0, 180.0, 150.0), "inner radius of 0 mm"),
        (lambda: RimPlanes(200.0, 180.0, math.nan), "distance of nan mm"),
        (lambda: static_and_couple(Vector(-1, 0), Vector(1, 0), PLANES), "-1 g"),
        (lambda: static_and_couple(Vector(1, math.inf), Vector(1, 0), PLANES), "inf degrees"),
        (lambda: static_and_couple(Vector(1, 0), Vector(1e9, 0), PLANES), "outer plane"),
        (lambda: static_and_couple(Vector(1, 0), Vector(1, 0), PLANES, -2.0), "-2 g"),
        (lambda: static_only(Vector(1, 0), Vector(1, 0), PLANES, 1.5), "1.5"),
    ],
)
def test_bad_input_gives_one_sentence(call, words) -> None:
    with pytest.raises(ReadingError) as caught:
        call()

    assert words in str(caught.value) and "\n" not in str(caught.value)
