"""The best turn of tire on wheel and wheel on hub."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.places import Mark, PartTurn, Way
from vibecheck.metrology.stack.matching import BestTurn, Worth, best_turn, turns_table
from vibecheck.metrology.vectors import Vector, difference, vector_of
from vibecheck.virtual.dial import mounted

WHEEL, TIRE = Vector(0.30, 110.0), Vector(0.40, 20.0)
QUICK = settings(max_examples=50, derandomize=True, deadline=None)
vectors = st.builds(Vector, st.floats(0.05, 1.0), st.floats(0.0, 359.9))


def test_high_spot_goes_to_low_spot() -> None:
    """Common practice, no source: the tire's high spot belongs at the wheel's low spot."""
    match = best_turn(WHEEL, TIRE, 0.02, 0.02)
    assert match.turn_deg == pytest.approx(270.0)
    assert match.after.amplitude == pytest.approx(0.10)
    assert match.before.amplitude == pytest.approx(0.5)
    assert match.worth is Worth.YES and not match.at_best


def test_a_turn_has_a_sense_and_a_mark() -> None:
    """270 deg clockwise is 90 deg counterclockwise from the valve; the wrong way is far worse."""
    match = best_turn(WHEEL, TIRE, 0.02, 0.02)
    assert match.turning == PartTurn(pytest.approx(90.0), Way.COUNTERCLOCKWISE, Mark.VALVE_STEM)
    assert match.wrong_way == pytest.approx(0.7) and match.after.amplitude == pytest.approx(0.1)
    on_hub = best_turn(Vector(0.2, 0.0), Vector(0.3, 110.0), 0.01, 0.01, stud_count=5).turning
    assert on_hub == PartTurn(pytest.approx(72.0), Way.CLOCKWISE, Mark.MARKED_STUD)


@QUICK
@given(carrier=vectors, part=vectors)
def test_no_turn_is_better(carrier: Vector, part: Vector) -> None:
    """A bounded search over the turn (scipy) finds nothing below the predicted amplitude."""
    match = best_turn(carrier, part, 0.01, 0.01)
    found = scipy.optimize.minimize_scalar(
        lambda turn: mounted(part, carrier, Vector(0.0, 0.0), turn).amplitude,
        bounds=(match.turn_deg - 180.0, match.turn_deg + 180.0), method="bounded",
    )
    assert match.after.amplitude <= found.fun + 1e-9
    there = mounted(part, carrier, Vector(0.0, 0.0), match.turn_deg)
    assert there.xy == pytest.approx(match.after.xy, abs=1e-12)


@QUICK
@given(carrier=vectors, part=vectors, studs=st.integers(3, 8))
def test_studs_allow_only_their_angles(carrier: Vector, part: Vector, studs: int) -> None:
    """A wheel on a hub turns by whole studs; the best of them is chosen."""
    match = best_turn(carrier, part, 0.01, 0.01, stud_count=studs)
    steps = match.turn_deg * studs / 360.0
    assert steps == pytest.approx(round(steps), abs=1e-9)
    table = turns_table(carrier, part, studs)
    assert len(table) == studs
    assert match.after.amplitude == pytest.approx(min(amplitude for _, amplitude in table))
    assert match.gain >= -1e-12


def test_coverage_of_prediction_and_gain() -> None:
    """Turned as told, the truth lies in the stated interval in 93 to 97 % of 2,000 draws."""
    rng = np.random.default_rng(31)
    draws, carrier_spread, part_spread = 2000, 0.03, 0.02
    after_hits = gain_hits = before_hits = 0
    for error in rng.normal(size=(draws, 4)):
        carrier = vector_of(WHEEL.xy + carrier_spread / 2.0 * complex(*error[:2]))
        part = vector_of(TIRE.xy + part_spread / 2.0 * complex(*error[2:]))
        match: BestTurn = best_turn(carrier, part, carrier_spread, part_spread, stud_count=5)
        still = Vector(0.0, 0.0)
        now = mounted(TIRE, WHEEL, still).amplitude
        later = mounted(TIRE, WHEEL, still, match.turn_deg).amplitude
        before_hits += abs(match.before.amplitude - now) <= match.uncertainty_before
        after_hits += match.low <= later <= match.high
        gain_hits += abs(match.gain - (now - later)) <= match.uncertainty_gain
    for hits in (before_hits, after_hits, gain_hits):
        assert 0.93 <= hits / draws <= 0.97


def test_words_for_the_work() -> None:
    """Within limit, no gain, unsure, and not enough are told apart."""
    small = best_turn(Vector(0.05, 0.0), Vector(0.05, 0.0), 0.01, 0.01, limit_tir=0.5)
    assert small.worth is Worth.NOT_NEEDED
    placed = best_turn(Vector(0.3, 0.0), Vector(0.3, 181.0), 0.01, 0.01)
    assert placed.worth is Worth.NO or placed.at_best
    vague = best_turn(Vector(0.3, 0.0), Vector(0.2, 60.0), 0.5, 0.5)
    assert vague.worth is Worth.UNSURE
    big = best_turn(Vector(2.0, 0.0), Vector(0.9, 30.0), 0.05, 0.05, limit_tir=1.0)
    assert big.worth is Worth.NOT_ENOUGH


def test_force_variation_is_the_same_sum() -> None:
    """Vectors in newtons match as those in millimetres do."""
    match = best_turn(Vector(60.0, 200.0), Vector(80.0, 250.0), 5.0, 5.0)
    assert match.after.amplitude == pytest.approx(20.0)
    assert difference(match.turn_deg, 130.0) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("carrier", "spread", "studs", "said"),
    [
        (Vector(-0.1, 0.0), 0.01, None, "amplitude"),
        (Vector(math.nan, 0.0), 0.01, None, "amplitude"),
        (Vector(0.1, math.inf), 0.01, None, "amplitude"),
        (Vector(0.1, 0.0), -0.01, None, "uncertainty"),
        (Vector(0.1, 0.0), 0.01, 2, "2 studs"),
        (Vector(0.1, 0.0), 0.01, 40, "40 studs"),
    ],
)
def test_refusals(carrier: Vector, spread: float, studs: int | None, said: str) -> None:
    """Numbers that cannot be are refused in one sentence."""
    with pytest.raises(ReadingError, match=said):
        best_turn(carrier, TIRE, spread, 0.01, studs)
