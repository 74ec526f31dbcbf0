"""The interview as every front end uses it."""

from __future__ import annotations

import pytest

from vibecheck.errors import InputError
from vibecheck.knowledge.words import Place
from vibecheck.session.ending import EndingKind, ending
from vibecheck.session.interview import MOST_AT, Ended, Interview
from vibecheck.session.open_case import OpenCase

CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)


def opened(place: str, *answers: str, tools: tuple[str, ...] = ()) -> OpenCase:
    made = OpenCase.new(None, place=place, facts={"drive": "front"}, tools=tools)  # type: ignore[arg-type]
    if answers:
        made.answer(answers)
    return made


def test_safety_is_asked_first() -> None:
    """A danger is found before the cause is looked for (common practice, no source)."""
    walk = Interview(opened("counter", "vibration=strong"))
    seen = []
    while (question := walk.current()) is not None and question.check.option.urgent:
        seen.append(question.check.check)
        walk.cannot()

    assert {"ask_danger", "walk_round"} <= set(seen)
    assert question is not None and not question.check.option.urgent
    options = [check.option for check in walk.diagnosis.next_checks]
    assert not [option for option in options if option.urgent and option.here]


def test_counter_stops_at_twelve_and_can_go_on() -> None:
    walk = Interview(opened("counter", *CALM, "vibration=strong"))
    while walk.current() is not None:
        walk.unsure()

    assert walk.asked <= MOST_AT[Place.COUNTER]
    assert walk.ended in (Ended.MOST, Ended.ELSEWHERE)
    walk.go_on()
    assert walk.current() is not None


def test_stop_word_ends_the_interview_at_once() -> None:
    walk = Interview(opened("counter", *CALM, "nuts_missing@LF=yes"))

    assert walk.current() is None
    assert walk.ended is Ended.STOP
    assert ending(walk.diagnosis).kind is EndingKind.STOP


def test_a_danger_seen_somewhere_is_looked_for_at_the_corners_first() -> None:
    """Who saw a bulge on a walk round is asked where (common practice), and nothing else."""
    walk = Interview(opened("counter", "danger_seen=tire"))
    asked = []
    while (question := walk.current()) is not None:
        asked.append((question.field.finding, question.field.corner))
        walk.answer("no" if len(asked) < 3 else "yes")

    assert [finding for finding, _ in asked] == ["tire_bulge"] * 3
    assert len(set(asked)) == 3
    assert walk.ended is Ended.STOP
    assert walk.diagnosis.faults[0].corner == asked[-1][1]


def test_not_found_at_any_corner_ends_with_the_stop_word() -> None:
    walk = Interview(opened("counter", "danger_seen=tire"))
    for _ in range(20):
        if walk.current() is None:
            break
        walk.unsure()

    assert walk.ended is Ended.STOP


def test_in_the_bay_the_end_under_a_stop_names_the_repair() -> None:
    """The car stands where it is put right; at the counter it is told not to be driven, only."""
    ends = {
        place: ending(opened(place, *CALM, "tire_bulge@LF=yes", "vibration=strong").diagnosis)
        for place in ("counter", "bay")
    }

    assert {end.kind for end in ends.values()} == {EndingKind.STOP}
    assert ends["counter"].remedy is None
    remedy = ends["bay"].remedy
    assert remedy is not None and remedy.spot.id == "replace_tire"


def test_back_and_forward_over_everything_said() -> None:
    walk = Interview(opened("bay", *CALM, "vibration=strong"))
    walk.skip()
    now = walk.current()
    shown = []
    while walk.back():
        question = walk.current()
        assert question is not None and question.earlier
        shown.append(question.field.finding)

    assert len(shown) == len(CALM) + 2
    assert shown[1:] == ["vibration", *(each.split("=")[0] for each in reversed(CALM))]
    while walk.forward():
        pass
    assert walk.current() == now


def test_undecided_reading_is_asked_again_with_what_would_decide() -> None:
    walk = Interview(opened("bay", *CALM, "vibration=strong", "bead_radial_inboard@LF=0.49 mm"))
    again = [check for check in walk.diagnosis.next_checks if check.undecided]
    assert again
    walk.choose(again[0].check, again[0].corner)
    while (question := walk.current()) is not None and not question.again:
        walk.unsure()

    assert question is not None
    assert question.field.finding == "bead_radial_inboard"
    assert question.check.undecided


def test_refused_answer_changes_nothing() -> None:
    walk = Interview(opened("bay", *CALM))
    before, question = walk.open_case.case, walk.current()
    with pytest.raises(InputError):
        walk.answer("[/bad]")

    assert walk.open_case.case == before
    assert walk.current() == question


def test_check_that_tells_nothing_cannot_be_chosen() -> None:
    walk = Interview(opened("bay", *CALM))
    with pytest.raises(InputError, match="would tell nothing"):
        walk.choose("ask_danger", None)


def test_bay_time_is_that_of_the_bay() -> None:
    at_counter = opened("counter", *CALM, "vibration=strong", "feel=shimmy")
    in_bay = opened("bay", *CALM, "vibration=strong", "feel=shimmy")

    told = ending(at_counter.diagnosis).bay_minutes
    assert told == pytest.approx(in_bay.diagnosis.minutes_expected, abs=5.0)
    assert ending(in_bay.diagnosis).bay_minutes is None


def test_driveway_asks_only_what_its_tools_can_do() -> None:
    walk = Interview(opened("driveway", "vibration=strong", tools=("flashlight",)))
    for _ in range(120):
        question = walk.current()
        if question is None:
            break
        rule = walk.open_case.library.checks[question.check.check]
        assert "driveway" in rule.places
        assert set(rule.tools) <= {"flashlight"}
        walk.unsure()
    assert walk.current() is None
