"""A cause made whole: its own words, those of its kinds, and what is left to what is usual."""

from __future__ import annotations

import garage
import pytest
from msgspec import structs

from vibecheck.knowledge.model import Excites, Kind
from vibecheck.knowledge.profile import speakers, whole, whole_kinds, words_at, words_of
from vibecheck.knowledge.words import Axle, Corner, Law, Path, Scope, Side, SpeedBy

FINDINGS = {
    each.id: each
    for each in [
        garage.finding("felt", ["no", "some", "much"]),
        garage.finding("hum"),
        garage.which("feel", ["hop", "buzz"]),
        garage.which("worst", ["slow", "fast"], computed="worst_speed"),
    ]
}
WORDS = garage.library([], []).strengths
TURNS = Kind(id="turns", name="t", says="t", shows={"felt": "often", "feel": {"hop": "often"}},
             shows_front={"hum": "often"}, shows_rear={"hum": "rarely"}, speed=SpeedBy.RESONANCE)
NOISE = Kind(id="noise", name="n", says="n", shows={"felt": "sometimes", "hum": "usually",
             "worst": {"fast": "often"}}, speed=SpeedBy.OWN)  # fmt: skip
SIDED = Kind(id="sided", name="s", says="s", shows={"felt": "often"},
             shows_left={"feel": {"hop": "often"}}, shows_right={"feel": {"buzz": "often"}})
KINDS = {"turns": TURNS, "noise": NOISE, "sided": SIDED}


def made(cause, kinds=KINDS):
    return whole(cause, kinds, FINDINGS, WORDS)


def test_own_words_go_before_those_of_the_kind() -> None:
    cause = made(garage.cause("c", {"felt": "rarely"}, like=["turns"]))

    assert {"felt": "rarely", "feel": {"hop": "often"}} == cause.shows


def test_of_several_kinds_the_mean_of_their_shares_holds() -> None:
    """Half of "often" (0.7) and "sometimes" (0.3) is 0.5, shared by the two abnormal states."""
    cause = made(garage.cause("c", {}, like=["turns", "noise"]))

    shares = [float(word) for word in cause.shows["felt"].values()]
    assert shares == pytest.approx([0.5, 0.25, 0.25])
    assert {"hop": "often"} == cause.shows["feel"]


def test_a_corner_cause_has_the_words_of_each_axle() -> None:
    cause = made(garage.cause("c", {}, like=["turns"], scope=Scope.CORNER))

    assert "often" == words_at(cause, Axle.FRONT)["hum"]
    assert "rarely" == words_at(cause, Axle.REAR)["hum"]
    assert "hum" not in cause.shows


def test_an_own_word_for_the_whole_car_goes_before_the_kinds_words_for_an_axle() -> None:
    cause = made(garage.cause("c", {"hum": "seldom"}, like=["turns"], scope=Scope.CORNER))

    assert ("seldom", "seldom") == tuple(words_at(cause, axle)["hum"] for axle in Axle)


def test_a_corner_cause_has_the_words_of_its_side_and_of_its_axle() -> None:
    written = garage.cause("c", {}, like=["sided"], scope=Scope.CORNER,
                           shows_front={"hum": "often"}, shows_rear={"hum": "rarely"})  # fmt: skip
    cause = made(written)

    for corner in Corner:
        words = words_of(cause, corner)
        assert words["feel"] == ({"hop": "often"} if corner.left else {"buzz": "often"})
        assert words["hum"] == ("often" if corner.front else "rarely")
        assert words["felt"] == "often"
    assert ["sided"] == speakers(written, KINDS, "feel", Side.LEFT)
    assert [] == speakers(written, KINDS, "feel", None)


def test_an_own_word_for_the_whole_car_goes_before_the_kinds_words_for_a_side() -> None:
    own = {"hop": "sometimes", "buzz": "often"}
    cause = made(garage.cause("c", {"feel": own}, like=["sided"], scope=Scope.CORNER))

    assert all(words_of(cause, corner)["feel"] == own for corner in Corner)


def test_a_cause_of_the_whole_car_has_no_side() -> None:
    cause = made(garage.cause("c", {}, like=["sided"]))

    assert "feel" not in words_of(cause, None)
    assert not cause.shows_left and not cause.shows_right


def test_as_usual_takes_a_kinds_word_away() -> None:
    cause = made(garage.cause("c", {"felt": "as usual"}, like=["turns"]))
    front = made(garage.cause("c", {}, like=["turns"], scope=Scope.CORNER,
                              shows_front={"felt": "as usual"}))  # fmt: skip

    assert "felt" not in cause.shows
    assert "felt" not in words_at(front, Axle.FRONT)
    assert "often" == words_at(front, Axle.REAR)["felt"]


def test_who_says_what() -> None:
    cause = garage.cause("c", {"felt": "rarely", "hum": "as usual"}, like=["turns", "noise"])

    assert ["own"] == speakers(cause, KINDS, "felt", None)
    assert [] == speakers(cause, KINDS, "hum", None)
    assert ["turns"] == speakers(cause, KINDS, "feel", None)
    assert ["turns", "noise"] == speakers(garage.cause("d", {}, like=["turns", "noise"]), KINDS,
                                          "hum", Axle.FRONT)  # fmt: skip


def test_what_follows_resonance_takes_no_words_for_speed() -> None:
    shaken = [Excites(order=1, law=Law.CONSTANT, path=Path.VERTICAL)]
    cause = made(garage.cause("c", {}, like=["turns", "noise"], excites=shaken))
    noisy = made(garage.cause("c", {}, like=["noise"], excites=shaken))

    assert "worst" not in cause.shows
    assert {"fast": "often"} == noisy.shows["worst"]


def test_a_kind_may_be_like_another() -> None:
    lump = Kind(id="lump", name="l", says="l", like=["turns"], shows={"felt": "usually"})
    kinds = whole_kinds({"kinds": {"lump": lump, **KINDS}, "findings": FINDINGS,
                         "strengths": WORDS})  # fmt: skip
    cause = made(garage.cause("c", {}, like=["lump"]), kinds)

    assert {"felt": "usually", "feel": {"hop": "often"}} == cause.shows
    assert SpeedBy.RESONANCE is cause.speed


def test_a_ring_of_kinds_is_cut() -> None:
    """`rules check` names it; here it only has to come to an end."""
    ring = {"turns": structs.replace(TURNS, like=["noise"]),
            "noise": structs.replace(NOISE, like=["turns"])}  # fmt: skip
    kinds = whole_kinds({"kinds": ring, "findings": FINDINGS, "strengths": WORDS})

    assert "often" == kinds["turns"].shows["felt"]
