"""The word on driving and the cautions.

Whether a sign forbids driving is common practice, no source, except where a line names one.
"""

from __future__ import annotations

import re

import pytest

from vibecheck.knowledge.words import Level
from vibecheck.session.desk import Desk, library_at
from vibecheck.session.views import DriveWord, SessionView

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


def view(*answers: str, place: str = "bay", safe: bool = True) -> SessionView:
    made = Desk.new(None, place=place, facts={"drive": "front"})  # type: ignore[arg-type]
    named = {answer.split("=")[0] for answer in answers}
    calm = [each for each in SAFE if safe and each.split("=")[0] not in named]
    if calm or answers:
        made.answer([*calm, *answers])
    return made.view()


@pytest.mark.parametrize("answer", STOPS)
def test_a_sign_of_danger_stops_the_car(answer: str) -> None:
    found = view(answer)

    assert DriveWord.STOP == found.drive.word
    assert "stop" == found.cautions[0].level == found.conclusion.kind
    assert found.conclusion.decided
    assert found.cautions[0].text.startswith(("Do not drive", "The tread is at or under"))


@pytest.mark.parametrize("answer", STOPS)
def test_and_says_which_answer_did_it(answer: str) -> None:
    found = view(answer)
    library = library_at(None)
    name = library.findings[answer.split("=")[0].split("@")[0]].name
    stops = [each for each in found.cautions if each.level == "stop"]

    assert any(name in each.why for each in stops)


def test_taking_it_back_lifts_the_word() -> None:
    made = Desk.new(None, place="bay")
    made.answer(list(SAFE))
    entry = made.answer(["tire_bulge@LF=yes"])[0]
    assert DriveWord.STOP == made.view().drive.word
    made.retract(entry.id)

    assert DriveWord.STOP != made.view().drive.word
    assert not [each for each in made.view().cautions if each.level == "stop"]


def test_nothing_asked_yet_is_no_all_clear() -> None:
    """Until the two quick safety checks are done the word is not the best one."""
    found = view(safe=False)

    assert DriveWord.GENTLY == found.drive.word
    assert "not yet checked for safety" in found.drive.text
    assert found.next[0].safety


def test_the_best_word_still_promises_nothing() -> None:
    found = view()

    assert DriveWord.OPEN == found.drive.word
    assert "no safety inspection" in found.drive.text
    assert not found.conclusion.decided or "no_fault" == found.conclusion.kind


def test_a_likely_danger_stops_before_anybody_has_looked() -> None:
    found = view(
        "vibration=strong", "feel=waddle", "felt_in_steering_wheel=strong", "felt_in_seat=strong",
        "recent_wheel_work=yes", "retorqued=no", "started=after_work", "clunk=yes",
        "worst_speed=60 km/h",
    )

    assert "loose_nuts" == found.ranking[0].cause
    assert DriveWord.STOP == found.drive.word


def test_a_bent_wheel_asks_for_gentle_driving_and_never_for_straightening() -> None:
    found = view("bead_radial_inboard@LF=47 thou", "vibration=strong", "recent_pothole=yes")
    texts = {each.id: each.text for each in found.cautions}

    assert DriveWord.GENTLY == found.drive.word
    assert "bent wheel, left front" in found.drive.text
    assert "straighten a bent or cracked wheel" in texts["note_no_straightening"]


def test_beyond_the_inspection_figure_the_wheel_is_not_driven_on() -> None:
    """1/8 in at a bead area: 49 CFR 570.10(b) (read)."""
    assert DriveWord.STOP == view("bead_over_inspection@LF=3.6 mm").drive.word
    assert DriveWord.STOP != view("bead_over_inspection@LF=1.2 mm").drive.word


def test_jack_stands_are_named_where_somebody_lies_under_the_car() -> None:
    lifting = ("vibration=strong", "clunk=yes", "shakes_after_bump=clearly", "feel=shimmy")
    found = view(*lifting, place="driveway")
    raised = [each for each in found.next if "raised" in each.access or "off" in each.access]

    assert raised
    for each in raised:
        if each.here:
            assert any("jack stand" in text for text in each.cautions), each.check


def test_the_loudest_cautions_stand_first() -> None:
    levels = [each.level for each in view("tire_bulge@LF=yes", "recent_pothole=yes").cautions]
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
