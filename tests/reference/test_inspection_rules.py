"""United States vehicle-in-use inspection rules (49 CFR part 570) as stop or reject findings.

Each case names its section. Sections 570.5, 570.8, 570.9 and 570.10(a) are from memory, with the
same content read in 570.59, 570.61, 570.63 and in State rules of Illinois and Maryland; 570.7,
570.10(b) and 570.10(c) were read in stored copies. Part 570 gives no figure for bearing play: the
State of Maryland (COMAR 11.14.05.03, read) rejects a bearing that is loose.
"""

from __future__ import annotations

import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord
from vibecheck.session.proving import diagnosis_of

STOPS = [
    ("570.10(a) cracked wheel", "wheel_crack@LF=yes", "stop_wheel_cracked"),
    ("570.10(a) elongated bolt holes", "holes_elongated@RR=yes", "stop_holes_elongated"),
    ("570.10(a) weld repair", "wheel_repair_seen@LR=yes", "stop_wheel_weld"),
    ("570.10(b) 1/8 in at the bead", "bead_over_inspection@LF=3.3 mm", "stop_rim_far_bent"),
    ("570.10(b) radial, inboard", "bead_radial_inboard@LF=0.130 in", "stop_rim_far_bent"),
    ("570.10(b) radial, outboard", "bead_radial_outboard@RF=3.3 mm", "stop_rim_far_bent"),
    ("570.10(b) lateral, inboard", "bead_lateral_inboard@LR=3.3 mm", "stop_rim_far_bent"),
    ("570.10(b) lateral, outboard", "bead_lateral_outboard@RR=3.3 mm", "stop_rim_far_bent"),
    ("570.10(c) nut missing", "nuts_missing@LF=yes", "stop_nuts_missing"),
    ("570.10(c) nut loose", "nuts_loose@RF=loose", "stop_nuts_loose"),
    ("570.10(c) stud broken", "stud_damaged@RF=yes", "stop_stud_broken"),
    ("570.7(a) free play over 2 in", "steering_free_play=2.2 in", "stop_steering_play"),
    ("570.7(b) linkage play over 1/4 in", "linkage_play@LF=0.3 in", "stop_steering_play"),
    ("570.8 ball joint", "ball_joint_loose@LF=yes", "stop_ball_joint"),
    ("570.8 broken spring", "spring_broken@LR=broken", "stop_suspension_damaged"),
    ("570.61(a) bent structural part", "suspension_bent@RF=yes", "stop_suspension_damaged"),
    ("570.9(a) tread under 2/32 in", "tread_depth@LF=1.4 mm", "stop_tread_worn"),
    ("570.9 bulge", "tire_bulge@LF=yes", "stop_tire_bulge"),
    ("570.9 exposed cord", "cord_exposed@LF=yes", "stop_cord_exposed"),
    ("570.9 tread separation", "tread_lump@LF=yes", "stop_belt_separation"),
    ("570.5 lining at its limit", "pad_at_limit@LF=yes", "stop_brake_worn"),
    ("570.5 fluid leak", "brake_fluid_leak@LF=yes", "stop_brake_fluid"),
    ("570.5 brake warning lamp", "brake_warning=lamp", "stop_brake_fluid"),
    ("COMAR 11.14.05.03 loose bearing", "bearing_play@LF=0.5 mm", "stop_bearing_play"),
]
REJECTS = [
    ("570.8 bushing", "bushing_torn@LF=yes"),
    ("570.61(b) damper leaks", "shock_leaks@LF=yes"),
    ("570.8(b) damper does not damp", "shock_bounce@LF=bounces"),
    ("570.7(d) toe", "toe_error=far_beyond"),
]
INSIDE = [
    ("570.10(b) at the bead", "bead_over_inspection@LF=3.0 mm", "stop_rim_far_bent"),
    ("570.10(b) radial", "bead_radial_inboard@LF=0.120 in", "stop_rim_far_bent"),
    ("570.7(a) free play", "steering_free_play=1.5 in", "stop_steering_play"),
    ("570.7(b) linkage play", "linkage_play@LF=0.1 in", "stop_steering_play"),
    ("570.9(a) tread", "tread_depth@LF=4 mm", "stop_tread_worn"),
    ("570.10(c) nuts", "nuts_loose@RF=tight", "stop_nuts_loose"),
    ("570.10(a) wheel", "wheel_crack@LF=no", "stop_wheel_cracked"),
]


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


def view(library: Library, *answers: str) -> Diagnosis:
    return diagnosis_of(library, {}, answers)


@pytest.mark.parametrize(("section", "answer", "caution"), STOPS, ids=[each[0] for each in STOPS])
def test_what_inspection_rejects_as_unsafe_stops_the_car(
    library: Library, section: str, answer: str, caution: str
) -> None:
    seen = view(library, answer)

    assert DriveWord.STOP == seen.driving.word
    assert caution in {each.rule.id for each in seen.cautions if each.rule.level == "stop"}


@pytest.mark.parametrize(("section", "answer"), REJECTS, ids=[each[0] for each in REJECTS])
def test_what_inspection_rejects_is_said(library: Library, section: str, answer: str) -> None:
    assert "note_inspection_rejects" in {each.rule.id for each in view(library, answer).cautions}


@pytest.mark.parametrize(("section", "answer", "caution"), INSIDE, ids=[each[0] for each in INSIDE])
def test_what_inspection_passes_raises_no_stop(
    library: Library, section: str, answer: str, caution: str
) -> None:
    assert caution not in {each.rule.id for each in view(library, answer).cautions}


def test_sudden_onset_with_a_pull_stops_and_either_alone_does_not(library: Library) -> None:
    """Common practice, no source: the two together mean a part that is letting go."""
    both = view(library, "vibration=strong", "started=suddenly", "pulls=slightly")
    alone = [view(library, "started=suddenly"), view(library, "vibration=none", "pulls=clearly"),
             view(library, "started=gradually", "pulls=slightly")]  # fmt: skip

    assert "stop_sudden_onset" in {each.rule.id for each in both.cautions}
    assert DriveWord.STOP == both.driving.word
    for seen in alone:
        assert "stop_sudden_onset" not in {each.rule.id for each in seen.cautions}
