"""The next check: information against brute force, and the order in which checks are offered."""

from __future__ import annotations

import itertools
from typing import Any

import garage
import numpy as np
import oracle
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Corner, Danger, Place, Scope
from vibecheck.reasoning.access import Position, Ways
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.cure import cost_to_resolve, cures
from vibecheck.reasoning.network import build
from vibecheck.reasoning.nextcheck import (
    MINUTES_PER_BIT,
    Option,
    Situation,
    options,
)
from vibecheck.reasoning.search import Effort

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6, most_kept=10**6)
YES = np.array([0.0, 1.0])
FELT = {Spot("felt"): YES}


def offered(
    rules: Library, evidence: dict[Spot, np.ndarray], place: Place = Place.BAY,
    position: Position | None = None, effort: Effort | None = ALL, **more: Any,
) -> tuple[Option, ...]:
    belief = believe(build(rules, {}), evidence, effort)
    ways = Ways(rules, place, position)
    situation = Situation(ways, closed=set(evidence), **more)
    return options(belief, cures(belief, ways), situation)


def names(found: tuple[Option, ...]) -> list[str]:
    return [option.spot.id for option in found]


def two_causes(*checks: Check, **more: Any) -> Library:
    """Two causes felt alike; `tells` shows only the first, `same` shows both alike."""
    named = [check.id for check in checks]
    return garage.library(
        [
            garage.finding("felt", leak="0.001"), garage.finding("tells"), garage.finding("same"),
            garage.finding("other"),
        ],
        [
            garage.cause(
                "a", {"felt": "usually", "tells": "usually", "same": "often", "other": "usually"},
                "0.050", remedies={"cure_a": "nearly always"}, confirm_by=named, **more,
            ),
            garage.cause(
                "b", {"felt": "usually", "same": "often"}, "0.050",
                remedies={"cure_b": "nearly always"}, confirm_by=named, **more,
            ),
        ],
        checks,
        [garage.remedy("cure_a", 40), garage.remedy("cure_b", 60)],
    )


class TestInformation:
    """What a check is expected to tell and to save, each worked out a second way."""

    @given(st.integers(0, 10_000))
    def test_gain_equals_brute_force(self, seed: int) -> None:
        rng = np.random.default_rng(seed)
        drawn = garage.random_library(rng, causes=6, graded=4, which_=2, named=0.8)
        yields = ["g0", "w0"]
        rules = garage.library(
            drawn.findings.values(), drawn.causes.values(),
            [garage.check("look", yields, kind=CheckKind.QUESTION)],
        )
        evidence = {Spot("g1"): np.eye(len(rules.findings["g1"].states))[-1]}
        weights = oracle.posterior(rules, {spot: row.tolist() for spot, row in evidence.items()})
        alone = [oracle.information(rules, weights, [name]) for name in yields]
        found = offered(rules, evidence)

        if min(alone) > 0.01:
            assert found[0].gain == pytest.approx(
                oracle.information(rules, weights, yields), abs=1e-9
            )

    def test_savings_equal_running_again_with_each_outcome(self) -> None:
        rules = two_causes(garage.check("look", ["tells", "same"], 5))
        (option,) = offered(rules, FELT)
        network = build(rules, {})
        felt = believe(network, FELT, ALL)
        table = cures(felt, Ways(rules, Place.BAY))

        def minutes(evidence: dict[Spot, np.ndarray]) -> float:
            """Cost to resolve, what cures what being as it is before the check."""
            belief = believe(network, evidence, ALL)
            share = {frozenset(belief.set_spots(n)): w for n, w in enumerate(belief.weights)}
            shares = np.array([share[frozenset(felt.set_spots(n))] for n in range(felt.kept)])
            masses = table.masses(shares[:, None])
            return float(cost_to_resolve(masses, table.kinds, table.efforts)[0])

        weights = oracle.posterior(rules, {Spot("felt"): [0.0, 1.0]})
        then = 0.0
        for tells, same in itertools.product((0, 1), repeat=2):
            chance = sum(
                weight
                * oracle.given(rules, rules.findings["tells"], present)[tells]
                * oracle.given(rules, rules.findings["same"], present)[same]
                for present, weight in weights.items()
            )
            outcome = {Spot("tells"): np.eye(2)[tells], Spot("same"): np.eye(2)[same]}
            then += chance * minutes({**FELT, **outcome})

        assert option.saves == pytest.approx(minutes(FELT) - then, abs=1e-9)
        assert option.saves > 1.0
        assert option.score == pytest.approx(
            (option.saves + MINUTES_PER_BIT * option.gain) / option.cost
        )

    def test_the_more_findings_the_more_it_tells(self) -> None:
        one = offered(two_causes(garage.check("look", ["tells"])), FELT)
        two = offered(two_causes(garage.check("look", ["tells", "other"])), FELT)

        assert two[0].gain > one[0].gain


