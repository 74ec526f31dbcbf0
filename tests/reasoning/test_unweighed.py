"""What sets that were not grown weigh, guessed from those that were."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from msgspec.structs import replace

from vibecheck.reasoning.unweighed import Explained, Passed, by_cause, fitted, guess

USUAL = Explained()
LAWS = st.builds(Explained, level=st.floats(-3.0, 0.0), slope=st.floats(-0.9, 0.0),
                 tilt=st.floats(-0.4, 0.0))


def drawn(seed: int, count: int = 40) -> tuple[np.ndarray, np.ndarray]:
    """Reach and weight of some sets; each share is under 1 for any of the laws."""
    rng = np.random.default_rng(seed)
    return np.exp(rng.uniform(1.0, 4.0, count)), np.exp(rng.uniform(-1.0, 0.0, count))


@given(LAWS, st.integers(0, 1000))
@example(Explained(level=0.0, slope=0.0, tilt=-0.328125), 1)
@example(Explained(level=0.0, slope=-0.3, tilt=0.0), 1)
@example(Explained(level=-1.0, slope=0.0, tilt=0.0), 1)
def test_a_law_that_holds_is_found(law: Explained, seed: int) -> None:
    reach, weight = drawn(seed)
    law = replace(law, level=law.level - 0.4)  # so that no share is cut at 1
    added = reach * law.share(reach, weight)

    found = fitted(reach, weight, added, USUAL)
    assert (found.level, found.slope, found.tilt) == pytest.approx(
        (law.level, law.slope, law.tilt), abs=1e-6)


@given(st.integers(0, 1000))
def test_heavier_sets_and_sets_of_more_reach_never_gain_a_larger_share(seed: int) -> None:
    rng = np.random.default_rng(seed)
    reach, weight = drawn(seed)
    found = fitted(reach, weight, reach * rng.uniform(0.01, 1.0, len(reach)), USUAL)

    assert found.slope <= 0.0 and found.tilt <= 0.0


def test_too_few_sets_tell_nothing_and_keep_no_tilt() -> None:
    reach, weight = drawn(1, 10)
    usual = Explained(-0.5, -0.2, -0.3)

    assert fitted(reach, weight, reach, usual) == Explained(-0.5, -0.2, 0.0)


@given(LAWS, st.floats(1e-9, 1e9), st.floats(1e-12, 1.0))
def test_never_more_than_the_reach(law: Explained, reach: float, weight: float) -> None:
    share = law.share(np.array([reach]), np.array([weight]))

    assert 0.0 < share[0] <= 1.0


def test_one_set_passed_over_by_hand() -> None:
    """Of {0} the child {0, 1} was passed over: causes 2 and 3 add to it 0.3 and 0.1, times a half.

    Worth 0.5; so 0.5 x (0.3 + 0.1) / 2 = 0.1, three quarters of it with cause 2.
    """
    gains = np.array([[0.0, 0.5, 0.3, 0.1]])
    after = np.array([[0.9, 0.4, 0.1, 0.0]])
    weight = np.array([[0.0, 0.5, 0.0, 0.0]])
    passed = Passed(0.0, np.array([[0]]), weight, weight * after, gains, after)

    found = guess(passed, Explained(float(np.log(0.5)), 0.0))
    assert found.total == pytest.approx(0.1)
    assert found.columns == pytest.approx([0.1, 0.1, 0.075, 0.025])


def test_shares_by_cause() -> None:
    shares = np.array([[0.0, 0.25, 0.5], [0.0, 0.0, 1.0]])

    columns, total = by_cause(np.array([[0], [1]]), shares)
    assert columns == pytest.approx([0.75, 1.25, 1.5])
    assert total == pytest.approx(1.75)
