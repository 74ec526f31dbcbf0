"""A library spread out for one vehicle: corners, fits, strengths as rows."""

from __future__ import annotations

import garage
import numpy as np
import pytest

from vibecheck.knowledge.model import Finding, Spot
from vibecheck.knowledge.profile import shares
from vibecheck.knowledge.words import Corner, Scope, Where
from vibecheck.reasoning.network import build, corners, spots
from vibecheck.reasoning.rates import fits

CORNER = Scope.CORNER
FELT, SEEN = Spot("felt"), Spot("seen", Corner.LF)


def shelf() -> list[Finding]:
    return [
        garage.finding("felt"),
        garage.finding("seen", ["no", "some", "much"], scope=CORNER, leak="0.100"),
        garage.which("kind", ["p", "q", "r"]),
    ]


def test_corner_causes_stand_at_four_corners_and_speak_for_their_own() -> None:
    network = build(
        garage.library(shelf(), [garage.cause("bent", {"seen": "often"}, scope=CORNER)]), {}
    )

    assert [node.spot for node in network.causes] == [Spot("bent", each) for each in Corner]
    for corner in Corner:
        node = network.findings[Spot("seen", corner)]
        assert list(node.rows) == [network.index[Spot("bent", corner)]]


def test_a_cause_of_the_vehicle_speaks_at_every_corner() -> None:
    network = build(garage.library(shelf(), [garage.cause("mix", {"seen": "often"})]), {})

    assert all(list(network.findings[Spot("seen", each)].rows) == [0] for each in Corner)


def test_front_and_rear_override() -> None:
    rules = garage.library(
        shelf(),
        [
            garage.cause(
                "bent", {"felt": "0.500"}, scope=CORNER,
                shows_front={"felt": "0.900"}, shows_rear={"felt": "0.200"},
            )
        ],
    )
    rows = build(rules, {}).findings[FELT].rows

    chances = [1 - rows[k][0] for k in range(4)]
    assert chances == pytest.approx([0.9, 0.9, 0.2, 0.2])


def test_left_and_right_override() -> None:
    """A hum in left turns speaks for the right side, at both axles."""
    rules = garage.library(
        shelf(),
        [
            garage.cause(
                "bent", {"felt": "0.500"}, scope=CORNER,
                shows_left={"felt": "0.100"}, shows_right={"felt": "0.800"},
            )
        ],
    )
    rows = build(rules, {}).findings[FELT].rows

    assert [1 - rows[k][0] for k in range(4)] == pytest.approx([0.1, 0.8, 0.1, 0.8])


@pytest.mark.parametrize(
    ("where", "drive", "expected"),
    [
        (Where.ALL, None, "LF RF LR RR"),
        (Where.FRONT, None, "LF RF"),
        (Where.REAR, "front", "LR RR"),
        (Where.DRIVEN, "front", "LF RF"),
        (Where.DRIVEN, "rear", "LR RR"),
        (Where.DRIVEN, "all", "LF RF LR RR"),
        (Where.DRIVEN, None, "LF RF LR RR"),
    ],
)
def test_where_a_thing_stands(where: Where, drive: str | None, expected: str) -> None:
    facts = {"drive": drive} if drive else {}

    assert " ".join(str(each) for each in corners(CORNER, where, facts)) == expected


def test_only_a_known_fact_excludes() -> None:
    needs = {"propulsion": ["combustion", "hybrid"]}

    assert fits(needs, {})
    assert fits(needs, {"propulsion": "hybrid"})
    assert not fits(needs, {"propulsion": "electric"})
    misfire = garage.cause("misfire", {"felt": "often"}, fits=needs)
    assert spots(misfire, {"propulsion": "electric"}) == ()
    network = build(garage.library(shelf(), [misfire]), {"propulsion": "electric"})
    assert network.causes == ()
    assert network.findings[FELT].rows == {}


def test_one_word_is_shared_by_the_abnormal_states() -> None:
    rules = garage.library(shelf(), [])

    row = shares(list(rules.findings["seen"].states), "0.700", rules.strengths)
    assert row == pytest.approx([0.3, 0.35, 0.35])


def test_a_map_is_scaled_and_unnamed_states_get_nearly_nothing() -> None:
    rules = garage.library(shelf(), [])

    row = shares(
        list(rules.findings["kind"].states), {"p": "0.600", "q": "0.300"}, rules.strengths)
    assert row == pytest.approx([0.6 / 0.91, 0.3 / 0.91, 0.01 / 0.91])


def test_rows_are_cumulative_for_graded_and_plain_for_which() -> None:
    rules = garage.library(
        shelf(), [garage.cause("mix", {"seen": "0.600", "kind": {"p": "0.500", "r": "0.490"}})]
    )
    network = build(rules, {})

    assert network.findings[SEEN].rows[0] == pytest.approx([0.4, 0.7, 1.0])
    assert network.findings[SEEN].base == pytest.approx([0.9, 0.95, 1.0])
    assert network.findings[Spot("kind")].rows[0] == pytest.approx([0.5, 0.01, 0.49])
    assert network.findings[Spot("kind")].base == pytest.approx([1 / 3] * 3)


def test_rows_from_physics_take_the_place_of_words() -> None:
    rules = garage.library(shelf(), [garage.cause("mix", {"kind": {"p": "0.900"}})])
    row = np.array([0.2, 0.3, 0.5])
    network = build(rules, {}, {("mix", "kind"): row})

    assert network.findings[Spot("kind")].rows[0] == pytest.approx(row)


def test_prior_odds() -> None:
    rules = garage.library(shelf(), [garage.cause("mix", {"felt": "often"}, "0.200")])

    assert build(rules, {}).odds == pytest.approx([0.25])