class TestOrder:
    """What comes first."""

    def test_a_check_that_separates_beats_one_that_does_not(self) -> None:
        rules = two_causes(garage.check("blunt", ["same"]), garage.check("sharp", ["tells"]))

        assert names(offered(rules, FELT))[0] == "sharp"

    def test_safety_first_whatever_it_is_worth(self) -> None:
        rules = two_causes(
            garage.check("sharp", ["tells"], 1), garage.check("safe", ["same"], 30, safety=True)
        )
        found = offered(rules, FELT)

        assert names(found) == ["safe", "sharp"]
        assert found[0].urgent
        assert found[0].score < found[1].score

    def test_a_safety_check_far_away_waits_unless_something_dangerous_lives(self) -> None:
        far = garage.check("safe", ["same"], 30, safety=True, access="raised")
        sharp = garage.check("sharp", ["tells"], 1)

        assert names(offered(two_causes(sharp, far), FELT)) == ["sharp", "safe"]
        dangerous = two_causes(sharp, far, danger=Danger.STOP)
        assert names(offered(dangerous, FELT)) == ["safe", "sharp"]

    def test_a_look_round_the_whole_car_clears_the_look_at_one_corner(self) -> None:
        """Who saw nothing on a walk round has looked at every tire (common practice)."""
        rules = garage.library(
            [garage.finding("felt"), garage.finding("seen"),
             garage.finding("bulge", scope=Scope.CORNER)],
            [
                garage.cause(
                    "torn", {"felt": "often", "seen": "usually", "bulge": "usually"},
                    scope=Scope.CORNER, danger=Danger.STOP, confirm_by=["tire"],
                )
            ],
            [
                garage.check("round", ["seen"], 2, safety=True),
                garage.check("tire", ["bulge"], 1, scope=Scope.CORNER, safety=True,
                             ask_after=["round"]),
            ],
        )
        urgent = {
            word: {each.spot.id for each in offered(rules, known, prune_below=0.0) if each.urgent}
            for word, known in {
                "not asked": FELT, "nothing": {**FELT, Spot("seen"): YES[::-1]},
                "seen": {**FELT, Spot("seen"): YES},
            }.items()
        }

        assert urgent == {"not asked": {"round"}, "nothing": set(), "seen": {"tire"}}

    def test_what_can_be_seen_while_the_tire_is_off_comes_while_it_is_off(self) -> None:
        corner = Scope.CORNER
        dials = [garage.finding(name, scope=corner) for name in ("bead", "rim")]
        rules = garage.library(
            [garage.finding("felt"), *dials],
            [
                garage.cause(
                    "bent", {"felt": "often", "bead": "usually", "rim": "usually"}, scope=corner,
                    confirm_by=["dial_bead", "dial_rim"],
                )
            ],
            [
                garage.check("dial_bead", ["bead"], 6, scope=corner, access="tire_off"),
                garage.check("dial_rim", ["rim"], 6, scope=corner, access="wheel_off"),
            ],
        )
        parked = offered(rules, FELT)
        off = offered(rules, FELT, position=Position("tire_off", Corner.LR))

        assert parked[0].spot.id == "dial_rim"
        assert off[0].spot == Spot("dial_bead", Corner.LR)
        assert off[0].access_minutes == 0

    def test_ties_are_marked(self) -> None:
        rules = two_causes(
            garage.check("one", ["tells"], 5), garage.check("two", ["other"], 5),
            garage.check("slow", ["tells"], 50),
        )
        found = offered(rules, FELT)

        assert [(each.spot.id, each.near_tie) for each in found] == [
            ("one", True), ("two", True), ("slow", False),
        ]

    def test_no_tie_with_oneself(self) -> None:
        (only,) = offered(two_causes(garage.check("one", ["tells"])), FELT)

        assert not only.near_tie


