"""The core profile: silence of a cause is no evidence; rates by the cars that can have a fault."""

from __future__ import annotations

import dataclasses
import math

import garage
import numpy as np
import oracle
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Core, Fleet, RateCase, Spot
from vibecheck.knowledge.words import Aspect, Axle, Corner, Scope, Where
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.network import build
from vibecheck.reasoning.rates import rate
from vibecheck.reasoning.search import Effort

ALL = Effort(cut=0.0, most_causes=12, most_branches=10**6, most_listed=10**6, most_kept=10**6)
KIND, FELT, FEEL = Spot("kind"), Spot("felt"), Spot("feel")


def with_core(rules: Library, **aspects: Aspect) -> Library:
    """The library with some of its findings in the core profile."""
    core = {name: Core(id=name, aspect=aspect) for name, aspect in aspects.items()}
    return dataclasses.replace(rules, core=core)


def shop() -> Library:
    """Two causes of shakes and two of noises; one of each says nothing of where it is felt."""
    shake = {"kind": {"shake": "0.900", "noise": "0.100", "none": "0.100"}}
    noise = {"kind": {"shake": "0.100", "noise": "0.900", "none": "0.100"}}
    return with_core(
        garage.library(
            [
                garage.which("kind", ["shake", "noise", "none"],
                             background={"none": "0.999", "shake": "0.001", "noise": "0.001"}),
                garage.finding("felt", ["no", "some", "much"], leak="rarely"),
                garage.which("feel", ["hop", "buzz"]),
            ],
            [
                garage.cause("lump", {**shake, "felt": "0.800", "feel": {"hop": "0.900"}}, "0.020"),
                garage.cause("mute_shake", shake, "0.010"),
                garage.cause(
                    "growl", {**noise, "felt": "0.200", "feel": {"buzz": "0.900"}}, "0.040"
                ),
                garage.cause("mute_noise", noise, "0.010"),
            ],
        ),
        kind=Aspect.KIND, felt=Aspect.WHERE, feel=Aspect.WHAT,
    )  # fmt: skip


def odds(rules: Library, complaint: str | None, cause: str, **answers: str) -> float:
    """Odds of a cause after some answers."""
    network = build(rules, {}, complaint=complaint)
    told = {"kind": complaint, **answers} if complaint else answers
    evidence = {
        Spot(name): np.eye(len(network.findings[Spot(name)].states))[
            network.findings[Spot(name)].states.index(state)
        ]
        for name, state in told.items()
    }
    chance = believe(network, evidence, ALL).chances[network.index[Spot(cause)]]
    return float(chance / (1.0 - chance))


def test_a_cause_without_a_word_has_the_usual_row_of_its_complaint() -> None:
    rules = shop()
    shakes, noises = (build(rules, {}, complaint=each) for each in ("shake", "noise"))
    lump, growl, mute = (shakes.index[Spot(each)] for each in ("lump", "growl", "mute_shake"))
    weights = np.array([0.02 / 0.98 * 0.9, 0.04 / 0.96 * 0.1])
    rows = shakes.findings[FELT].rows

    assert rows[mute] == pytest.approx(weights @ [rows[lump], rows[growl]] / weights.sum())
    assert {mute, shakes.index[Spot("mute_noise")]} == shakes.findings[FELT].usual
    assert noises.findings[FELT].rows[mute][0] > rows[mute][0]  # noises are felt less


@pytest.mark.parametrize("complaint", ["shake", "noise"])
@pytest.mark.parametrize(
    ("finding", "state"),
    [("felt", "no"), ("felt", "some"), ("felt", "much"), ("feel", "hop"), ("feel", "buzz")],
)
def test_silence_is_no_evidence(complaint: str, finding: str, state: str) -> None:
    rules = shop()
    for cause in ("mute_shake", "mute_noise"):
        before = odds(rules, complaint, cause)
        after = odds(rules, complaint, cause, **{finding: state})

        assert abs(math.log2(after / before)) < 1.0


def test_a_word_moves_its_cause() -> None:
    rules = shop()

    assert odds(rules, "shake", "lump", felt="much") > 1.2 * odds(rules, "shake", "lump")
    assert odds(rules, "shake", "lump", felt="no") < 0.5 * odds(rules, "shake", "lump")


