"""Proof before parts: nobody pays for a part on words or on a reading that several causes share."""

from __future__ import annotations

import pytest
from msgspec import structs

from vibecheck.casebook.journal import ordered
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.knowledge.words import CheckKind
from vibecheck.session.advice import GoOn
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.open_case import OpenCase, diagnose
from vibecheck.session.plan import FAR_MORE, TELLS, own_checks, proof

SAFE = ("danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no")
MOUNT = (
    *SAFE, "vibration=strong", "feel=buzz", "felt_in_seat=strong", "at_standstill=clearly",
    "engine_lamp=off", "power_loss=no", "idle_swings=no", "clunk=yes",
    "changes_in_neutral_standing=gone_in_neutral", "in_neutral_coast=gone", "moving_off=slightly",
    "idle_under_spec=no", "driveline_work=no", "mount_switch_dead=no",
    "rattle=no", "started=gradually",
)
FACTS = {"drive": "front", "propulsion": "combustion", "transmission": "automatic"}


def opened(place: str = "bay") -> OpenCase:
    made = OpenCase.new(None, place=place, facts=FACTS)  # type: ignore[arg-type]
    made.answer(MOUNT)
    return made


def test_words_alone_ask_for_the_proof_first() -> None:
    view = opened().diagnosis

    assert "engine_mount" == view.ranking[0].cause
    assert not view.conclusion.decided
    assert "look_at_mounts" == view.next_checks[0].check
    assert view.conclusion.go_on is GoOn.CONFIRM_FIRST


def test_the_proof_decides_and_nothing_idle_is_left_to_ask() -> None:
    made = opened()
    made.answer(["mount_torn=torn"], check="look_at_mounts")
    view = made.diagnosis

    assert view.conclusion.decided and "fix" == view.conclusion.kind
    assert view.conclusion.remedy and "replace_engine_mount" == view.conclusion.remedy.id
    assert [] == [each.check for each in view.next_checks if each.rule.kind == "question"]


def test_taking_the_proof_back_asks_for_it_again() -> None:
    made = opened()
    entry = made.answer(["mount_torn=torn"])[0]
    made.retract(entry.id)

    assert "look_at_mounts" == made.diagnosis.next_checks[0].check


def test_a_proof_that_fails_does_not_end_with_the_part() -> None:
    made = opened()
    made.answer(["mount_torn=no", "stall_load=no"])
    view = made.diagnosis

    assert not view.conclusion.decided
    assert view.conclusion.go_on is not GoOn.CONFIRM_FIRST


def test_a_skipped_proof_is_not_asked_again() -> None:
    made = opened()
    made.step("look_at_mounts", None, "cannot")

    assert "look_at_mounts" not in {each.check for each in made.diagnosis.next_checks}


def test_the_counter_hands_the_proof_to_the_bay() -> None:
    view = opened("counter").diagnosis

    assert "bay" == view.conclusion.kind
    assert view.conclusion.check and "look_at_mounts" == view.conclusion.check.spot.id


def test_a_cheap_remedy_needs_no_proof() -> None:
    """Taking a roof box off is the proof and the cure in one (common practice, no source)."""
    made = OpenCase.new(None, place="driveway")
    made.answer(
        [*SAFE[:4], "vibration=slight", "feel=buzz", "felt_in_body=strong", "hum=no",
         "rattle=yes", "in_wind=yes", "roof_load=yes", "worse_loaded=no",
         "panel_loose=no", "cargo_loose=no"]
    )

    assert "refit_roof_load" == made.diagnosis.remedies[0].spot.id
    assert made.diagnosis.conclusion.decided


EVERY = 6  # entries from one state looked at to the next


@pytest.fixture(scope="module")
def states() -> list[Diagnosis]:
    """What every demo visit came to on its way, and at its end."""
    found = []
    for path in sorted(find_demo_cases().glob("*.yaml")):
        end = OpenCase.open(path).diagnosis
        entries = ordered(end.case.entries)
        for count in range(len(entries), 0, -EVERY):
            part = structs.replace(end.case, entries=entries[:count])
            found.append(diagnose(end.library, part))
    return found


def test_a_fault_likely_enough_is_proven_before_anything_more_is_asked(
    states: list[Diagnosis]
) -> None:
    """Nobody asks on where one look or reading would settle it (common practice, no source)."""
    held = confirmed = 0
    for found in states:
        unhurried = [each for each in found.checks if not each.urgent]
        if (confirming := found.confirmation.check) is not None:  # a remedy is decided on
            confirmed += 1
            assert confirming.spot == unhurried[0].spot
            continue
        proven_by = proof(found)
        own = next((each for each in unhurried if each.spot == proven_by), None)
        if own is None or own.score < TELLS or own.repeats:
            continue
        held += 1
        assert [] == [
            each.spot for each in unhurried[: unhurried.index(own)]
            if not (each.repeats or each.rule.kind is not CheckKind.QUESTION
                    and each.score > FAR_MORE * own.score)
        ]
    assert held >= 5 and confirmed >= 5


def test_once_it_is_proven_only_safety_repeats_and_its_own_looks_are_left(
    states: list[Diagnosis]
) -> None:
    held = 0
    for found in states:
        if not (found.decided and found.confirmation.done):
            continue
        held += 1
        own = own_checks(found)
        assert [] == [each.option.spot for each in found.next_checks
                      if not (each.option.urgent or each.option.repeats
                              or each.option.spot in own)]
    assert held >= 3
