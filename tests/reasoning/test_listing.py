"""Which sets are listed, and which stand for all others in predictions."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.reasoning.listing import Weighed, by_weight, heaviest, standing_for_all

LOG_TOP = -3.0


def size(shares: np.ndarray, listed: int) -> Weighed:
    """Pairs of two causes: row p is cause p, with each cause of the columns added."""
    members = np.arange(len(shares))[:, None]
    return Weighed(members, LOG_TOP, shares, heaviest(shares.ravel(), listed))


@given(st.integers(0, 1000), st.integers(1, 30))
def test_the_heaviest_are_those_of_a_sort(seed: int, most: int) -> None:
    values = np.exp(np.random.default_rng(seed).uniform(-30.0, 0.0, 20))

    found = heaviest(values, most)
    assert set(found) == set(np.argsort(-values)[:most])
    assert (np.diff(found) > 0).all()


def test_nothing_below_the_least_is_listed_and_nothing_of_no_weight() -> None:
    assert heaviest(np.array([0.5, 0.0, 1e-9, 0.2]), 10).tolist() == [0, 2, 3]
    assert heaviest(np.array([0.5, 0.0, 1e-9, 0.2]), 10, 0.2).tolist() == [0, 3]


def test_members_and_weights_of_what_is_listed() -> None:
    members, logs = size(np.array([[0.0, 1.0, 0.25], [0.0, 0.0, 0.5]]), 2).listed

    assert members.tolist() == [[0, 1], [1, 2]]
    assert logs == pytest.approx([LOG_TOP, LOG_TOP + np.log(0.5)])


def test_sets_of_all_sizes_stand_by_weight_the_shorter_filled_up() -> None:
    members, logs = by_weight([
        (np.zeros((1, 0), dtype=np.intp), np.array([-2.0])), (np.array([[3], [1]]),
         np.array([-1.0, -4.0])), (np.array([[1, 2]]), np.array([-3.0]))])

    assert members.tolist() == [[3, -1], [-1, -1], [1, 2], [1, -1]]
    assert logs.tolist() == [-1.0, -2.0, -3.0, -4.0]


@given(st.integers(0, 1000))
def test_what_stands_for_all_keeps_the_share_of_every_cause(seed: int) -> None:
    """Two of 60 pairs as they are, 5,000 drawn for the rest: a share is off by a draw per pair."""
    shares = np.random.default_rng(seed).uniform(0.0, 1.0, (6, 10))
    whole = size(shares, 8)
    members, weights = standing_for_all(*by_weight([whole.listed]), (whole,), 2, 5000)

    assert weights.sum() == pytest.approx(1.0)
    assert len(weights) == 5002
    for cause in range(6):
        kept = float(weights[members[:, 0] == cause].sum())
        assert kept == pytest.approx(shares[cause].sum() / shares.sum(), abs=10 / 5000)


def test_where_all_is_listed_nothing_is_drawn() -> None:
    whole = size(np.array([[0.5, 0.25]]), 10)
    members, weights = standing_for_all(*by_weight([whole.listed]), (whole,), 10, 400)

    assert members.tolist() == [[0, 0], [0, 1]]
    assert weights == pytest.approx([2 / 3, 1 / 3])
