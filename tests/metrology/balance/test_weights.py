"""Whole steps and places behind spokes."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.weights import (
    at_places,
    behind_spokes,
    in_steps,
    split_between,
)
from vibecheck.metrology.vectors import Vector

quick = settings(max_examples=60, derandomize=True, deadline=None)
wanted_weights = st.builds(Vector, st.floats(0.0, 120.0), st.floats(0.0, 359.99))


@quick
@given(wanted_weights, st.sampled_from([2.5, 5.0, 7.0875]))
def test_steps_leave_at_most_half_a_step(wanted: Vector, step: float) -> None:
    placed = in_steps(wanted, step)

    assert placed.left.amplitude <= step / 2.0 + 1e-9
    assert placed.total_g / step == pytest.approx(round(placed.total_g / step))


def test_a_weight_midway_between_two_spokes_is_shared_equally() -> None:
    """Cosine rule of two equal forces 72 degrees apart: each is m / (2 cos 36 deg)."""
    first, second = split_between(Vector(30, 36), 0.0, 72.0)

    assert first == pytest.approx(30.0 / (2.0 * math.cos(math.radians(36.0))))
    assert second == pytest.approx(first)


@quick
@given(wanted_weights, st.integers(3, 10), st.floats(0.0, 120.0))
def test_exact_split_is_the_wanted_weight(wanted: Vector, spokes: int, first: float) -> None:
    places = sorted(behind_spokes(first, spokes))
    following = next((p for p in places if p > wanted.angle_deg), places[0])
    before = places[places.index(following) - 1]

    masses = split_between(wanted, before, following)

    total = Vector(masses[0], before).xy + Vector(masses[1], following).xy
    assert abs(total - wanted.xy) < 1e-6


@quick
@given(wanted_weights, st.integers(4, 8), st.floats(0.0, 90.0))
def test_no_other_split_over_the_two_spokes_leaves_less(
    wanted: Vector, spokes: int, first: float
) -> None:
    """Compared with trying every pair of whole steps up to 200 g."""
    places = sorted(behind_spokes(first, spokes))
    following = next((p for p in places if p > wanted.angle_deg), places[0])
    before = places[places.index(following) - 1]

    placed = at_places(wanted, places, 5.0)

    least = min(
        abs(wanted.xy - Vector(5.0 * a, before).xy - Vector(5.0 * b, following).xy)
        for a, b in itertools.product(range(41), repeat=2)
    )
    assert placed.left.amplitude == pytest.approx(least, abs=1e-6)


def test_weights_sit_only_at_the_places() -> None:
    placed = at_places(Vector(42.0, 100.0), behind_spokes(10.0, 5), 5.0)

    assert {weight.angle_deg for weight in placed.weights} == {82.0, 154.0}
    assert placed.total_g == sum(weight.amplitude for weight in placed.weights)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: at_places(Vector(20, 90), [0.0]), "1 places"),
        (lambda: at_places(Vector(20, 90), [0.0, 0.0, 120.0]), "same angle"),
        (lambda: at_places(Vector(20, 200), [0.0, 90.0]), "270 degrees apart"),
        (lambda: at_places(Vector(20, 90), [0.0, math.nan]), "no number"),
        (lambda: in_steps(Vector(20, 90), 0.0), "step of 0 g"),
        (lambda: behind_spokes(0.0, 2), "2 spokes"),
        (lambda: behind_spokes(math.inf, 5), "no number"),
    ],
)
def test_bad_input_gives_one_sentence(call, words) -> None:
    with pytest.raises(ReadingError) as caught:
        call()

    assert words in str(caught.value) and "\n" not in str(caught.value)
