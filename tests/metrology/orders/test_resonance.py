"""Resonance windows, worst and onset speed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.orders.resonance import (
    ForceLaw,
    Window,
    force,
    onset_weights,
    response,
    worst_speed_weights,
)
from vibecheck.metrology.orders.tire_size import parse_size

HOP = Window("wheel hop", 10.0, 15.0, 4.0)
FINE = [float(speed) for speed in range(0, 301)]
EDGES = [0.0, 30.0, 60.0, 80.0, 100.0, 125.0, 300.0]
SMALL = parse_size("185/65R15").rolling.circumference_m
LARGE = parse_size("265/70R17").rolling.circumference_m


def mean_bin(weights: np.ndarray) -> float:
    """Mean number of the bin."""
    return float(np.arange(len(weights)) @ weights)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    order=st.floats(0.5, 12.0), law=st.sampled_from(sorted(ForceLaw)),
    circumference=st.floats(1.4, 3.2), gain=st.floats(0.0, 20.0),
)
def test_weights_are_proper_and_smooth(
    order: float, law: ForceLaw, circumference: float, gain: float
) -> None:
    """Positive, summing to one, and moved little by a little larger tire."""
    windows = (Window("any", 9.0, 16.0, gain),)
    for weigh in (worst_speed_weights, onset_weights):
        weights = weigh(order, law, circumference, windows, EDGES)
        assert weights.shape == (6,)
        assert np.all(weights > 0.0) and weights.sum() == pytest.approx(1.0)
        nudged = weigh(order, law, circumference * 1.005, windows, EDGES)
        assert np.abs(nudged - weights).max() < 0.15


def test_finer_bins_add_up_to_coarser_ones() -> None:
    """Splitting a bin splits its chance."""
    coarse = worst_speed_weights(1.0, ForceLaw.CONSTANT, SMALL, (HOP,), [0, 80, 300])
    fine = worst_speed_weights(1.0, ForceLaw.CONSTANT, SMALL, (HOP,), [0, 40, 80, 120, 300])
    assert fine[:2].sum() == pytest.approx(coarse[0])


def test_larger_tire_moves_the_worst_speed_up() -> None:
    """The same window is met later on a larger tire, by the ratio of circumferences."""
    for weigh in (worst_speed_weights, onset_weights):
        small, large = (
            weigh(1.0, ForceLaw.SPEED_SQUARED, size, (HOP,), EDGES) for size in (SMALL, LARGE)
        )
        assert mean_bin(large) > mean_bin(small) + 0.3
    low, high = (
        FINE[np.argmax(worst_speed_weights(1.0, ForceLaw.CONSTANT, size, (HOP,), FINE))]
        for size in (SMALL, LARGE)
    )
    assert high / low == pytest.approx(LARGE / SMALL, rel=0.05)


def test_second_order_is_worst_at_half_the_speed() -> None:
    """Twice per turn reaches wheel hop at half of the road speed."""
    one, two = (
        FINE[np.argmax(worst_speed_weights(order, ForceLaw.CONSTANT, SMALL, (HOP,), FINE))]
        for order in (1.0, 2.0)
    )
    assert two == pytest.approx(one / 2.0, rel=0.05)


def test_imbalance_is_worst_faster_than_runout() -> None:
    """Common practice (read in a maker's bulletin of 1989): runout shows slower than imbalance."""
    for size in (SMALL, LARGE):
        imbalance = worst_speed_weights(1.0, ForceLaw.SPEED_SQUARED, size, (HOP,), EDGES)
        runout = worst_speed_weights(1.0, ForceLaw.CONSTANT, size, (HOP,), EDGES)
        assert mean_bin(imbalance) > mean_bin(runout)
        assert mean_bin(onset_weights(1.0, ForceLaw.SPEED_SQUARED, size, (HOP,), EDGES)) > mean_bin(
            onset_weights(1.0, ForceLaw.CONSTANT, size, (HOP,), EDGES)
        )


def test_imbalance_of_a_car_tire_is_worst_at_80_to_110() -> None:
    """From memory, medium confidence: worst near 80 to 110 km/h, felt in the seat."""
    size = parse_size("205/55R16").rolling.circumference_m
    weights = worst_speed_weights(1.0, ForceLaw.SPEED_SQUARED, size, (HOP,), [0, 75, 115, 300])
    assert weights.argmax() == 1 and weights[1] > 0.6


def test_force_laws() -> None:
    """Speed squared quadruples, constant stays, torque falls as power limits it."""
    speeds = np.array([40.0, 50.0, 100.0])
    assert force(speeds, ForceLaw.SPEED_SQUARED)[2] == pytest.approx(
        4.0 * force(speeds, ForceLaw.SPEED_SQUARED)[1]
    )
    assert list(force(speeds, ForceLaw.CONSTANT)) == [1.0, 1.0, 1.0]
    assert list(force(speeds, ForceLaw.TORQUE)) == [1.0, 1.0, 0.5]


def test_response_of_a_window() -> None:
    """Full gain in the middle, half at the edges, none far above."""
    middle = math.sqrt(150.0)
    bare = response(np.array([middle, 10.0, 15.0, 200.0]), ())
    extra = response(np.array([middle, 10.0, 15.0, 200.0]), (HOP,)) / bare - 1.0
    assert extra == pytest.approx([4.0, 2.0, 2.0, 0.0], abs=1e-6)


@pytest.mark.parametrize(
    ("order", "circumference", "window", "edges"),
    [
        (0.0, 2.0, HOP, EDGES),
        (math.nan, 2.0, HOP, EDGES),
        (1.0, -2.0, HOP, EDGES),
        (1.0, 2.0, Window("bad", 15.0, 10.0, 4.0), EDGES),
        (1.0, 2.0, Window("bad", 0.0, 10.0, 4.0), EDGES),
        (1.0, 2.0, Window("bad", 5.0, 10.0, -1.0), EDGES),
        (1.0, 2.0, HOP, [0.0]),
        (1.0, 2.0, HOP, [0.0, 50.0, 50.0]),
        (1.0, 2.0, HOP, [-10.0, 50.0]),
    ],
)
def test_refusals(order: float, circumference: float, window: Window, edges: list[float]) -> None:
    """Orders, circumferences, windows and edges that cannot be are refused."""
    for weigh in (worst_speed_weights, onset_weights):
        with pytest.raises(ReadingError):
            weigh(order, ForceLaw.CONSTANT, circumference, (window,), edges)
