"""Chance of cure, effort and cost to resolve, against sums by hand and all orders tried.

The order by chance over effort is that of Heckerman, Breese, Rommelse, "Decision-theoretic
troubleshooting", CACM 38(3), 1995 (from memory); here it is checked against every order.
"""

from __future__ import annotations

import itertools

import garage
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Parts, Place, Scope
from vibecheck.reasoning.access import Position, Ways
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.cure import UNRESOLVED, cost_of_each, cost_to_resolve, cures
from vibecheck.reasoning.network import build

ABNORMAL = np.array([0.0, 1.0])


def by_hand(chances: tuple[float, ...], efforts: tuple[float, ...]) -> float:
    """Least expected minutes over all orders of all choices of remedies; faults shut each
    other out, so chances add up."""
    best = UNRESOLVED
    for size in range(1, len(chances) + 1):
        for order in itertools.permutations(range(len(chances)), size):
            minutes, still = 0.0, 1.0
            for r in order:
                minutes += efforts[r] * still
                still -= chances[r]
            best = min(best, minutes + still * UNRESOLVED)
    return best


def apart(chances: tuple[float, ...] | list[float], efforts: list[float]) -> float:
    """Cost to resolve where each remedy cures one fault of its own, for sure."""
    masses = np.append(chances, 1.0 - sum(chances))[None]
    kinds = np.eye(len(chances) + 1, len(chances))
    return float(cost_to_resolve(masses, kinds, np.array(efforts, dtype=float))[0])


@pytest.mark.parametrize(
    ("chances", "efforts", "minutes"),
    [
        ([0.6, 0.4], [30, 10], 10 + 0.6 * 30),
        ([0.6, 0.3], [30, 10], 10 + 0.7 * 30 + 0.1 * UNRESOLVED),
        ([0.05], [60], UNRESOLVED),  # 0.05 of what is at stake is less than 60 min
        # neither of the last two alone is worth its try, both together are
        ([0.5, 0.3, 0.1], [10, 150, 51], 10 + 0.5 * 150 + 0.2 * 51 + 0.1 * UNRESOLVED),
        ([], [], UNRESOLVED),
    ],
)
def test_worked_examples(chances: list[float], efforts: list[float], minutes: float) -> None:
    assert apart(chances, efforts) == pytest.approx(minutes)


def test_remedies_for_one_fault_do_not_add_up() -> None:
    """One fault at 0.5, which a remedy of 20 min cures with 0.8 and one of 30 min with 0.6.

    The first, then the second for the 0.1 that it has missed: 20 + 0.6 * 30 costs more than it
    brings, 0.06 * 400, so that is where one stops: by hand 20 + 0.6 * 720 = 452 against
    20 + 0.6 * 30 + 0.54 * 720 = 426.8 min, which is less: both are done.
    """
    kinds = np.array([[0.8, 0.6], [0.0, 0.0]])
    cost = cost_to_resolve(np.array([[0.5, 0.5]]), kinds, np.array([20.0, 30.0]))

    assert UNRESOLVED == 720.0
    assert cost == pytest.approx([20 + 0.6 * 30 + 0.54 * 720])


def test_a_remedy_that_has_failed_is_not_tried_again() -> None:
    kinds = np.array([[0.8, 0.6]])
    cost = cost_to_resolve(np.array([[0.2]]), kinds, np.array([1.0, 30.0]), failed=[0])

    assert cost == pytest.approx([0.2 * 30 + 0.2 * 0.4 * UNRESOLVED])


@given(st.integers(0, 10_000))
def test_what_is_best_for_the_whole_is_a_way_to_treat_each(seed: int) -> None:
    """The minutes of each kind, weighed, are those of the whole."""
    rng = np.random.default_rng(seed)
    masses, kinds = rng.dirichlet(np.ones(4)), rng.random((4, 5)) * rng.integers(0, 2, (4, 5))
    efforts = rng.uniform(1.0, 200.0, 5)

    whole = cost_to_resolve(masses[None], kinds, efforts)[0]
    assert masses @ cost_of_each(masses, kinds, efforts) == pytest.approx(whole)


