"""A passed resonance moves an order by what the phase of its response says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.record.resonance_bias import shift_of

NOISE = 1e-8


def swept(
    mode: float, damping: float, start: float, end: float, force: float = 0.0, turns: float = 800.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """Strength, frequency and its change in 100 segments, and the shift, from the response."""
    hertz = np.linspace(start, end, 2001)
    response = hertz**force / (1.0 - (hertz / mode) ** 2 + 2j * damping * hertz / mode)
    phase = np.unwrap(np.angle(response))
    power = np.abs(response) ** 2
    power /= power.mean()
    a_turn = np.gradient(phase, turns / 2000.0) / (2.0 * np.pi)
    middle = np.arange(10, 2000, 20)
    change = np.full(len(middle), (end - start) / turns)
    return power[middle], hertz[middle], change, float(np.average(a_turn, weights=power))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(9.0, 17.0), st.floats(0.08, 0.35), st.floats(7.0, 11.0), st.floats(14.0, 20.0),
       st.sampled_from([0.0, 2.0]))
def test_the_shift_of_a_known_resonance_is_found(
    mode: float, damping: float, start: float, end: float, force: float
) -> None:
    strength, hertz, change, wanted = swept(mode, damping, start, end, force)

    shift, u_shift = shift_of(strength, hertz, change, NOISE)

    assert wanted < 0.0
    assert abs(shift - wanted) <= max(4.0 * u_shift, 0.2 * abs(wanted))


def test_up_and_down_move_it_opposite_ways() -> None:
    strength, hertz, change, _ = swept(13.0, 0.15, 8.0, 16.0)

    up, u_up = shift_of(strength, hertz, change, NOISE)
    down, u_down = shift_of(strength[::-1], hertz[::-1], -change, NOISE)

    assert up == pytest.approx(-down) and u_up == pytest.approx(u_down)
    assert up < 0.0 < down


def test_up_and_back_down_leaves_it_where_it_is() -> None:
    strength, hertz, change, _ = swept(13.0, 0.15, 8.0, 16.0)

    shift, _ = shift_of(np.concatenate([strength, strength[::-1]]),
                        np.concatenate([hertz, hertz[::-1]]),
                        np.concatenate([change, -change]), NOISE)

    assert shift == pytest.approx(0.0, abs=1e-9)


def test_a_steady_speed_moves_nothing() -> None:
    rng = np.random.default_rng(4)

    assert shift_of(rng.uniform(0.5, 1.5, 50), np.full(50, 13.0), np.zeros(50), 0.01) == (
        0.0, 0.0)


def test_the_unit_of_the_strength_does_not_matter() -> None:
    strength, hertz, change, _ = swept(12.0, 0.2, 8.0, 16.0)

    small = shift_of(strength * 1e-6, hertz, change, NOISE * 1e-6)

    assert small == pytest.approx(shift_of(strength, hertz, change, NOISE))


def test_noise_that_hides_the_shape_leaves_it_open() -> None:
    """The same sweep, its strength known within a few percent or hardly at all."""
    strength, hertz, change, _ = swept(13.0, 0.15, 8.0, 16.0)

    clear = shift_of(strength, hertz, change, NOISE)[1]
    hidden = shift_of(strength, hertz, change, 30.0)[1]

    assert hidden > 3.0 * clear


def test_no_strength_no_shift() -> None:
    assert shift_of(np.full(5, -1.0), np.full(5, 10.0), np.full(5, 0.1), 1.0) == (0.0, 0.0)