class TestWhatIsOffered:
    """What may be asked here and now."""

    def test_a_check_waits_for_the_one_before_it(self) -> None:
        first = garage.check("first", ["same", "other"], 20)
        then = garage.check("then", ["tells"], 1, ask_after=["first"])

        assert names(offered(two_causes(first, then), FELT)) == ["first"]
        assert names(offered(two_causes(first, then), FELT, done={Spot("first")})) == ["then"]

    def test_it_does_not_wait_for_what_tells_nothing(self) -> None:
        """`first` looks at what no cause moves, so it would never be offered."""
        first = garage.check("first", ["idle"], 20)
        then = garage.check("then", ["tells"], 1, ask_after=["first"])
        drawn = two_causes(first, then)
        rules = garage.library(
            [*drawn.findings.values(), garage.finding("idle")], drawn.causes.values(),
            drawn.checks.values(), drawn.remedies.values(),
        )

        assert names(offered(rules, FELT)) == ["then"]

    def test_it_does_not_wait_for_what_cannot_be_done_here(self) -> None:
        first = garage.check("first", ["same", "other"], 20, places=[Place.BAY])
        then = garage.check("then", ["tells"], 1, ask_after=["first"])

        assert "then" in names(offered(two_causes(first, then), FELT, place=Place.DRIVEWAY))

    def test_what_a_wanted_check_waits_for_is_wanted_too(self) -> None:
        first = garage.check("first", ["other"], 20)
        then = garage.check("then", ["tells"], 1, ask_after=["first"])
        rules = two_causes(first, then)
        causes = [
            garage.cause(each.id, each.shows, remedies=each.remedies, confirm_by=["then"])
            for each in rules.causes.values()
        ]
        alone = garage.library(
            rules.findings.values(), causes, [first, then], rules.remedies.values()
        )

        assert names(offered(alone, FELT)) == ["first"]

    def test_an_undecided_reading_is_offered_again(self) -> None:
        rules = two_causes(garage.check("dial", ["tells"], 5), garage.check("look", ["same"], 5))
        doubt = np.array([1.0, 0.9])
        known = {**FELT, Spot("tells"): doubt}
        once = offered(rules, known)
        again = offered(rules, known, again={Spot("tells"): doubt})

        assert names(once) == ["look"]
        assert again[0].spot.id == "dial"
        assert again[0].repeats == (Spot("tells"),)

    def test_what_is_done_or_answered_is_not_asked(self) -> None:
        rules = two_causes(garage.check("one", ["tells"]), garage.check("two", ["other"]))

        assert names(offered(rules, FELT, done={Spot("one")})) == ["two"]
        answered = {**FELT, Spot("other"): YES}
        assert names(offered(rules, answered)) == ["one"]

    def test_pruned_causes_ask_for_nothing(self) -> None:
        rules = two_causes(garage.check("one", ["tells"]))

        assert offered(rules, FELT, prune_below=0.999) == ()

    def test_a_driveway_sends_to_the_shop_what_needs_one(self) -> None:
        rules = two_causes(garage.check("dial", ["tells"], 5, places=[Place.BAY], access="raised"))
        (option,) = offered(rules, FELT, place=Place.DRIVEWAY)

        assert not option.here
        assert option.cost == 5 + 90 + 4

    def test_a_missing_tool_is_as_good_as_another_place(self) -> None:
        rules = two_causes(garage.check("dial", ["tells"], 5, tools=["indicator"]))
        (without,) = offered(rules, FELT, place=Place.DRIVEWAY, tools=["jack"])
        (with_,) = offered(rules, FELT, place=Place.DRIVEWAY, tools=["indicator"])

        assert (without.here, with_.here) == (False, True)
        assert offered(rules, FELT, place=Place.BAY, tools=["jack"]) == ()

    def test_the_first_question_is_worth_asking_before_any_answer(self) -> None:
        rules = two_causes(garage.check("ask", ["felt"], 1, kind=CheckKind.QUESTION))
        found = offered(rules, {}, prune_below=0.001)

        assert names(found) == ["ask"]
        assert found[0].gain > 0
