"""Every demo case, told to the command line, ends as an experienced technician would end it.

What each case must give stands in the case itself under `expect`. The cases are invented; what they
expect is common practice, no source, except where a test below names one.
"""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from vibecheck.casebook import store
from vibecheck.casebook.case import Case, Expect
from vibecheck.cli.main import main
from vibecheck.knowledge.words import Family

FOLDER = Path(__file__).parents[1] / "demo_cases"
FILES = sorted(FOLDER.glob("*.yaml"))
CASES: dict[str, Case] = {path.stem: store.load(path).case for path in FILES}
MOST_CAUTIONS = 10
NOTHING = "none"  # no check is worth its minutes any more

Views = dict[str, Any]


@cache
def rank(name: str) -> Views:
    out = io.StringIO()
    with redirect_stdout(out):
        assert 0 == main(["rank", "--json", str(FOLDER / f"{name}.yaml")])
    found: Views = json.loads(out.getvalue())
    return found


def expected(name: str) -> Expect:
    found = CASES[name].expect
    assert found is not None
    return found


def spot(view: Views, id_key: str) -> str:
    """A view's id with its corner, as cases write it."""
    return view[id_key] + (f"@{view['corner']}" if view["corner"] else "")


@pytest.fixture(params=sorted(CASES))
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_the_top_cause_and_its_corner(name: str) -> None:
    expect, view = expected(name), rank(name)
    first = view["ranking"][0]

    assert expect.top == first["cause"]
    if expect.corner is not None:
        assert expect.corner == first["corner"]
        twin = [each for each in view["ranking"][1:] if each["cause"] == expect.top]
        assert all(each["probability"] < first["probability"] for each in twin)
    if expect.also:
        leading = view["ranking"][: 1 + len(expect.also)]
        assert {*expect.also} == {spot(each, "cause") for each in leading[1:]}
        assert all(each["probability"] > 0.5 for each in leading)


def test_what_must_not_lead(name: str) -> None:
    expect, view = expected(name), rank(name)
    top = view["ranking"][0]["probability"]
    chances = {each["cause"]: each["probability"] for each in reversed(view["ranking"])}

    assert expect.not_leading
    for cause in expect.not_leading:
        assert chances.get(cause, 0.0) < 0.7 * top, cause


def test_the_next_check(name: str) -> None:
    expect, view = expected(name), rank(name)
    if expect.next == NOTHING:
        assert [] == view["next"]
        assert view["conclusion"]["decided"]
        assert view["remedies"]
        return
    first = view["next"][0]

    assert expect.next in (first["check"], spot(first, "check"))
    assert first["steps"]


def test_the_word_on_driving(name: str) -> None:
    expect, view = expected(name), rank(name)
    stops = [each for each in view["cautions"] if each["level"] == "stop"]

    assert (expect.drive or "nothing_found") == view["drive"]["word"]
    if view["drive"]["word"] == "stop":
        assert "stop" == view["conclusion"]["kind"]
        assert stops == view["cautions"][: len(stops)]
    else:
        assert [] == stops


def test_cautions_fit_and_are_no_flood(name: str) -> None:
    view = rank(name)
    texts = [each["text"] for each in view["cautions"]]

    assert len(texts) == len(set(texts)) <= MOST_CAUTIONS
    assert all(each["why"] for each in view["cautions"])


def test_probabilities_are_proper(name: str) -> None:
    view = rank(name)
    chances = [each["probability"] for each in view["ranking"]]

    assert chances == pytest.approx(sorted(chances, reverse=True), abs=1e-9)
    assert all(0.0 <= chance <= 1.0 for chance in chances)
    assert 0.0 <= view["no_fault"] <= 1.0
    assert sum(each["probability"] for each in view["sets"]) <= 1.0 + 1e-9


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_says_that_it_is_invented(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert text.startswith("# Invented: ")
    assert store.load(path).case.invented


def test_places_and_families_are_all_there() -> None:
    from vibecheck.session.open_case import library_at

    causes = library_at(None).causes
    families = {causes[expected(name).top].family for name in CASES}

    assert len(CASES) >= 18
    assert {"counter", "bay", "driveway"} == {case.place for case in CASES.values()}
    assert set(Family) == families
    assert any(len(case.entries) >= 30 for case in CASES.values())
    assert any(case.facts.get("propulsion") == "electric" for case in CASES.values())


def test_a_bend_of_47_thou_is_replaced() -> None:
    view = rank("bent_wheel_after_pothole")
    text = " ".join(each["text"] for each in view["ranking"][0]["for"][:1])

    assert view["ranking"][0]["probability"] > 0.9
    assert "47 thou" in text and "proven beyond the limit" in text
    assert "replace_wheel" == view["remedies"][0]["remedy"]


def test_minus_two_and_a_half_to_seven_thou_is_within() -> None:
    view = rank("nine_and_a_half_thou")
    reading = next(each for each in view["readings"] if each["typed"] == "9.5 thou")

    assert "within" == reading["decision"]
    assert reading["value"] == pytest.approx(0.2413)  # mm: 9.5 thou, by definition of the inch
    kept = {entry.value: list(entry.readings) for entry in CASES["nine_and_a_half_thou"].entries}
    assert ["-2.5 thou", "7 thou"] == kept["9.5 thou"]


def test_undecided_says_what_would_decide_it() -> None:
    """0.49 mm +/- 0.02 mm against 0.5 mm: the zone of ISO 14253-1 in which nothing is proven."""
    view = rank("half_a_millimetre_undecided")
    reading = next(each for each in view["readings"] if each["typed"].startswith("0.49"))

    assert "undecided" == reading["decision"]
    assert "0.010 mm or less" in view["next"][0]["decides"]
    assert "mean of 4 whole repeats" in view["next"][0]["decides"]


def test_a_dropped_new_wheel_is_a_claim() -> None:
    view = rank("dropped_in_transit")

    assert "claim_on_shipper" == view["remedies"][0]["remedy"]
    assert view["remedies"][0]["here"]
    assert "note_shipping_claim" in {each["id"] for each in view["cautions"]}


def test_a_driveway_ends_with_what_to_ask_a_shop_for() -> None:
    view = rank("driveway_needs_a_shop")

    assert "shop" == view["conclusion"]["kind"]
    assert "Visit a shop and ask for this: With the tire off" in view["conclusion"]["text"]
    assert not view["next"][0]["here"]


def test_the_counter_hands_over_to_the_bay() -> None:
    view = rank("shakes_standing")

    assert "bay" == view["conclusion"]["kind"]
    assert view["conclusion"]["text"].startswith("Send the car to the bay; first check there: ")


def test_an_electric_car_has_no_engine() -> None:
    view = rank("electric_clunk")

    assert "engine" not in {each["family"] for each in view["ranking"]}


def test_the_figure_of_the_own_manual_says_so() -> None:
    view = rank("own_manual_figure")
    reading = next(each for each in view["readings"] if each["typed"] == "0.62 mm")

    assert (0.8, "within") == (reading["limit"], reading["decision"])
    assert "typed into the case" in reading["limit_from"]


def test_two_faults_stand_together() -> None:
    view = rank("two_faults_at_once")

    assert {"imbalance@LF", "rotor_thickness_varies@RF"} == set(view["sets"][0]["causes"])