def test_a_visit_is_evidence() -> None:
    """Told what brings the car in, a fault of that sort is there, by rate times share."""
    rules = shop()
    network = build(rules, {}, complaint="noise")
    belief = believe(network, {KIND: np.array([0.0, 1.0, 0.0])}, ALL)
    chances = dict(zip(network.index, belief.chances, strict=True))

    assert belief.no_fault < 0.03
    assert chances[Spot("growl")] / chances[Spot("lump")] == pytest.approx(18.0, rel=0.25)


def test_until_the_kind_is_told_nothing_is_conditioned() -> None:
    rules = shop()

    rates = pytest.approx([0.02, 0.01, 0.04, 0.01], rel=1e-4)
    assert believe(build(rules, {}), {}).chances == rates


@pytest.mark.parametrize("seed", [3, 14, 159])
@pytest.mark.parametrize("complaint", [None, "p"])
def test_exactness_is_kept(seed: int, complaint: str | None) -> None:
    """Against plain enumeration that fills in the usual rows by its own sums."""
    rng = np.random.default_rng(seed)
    rules = garage.random_library(rng, causes=7, which_=3)
    rules = with_core(rules, w0=Aspect.KIND, g0=Aspect.WHEN, g1=Aspect.WHERE, w1=Aspect.WHAT)
    evidence = garage.random_evidence(rng, rules, silent=0.1, soft=0.3)
    state = list(rules.findings["w0"].states).index(complaint) if complaint else None
    if state is not None:
        evidence[Spot("w0")] = np.eye(len(rules.findings["w0"].states))[state]
    full = oracle.with_usual_words(rules, complaint)
    truth = oracle.chances(full, oracle.posterior(full, evidence))
    belief = believe(build(rules, {}, complaint=complaint), evidence, ALL)

    for node, chance in zip(belief.network.causes, belief.chances, strict=True):
        assert chance == pytest.approx(truth[node.spot.id], abs=1e-9)


CARS = {
    "drive": Fleet(id="drive", shares={"front": 0.5, "rear": 0.2, "all": 0.3}),
    "brake": Fleet(id="brake", shares={"disc": 0.8, "drum": 0.2}),
}


def fleet() -> Library:
    return dataclasses.replace(garage.library([], []), fleet=CARS)


def test_an_unknown_fact_is_shared_out_and_a_known_one_counts_fully() -> None:
    cause = garage.cause("shaft", {}, "0.100", fits={"drive": ["rear", "all"]})

    assert rate(fleet(), cause, {}) == pytest.approx(0.05)
    assert rate(fleet(), cause, {"drive": "rear"}) == pytest.approx(0.1)
    assert rate(fleet(), cause, {"drive": "front"}) == 0.0


def test_two_unknown_facts_multiply() -> None:
    cause = garage.cause("c", {}, "0.100", fits={"drive": ["front"], "brake": ["drum"]})

    assert rate(fleet(), cause, {}) == pytest.approx(0.1 * 0.5 * 0.2)


def test_a_driven_corner_counts_by_the_cars_that_drive_it() -> None:
    cause = garage.cause("joint", {}, "0.100", scope=Scope.CORNER, where=Where.DRIVEN)

    assert rate(fleet(), cause, {}, Corner.LF) == pytest.approx(0.08)
    assert rate(fleet(), cause, {}, Corner.RR) == pytest.approx(0.05)


def test_rates_by_fact_and_by_axle() -> None:
    cause = garage.cause(
        "rotor", {}, "0.010", scope=Scope.CORNER,
        rates=[RateCase(axle=Axle.REAR, rate="0.002"),
               RateCase(when={"brake": ["drum"]}, rate="0.100")],
    )  # fmt: skip

    assert rate(fleet(), cause, {"brake": "disc"}, Corner.LF) == pytest.approx(0.01)
    assert rate(fleet(), cause, {"brake": "disc"}, Corner.LR) == pytest.approx(0.002)
    assert rate(fleet(), cause, {}, Corner.RF) == pytest.approx(0.8 * 0.01 + 0.2 * 0.1)
