"""The word on driving and the cautions.

Whether a sign forbids driving is common practice, no source, except where a line names one.
"""

from __future__ import annotations

import re

import pytest

from vibecheck.knowledge.words import Level
from vibecheck.report.sentences import driving_reasons
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord, Driving
from vibecheck.session.open_case import OpenCase, library_at

SAFE = ("danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no")
STOPS = [
    "tire_bulge@LF=yes", "cord_exposed@RR=yes", "nuts_missing@LF=yes", "nuts_loose@LF=loose",
    "wheel_crack@LF=yes", "stud_damaged@LF=yes", "holes_elongated@LF=yes", "tie_rod_loose@LF=yes",
    "ball_joint_loose@RF=yes", "brake_warning=lamp", "hot_smell=smell", "fumes_inside=exhaust",
    "steering_loose=clearly", "pad_at_limit@LF=yes", "brake_fluid_leak@LR=yes",
    "wheel_hot@LF=hot", "danger_seen=fasteners",
    "tread_depth@LF=1.0 mm",  # 49 CFR 570.9: 2/32 in (read)
    "linkage_play@LF=10 mm",  # 49 CFR 570.7: 1/4 in at the tread (read)
]


def view(*answers: str, place: str = "bay", safe: bool = True) -> Diagnosis:
    made = OpenCase.new(None, place=place, facts={"drive": "front"})  # type: ignore[arg-type]
    named = {answer.split("=")[0] for answer in answers}
    calm = [each for each in SAFE if safe and each.split("=")[0] not in named]
    if calm or answers:
        made.answer([*calm, *answers])
    return made.diagnosis


@pytest.mark.parametrize("answer", STOPS)
def test_a_sign_of_danger_stops_the_car(answer: str) -> None:
    found = view(answer)

    assert DriveWord.STOP == found.driving.word
    assert "stop" == found.cautions[0].rule.level == found.conclusion.kind
    assert found.conclusion.decided
    assert found.cautions[0].rule.text.startswith(("Do not drive", "The tread is at or under"))


@pytest.mark.parametrize("answer", STOPS)
def test_and_says_which_answer_did_it(answer: str) -> None:
    found = view(answer)
    library = library_at(None)
    name = library.findings[answer.split("=")[0].split("@")[0]].name
    said = " ".join(driving_reasons(found, Wording()))

    assert found.driving.seen and name in said


def test_taking_it_back_lifts_the_word() -> None:
    made = OpenCase.new(None, place="bay")
    made.answer(list(SAFE))
    entry = made.answer(["tire_bulge@LF=yes"])[0]
    assert DriveWord.STOP == made.diagnosis.driving.word
    made.retract(entry.id)

    assert DriveWord.STOP != made.diagnosis.driving.word
    assert not [each for each in made.diagnosis.cautions if each.rule.level == "stop"]


def test_nothing_asked_yet_is_no_all_clear() -> None:
    """Until the two quick safety checks are done the word is not the best one."""
    found = view(safe=False)

    assert DriveWord.NOT_CHECKED == found.driving.word
    assert found.driving.unchecked and not found.driving.likely
    assert found.next_checks[0].option.urgent


def test_the_best_word_still_promises_nothing() -> None:
    found = view()

    assert DriveWord.NOTHING_FOUND == found.driving.word
    assert Driving() == found.driving
    assert ["This is no safety inspection. If it gets worse or the car pulls, stop."] == (
        driving_reasons(found, Wording()))
    assert not found.conclusion.decided or "no_fault" == found.conclusion.kind


def test_a_likely_danger_stops_before_anybody_has_looked() -> None:
    found = view(
        "vibration=strong", "feel=waddle", "felt_in_steering_wheel=strong", "felt_in_seat=strong",
        "recent_wheel_work=yes", "retorqued=no", "started=after_work", "clunk=yes",
        "worst_speed=60 km/h",
    )

    assert "loose_nuts" == found.ranking[0].cause
    assert DriveWord.STOP == found.driving.word


def test_a_stop_by_the_lower_share_of_a_caution_stands_until_a_look() -> None:
    """Loose joints of a steering box stop the car before they are likely enough in general."""
    made = OpenCase.new(None, place="counter",
                        facts={"steering_gear": "box", "rear_axle": "solid", "hub_bearing": "unit"})
    made.answer(["danger_seen=none", "pulls=no", "brake_warning=no", "steering_loose=slightly",
                 "height_changed=yes"])
    before = made.diagnosis.driving
    assert before.likely == () and "stop_steering_play" == before.seen[0].rule.id

    made.set_facts({"steering_gear": "", "rear_axle": "", "hub_bearing": ""})
    after = made.diagnosis.driving

    assert DriveWord.STOP == after.word
    assert ["steering_linkage_worn"] == [each.spot.id for each in after.held]


def test_a_bent_wheel_asks_for_gentle_driving_and_never_for_straightening() -> None:
    found = view("bead_radial_inboard@LF=47 thou", "vibration=strong", "recent_pothole=yes")
    texts = {each.rule.id: each.rule.text for each in found.cautions}

    assert DriveWord.CAUTION == found.driving.word
    assert [("bent_wheel", "LF")] == [each.spot for each in found.driving.likely]
    text = texts["note_no_straightening"]
    assert "Never weld, heat or straighten a bent or cracked wheel" in text


def test_beyond_the_inspection_figure_the_wheel_is_not_driven_on() -> None:
    """1/8 in at a bead area: 49 CFR 570.10(b) (read)."""
    assert DriveWord.STOP == view("bead_over_inspection@LF=3.6 mm").driving.word
    assert DriveWord.STOP != view("bead_over_inspection@LF=1.2 mm").driving.word


def test_jack_stands_are_named_where_somebody_lies_under_the_car() -> None:
    lifting = ("vibration=strong", "clunk=yes", "shakes_after_bump=clearly", "feel=shimmy")
    found = view(*lifting, place="driveway")
    raised = [
        each for each in found.next_checks
        if "raised" in each.rule.access or "off" in each.rule.access
    ]

    assert raised
    for each in raised:
        if each.option.here:
            texts = [library_at(None).cautions[name].text for name in each.rule.cautions]
            assert any("jack stand" in text for text in texts), each.check


def test_the_loudest_cautions_stand_first() -> None:
    levels = [each.rule.level for each in view("tire_bulge@LF=yes", "recent_pothole=yes").cautions]
    rank = {Level.STOP.value: 0, Level.WORK.value: 1, Level.NOTE.value: 2}

    assert levels == sorted(levels, key=lambda level: rank[level])


def test_no_text_anywhere_advises_to_straighten_or_weld() -> None:
    """A bent or cracked part is replaced (49 CFR 570.10 rejects a welded wheel; read)."""
    library = library_at(None)
    for remedy in library.remedies.values():
        for text in (remedy.name, *remedy.steps, remedy.verify, remedy.comeback):
            for sentence in re.split(r"[.;:]", text.lower()):
                denied = re.search(r"\b(no|not|never|nothing)\b", sentence)
                named = re.search(r"weld|straighten|torch|flame|press \w+ straight", sentence)
                assert denied or not named, (remedy.id, sentence)


def test_dangerous_causes_all_carry_a_stop_caution() -> None:
    library = library_at(None)
    for cause in library.causes.values():
        if cause.danger.value == "stop":
            levels = {library.cautions[each].level for each in cause.cautions}
            assert Level.STOP in levels, cause.id
