"""Which remedy to try first, and when to stop asking: each rule reached by a case."""

from __future__ import annotations

from typing import Any

import garage
import numpy as np
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import Place
from vibecheck.reasoning.access import Ways
from vibecheck.reasoning.belief import Belief, believe
from vibecheck.reasoning.cure import UNRESOLVED, Cures, cures
from vibecheck.reasoning.decide import Ruling, Stopping, rule, tries
from vibecheck.reasoning.network import build
from vibecheck.reasoning.nextcheck import Situation, options

YES, NO = np.array([0.0, 1.0]), np.array([1.0, 0.0])
AGREE = 0.9


def shop(*checks: Check, a: dict[str, str], b: dict[str, str], **minutes: float) -> Library:
    """Two causes felt alike but for `tells`, which the first shows."""
    named = [check.id for check in checks]
    return garage.library(
        [garage.finding("felt", leak="0.001"), garage.finding("tells", leak="seldom")],
        [
            garage.cause(
                "a", {"felt": "usually", "tells": "usually"}, "0.050", remedies=a,
                confirm_by=named,
            ),
            garage.cause("b", {"felt": "usually"}, "0.050", remedies=b, confirm_by=named),
        ],
        checks,
        [garage.remedy(name, length) for name, length in minutes.items()],
    )


def settle(rules: Library, evidence: dict[Spot, np.ndarray], **more: Any) -> Ruling:
    belief = believe(build(rules, {}), evidence)
    ways = Ways(rules, Place.BAY)
    table = cures(belief, ways)
    checks = options(belief, table, Situation(ways, closed=set(evidence), **more))
    return rule(belief, tries(belief, table), checks, AGREE)


FELT = {Spot("felt"): YES}
APART = {"a": {"fix_a": "nearly always"}, "b": {"fix_b": "nearly always"}}


def test_two_remedies_in_the_order_of_chance_over_effort() -> None:
    """0.6 for 30 min against 0.4 for 10 min: 0.02 against 0.04 per minute, so the second first.

    Cost if it is tried first: 10 + 0.6 * 30 = 28 min; the other way round 30 + 0.4 * 10 = 34.
    """
    rules = shop(a={"fix_a": "always"}, b={"fix_b": "always"}, fix_a=30, fix_b=10)
    belief = believe(build(rules, {}), FELT)
    only = {(Spot("a"),): 0.6, (Spot("b"),): 0.4}
    rows = [belief.set_spots(row) for row in range(belief.kept)]
    belief.__dict__["weights"] = np.array([only.get(row, 0.0) for row in rows])
    column = {"fix_a": Spot("a"), "fix_b": Spot("b")}
    spots = (Spot("fix_a"), Spot("fix_b"))
    sure = np.array([[float(row == (column[spot.id],)) for spot in spots] for row in rows])
    table = Cures(
        spots, np.array([30.0, 10.0]), np.array([True, True]), sure, ((Spot("a"),), (Spot("b"),))
    )
    second, first = sorted(tries(belief, table), key=lambda each: each.spot.id)

    assert [each.spot.id for each in tries(belief, table)] == ["fix_b", "fix_a"]
    assert (first.chance, first.cost_to_resolve) == pytest.approx((0.4, 10 + 0.6 * 30))
    assert (second.chance, second.cost_to_resolve) == pytest.approx((0.6, 30 + 0.4 * 10))


def test_what_has_failed_is_not_tried_again() -> None:
    """One remedy of 0.85 for all there is: after it fails the case stays open."""
    rules = shop(a={"fix": "usually"}, b={"fix": "usually"}, fix=20)
    belief = believe(build(rules, {}), FELT)
    (only,) = tries(belief, cures(belief, Ways(rules, Place.BAY)))

    assert only.cost_to_resolve == pytest.approx(20 + (1 - only.chance) * UNRESOLVED)


def test_one_remedy_for_nearly_all() -> None:
    check = garage.check("look", ["tells"], 5)
    rules = shop(check, a={"fix": "always"}, b={"fix": "nearly always"}, fix=30)
    ruling = settle(rules, FELT)

    assert (ruling.verdict, ruling.decided) == (Stopping.SAME_REMEDY, True)
    assert ruling.remedy == Spot("fix")


def test_go_on_while_a_check_can_save_work() -> None:
    rules = shop(garage.check("look", ["tells"], 2), **APART, fix_a=120, fix_b=120)
    ruling = settle(rules, FELT)

    assert (ruling.verdict, ruling.decided) == (Stopping.GO_ON, False)


def test_acting_is_cheaper_than_a_long_check() -> None:
    rules = shop(garage.check("look", ["tells"], 90), **APART, fix_a=5, fix_b=10)
    ruling = settle(rules, {**FELT, Spot("tells"): np.array([0.6, 1.0])})
    asked = settle(rules, {**FELT, Spot("tells"): np.array([0.6, 1.0])},
                   again={Spot("tells"): np.array([0.6, 1.0])})

    assert ruling.verdict is Stopping.NOTHING_LEFT
    assert (asked.verdict, asked.remedy) == (Stopping.ACTING_CHEAPER, Spot("fix_a"))
    assert asked.chance > 0.5


def test_nothing_left_to_ask() -> None:
    ruling = settle(shop(**APART, fix_a=30, fix_b=60), FELT)

    assert (ruling.verdict, ruling.decided) == (Stopping.NOTHING_LEFT, True)
    assert ruling.remedy == Spot("fix_a")


def test_no_fault_is_likely() -> None:
    ruling = settle(shop(**APART, fix_a=30, fix_b=60), {Spot("felt"): NO})

    assert (ruling.verdict, ruling.decided, ruling.remedy) == (Stopping.NO_FAULT, True, None)
    assert ruling.chance > 0.95


def test_nothing_is_decided_before_anything_is_known() -> None:
    ruling = settle(shop(**APART, fix_a=30, fix_b=60), {})

    assert not ruling.decided


def test_no_remedy_known() -> None:
    rules = shop(garage.check("look", ["tells"], 2), a={}, b={})
    belief: Belief = believe(build(rules, {}), FELT)

    assert tries(belief, cures(belief, Ways(rules, Place.BAY))) == ()
    assert settle(rules, FELT).verdict is Stopping.GO_ON
    assert settle(rules, FELT, done={Spot("look")}).verdict is Stopping.NOTHING_LEFT