@given(st.integers(0, 10_000))
def test_sets_cured_alike_count_together(seed: int) -> None:
    rng = np.random.default_rng(seed)
    belief = bent_at(Corner.RF, both=True)
    table = cures(belief, Ways(shop(), Place.BAY))
    weights = rng.random((belief.kept, 3))

    assert len(table.kinds) < belief.kept
    assert table.masses(weights) @ table.kinds == pytest.approx(weights.T @ table.cures)


@given(
    st.lists(st.floats(0.01, 1.0), min_size=2, max_size=5),
    st.lists(st.floats(1.0, 200.0), min_size=5, max_size=5),
)
def test_no_order_is_cheaper(parts: list[float], efforts: list[float]) -> None:
    chances = tuple(part / (sum(parts) + 0.1) for part in parts)
    minutes = efforts[: len(parts)]

    assert apart(chances, minutes) == pytest.approx(by_hand(chances, tuple(minutes)))


def shop(**more: object) -> Library:
    corner = Scope.CORNER
    return garage.library(
        [garage.finding("f"), garage.finding("dial", scope=corner)],
        [
            garage.cause(
                "bent", {"dial": "always"}, scope=corner,
                remedies={"swap_wheel": "nearly always", "rebalance": "rarely"},
            ),
            garage.cause("shaft", {"f": "always"}, remedies={"new_shaft": "usually"}),
        ],
        remedies=[
            garage.remedy(
                "swap_wheel", 15, scope=corner, access="tire_off", parts=Parts.HIGH,
                places=[Place.BAY],
            ),
            garage.remedy("rebalance", 10, scope=corner, access="wheel_off"),
            garage.remedy("new_shaft", 60, access="raised", parts=Parts.MEDIUM),
        ],
    )


def bent_at(corner: Corner, both: bool = False) -> Belief:
    known = {Spot("dial", corner): ABNORMAL}
    if both:
        known[Spot("f")] = ABNORMAL
    return believe(build(shop(), {}), known)


def test_efforts_hold_way_work_and_parts() -> None:
    belief = bent_at(Corner.RF)
    table = cures(belief, Ways(shop(), Place.BAY))
    efforts = dict(zip(table.spots, table.efforts, strict=True))

    assert efforts[Spot("swap_wheel", Corner.RF)] == 15 + (4 + 3 + 7) + 150
    assert efforts[Spot("rebalance", Corner.RF)] == 10 + (4 + 3)


def test_a_tire_that_is_off_makes_its_remedy_cheaper() -> None:
    belief = bent_at(Corner.RF)
    open_ = cures(belief, Ways(shop(), Place.BAY, Position("tire_off", Corner.RF)))
    efforts = dict(zip(open_.spots, open_.efforts, strict=True))

    assert efforts[Spot("swap_wheel", Corner.RF)] == 15 + 150


def test_what_a_driveway_cannot_do_costs_a_visit_and_says_so() -> None:
    belief = bent_at(Corner.RF)
    table = cures(belief, Ways(shop(), Place.DRIVEWAY))
    here = dict(zip(table.spots, table.here, strict=True))
    efforts = dict(zip(table.spots, table.efforts, strict=True))

    assert here[Spot("rebalance", Corner.RF)]
    assert not here[Spot("swap_wheel", Corner.RF)]
    assert efforts[Spot("swap_wheel", Corner.RF)] == 15 + 150 + 90 + (4 + 3 + 7)


def test_chance_of_cure_follows_the_words() -> None:
    belief = bent_at(Corner.RF)
    table = cures(belief, Ways(shop(), Place.BAY))
    column = table.spots.index(Spot("swap_wheel", Corner.RF))

    for row in range(belief.kept):
        present = belief.set_spots(row)
        if present == (Spot("bent", Corner.RF),):
            assert table.cures[row, column] == pytest.approx(0.95)
        elif not present:
            assert (table.cures[row] == 0.0).all()
    assert table.causes[column] == (Spot("bent", Corner.RF),)


def test_one_remedy_does_not_cure_two_faults() -> None:
    belief = bent_at(Corner.RF, both=True)
    table = cures(belief, Ways(shop(), Place.BAY))
    pair = {Spot("bent", Corner.RF), Spot("shaft")}
    row = next(n for n in range(belief.kept) if set(belief.set_spots(n)) == pair)

    assert table.cures[row].max() < 0.5
    assert table.cures[row, table.spots.index(Spot("new_shaft"))] == pytest.approx(0.85 / 4)
