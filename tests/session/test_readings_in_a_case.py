"""Readings in a case: repeats, what leaves a surface open, the proof of one reading, places."""

from __future__ import annotations

import pytest

from vibecheck.calculators.reading_sheet import SEEN_BEND_DEG, advised_count
from vibecheck.calculators.registry import listed
from vibecheck.calculators.runout import CONTACT, HIGH, LOW, recorded, run
from vibecheck.errors import InputError, ReadingError
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.between import readings_that_see
from vibecheck.metrology.runout.judgement import Decides, Open
from vibecheck.metrology.runout.repeats import NextReading, Repeat
from vibecheck.report.blocks import Block, Columns, Drawing
from vibecheck.report.parts import reading_blocks
from vibecheck.report.sentences import taken_text
from vibecheck.report.sheets import sheet_page
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.answers import Assignment
from vibecheck.session.intake import take_in
from vibecheck.session.interview import Interview
from vibecheck.session.judge import Judged
from vibecheck.session.open_case import OpenCase
from vibecheck.session.typed import refuse_doubtful

BEAD = "bead_radial_inboard"
AT = Spot(BEAD, Corner.LF)
ZEROS = "0 0 0 0 0 0 0 0 mm"
BENT = (  # invented: 24 readings, a dip of about 0.6 mm round 150 deg
    "0.02 0.01 0.00 -0.01 0.00 0.00 -0.02 -0.10 -0.30 -0.55 -0.63 -0.55 -0.30 -0.10 -0.01 0.00 "
    "0.01 0.02 0.03 0.03 0.04 0.03 0.03 0.02 mm")


@pytest.fixture
def desk() -> OpenCase:
    return OpenCase.new(None, place="bay", title="Invented")


def judged(desk: OpenCase) -> Judged:
    return desk.diagnosis.case_evidence.judged[AT]


def read(desk: OpenCase, **texts: str) -> None:
    each = listed("runout")
    assert each is not None
    take_in(desk, each.load(), run(texts), "", "LF", BEAD)


def test_two_readings_that_agree_are_surer_than_one(desk: OpenCase) -> None:
    """JCGM 100:2008, 4.2: a mean is surer; ISO/IEC 17043, Annex B: E_n of at most 1 agrees."""
    desk.answer([f"{BEAD}@LF=0.42 mm"])
    alone = judged(desk)
    desk.answer([f"{BEAD}@LF=0.45 mm"])
    both = judged(desk)

    assert both.repeats is not None and both.repeats.repeat is Repeat.AGREE
    assert 0.42 < both.measured.value < 0.45
    assert both.uncertainty < alone.uncertainty
    assert len(desk.case.entries) == 2


def test_a_bend_that_was_read_twice_leads_beside_three_good_surfaces(desk: OpenCase) -> None:
    """A dent at one bead seat leaves the other three surfaces alone (common practice, no source);
    a gauge that slipped once does not slip the same way when it is set up afresh."""
    desk.answer(["vibration=strong", f"{BEAD}@LF=1.0 mm", "bead_radial_outboard@LF=0.1 mm",
                 "bead_lateral_inboard@LF=0.1 mm", "bead_lateral_outboard@LF=0.1 mm"])
    once = judged(desk).likelihood
    desk.answer([f"{BEAD}@LF=1.02 mm"])
    twice = judged(desk).likelihood
    wheel = sum(each.probability for each in desk.diagnosis.ranking
                if each.spot.corner is Corner.LF and each.rule.family == "wheel")

    assert twice[0] / twice[1:].max() < 0.5 * once[0] / once[1:].max()
    assert "bent_wheel" == desk.diagnosis.faults[0].cause
    assert wheel > 2.0 / 3.0


def test_readings_that_do_not_repeat_prove_nothing_until_a_third(desk: OpenCase) -> None:
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    [entry] = desk.answer([f"{BEAD}@LF=0.22 mm"])
    two = judged(desk)

    assert two.zone is Zone.UNDECIDED
    assert two.repeats is not None and two.repeats.upcoming is NextReading.THIRD
    assert AT in desk.diagnosis.case_evidence.again
    assert any(AT in each.option.repeats for each in desk.diagnosis.next_checks)
    assert "nothing is replaced" in taken_text(desk.diagnosis, entry)

    desk.answer([f"{BEAD}@LF=0.84 mm"])
    three = judged(desk)
    assert three.zone is Zone.BEYOND
    assert three.repeats is not None and three.repeats.repeat is Repeat.ONE_STANDS_OUT


def test_taking_one_back_and_an_answer_in_words_end_a_repeat(desk: OpenCase) -> None:
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    [second] = desk.answer([f"{BEAD}@LF=0.22 mm"])
    desk.retract(second.id)
    assert judged(desk).zone is Zone.BEYOND

    desk.answer([f"{BEAD}@LF=within"])
    desk.answer([f"{BEAD}@LF=0.22 mm"])
    assert judged(desk).zone is Zone.WITHIN


def test_not_sure_of_a_repeat_leaves_the_reading(desk: OpenCase) -> None:
    """It says nothing: the reading stands as it was, and is not asked for once more."""
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    desk.answer([f"{BEAD}@LF=0.22 mm"])
    before = desk.diagnosis.belief.chances.copy()
    [word] = desk.answer([f"{BEAD}@LF=unsure"])

    assert judged(desk).repeats is not None and judged(desk).repeats.repeat is Repeat.DISAGREE
    assert desk.diagnosis.belief.chances == pytest.approx(before)
    assert AT not in desk.diagnosis.case_evidence.again

    desk.retract(word.id)
    assert AT in desk.diagnosis.case_evidence.again
    desk.answer([f"{BEAD}@LF=unsure"])
    desk.answer([f"{BEAD}@LF=0.84 mm"])
    assert judged(desk).repeats.repeat is Repeat.ONE_STANDS_OUT


def test_a_reading_taken_back_leaves_not_sure(desk: OpenCase) -> None:
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(desk)
    interview.jump(BEAD, "LF")
    interview.unsure()

    assert AT not in desk.diagnosis.case_evidence.judged
    assert AT in desk.diagnosis.case_evidence.unsure


def test_a_corrected_answer_is_no_repeat(desk: OpenCase) -> None:
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(desk)
    interview.jump(BEAD, "LF")
    interview.answer("0.22 mm")

    assert judged(desk).repeats is not None
    assert judged(desk).repeats.repeat is Repeat.SINGLE
    assert judged(desk).measured.value == pytest.approx(0.22)


def test_a_pointer_that_never_moved_says_nothing(desk: OpenCase) -> None:
    """Eight zeros at a bead seat are what a tip shows that does not touch."""
    before = desk.diagnosis.belief.chances.copy()
    read(desk, readings=ZEROS, tolerance="0.5 mm")
    found = judged(desk)

    assert found.zone is Zone.UNDECIDED and found.judgement is not None
    assert found.judgement.open[0].why is Open.STILL_POINTER
    assert found.judgement.open[0].decides is Decides.LIFT_THE_TIP
    assert list(found.likelihood) == [1.0] * len(found.likelihood)
    assert desk.diagnosis.belief.chances == pytest.approx(before)


def test_few_readings_do_not_prove_a_case_within_and_a_slow_turn_does(desk: OpenCase) -> None:
    few = "0 .05 .13 .21 .24 .22 .15 .06 mm"
    read(desk, readings=few)
    assert judged(desk).zone is Zone.UNDECIDED
    assert judged(desk).judgement.open[0].decides is Decides.HIGH_LOW_TURN

    other = OpenCase.new(None, place="bay")
    read(other, readings=few, high="0.25 mm", low="0 mm")
    assert judged(other).zone is Zone.WITHIN
    assert {HIGH, LOW} <= set(other.case.entries[0].angles)


def test_calculator_and_case_say_the_same_of_one_reading(desk: OpenCase) -> None:
    """0.49 mm against 0.5: neither proves it within, and both are as unsure."""
    desk.answer([f"{BEAD}@LF=0.49 mm"])
    calculated = run({"tir": "0.49 mm", "tolerance": "0.5 mm"})

    assert judged(desk).zone is Zone.UNDECIDED is calculated.decision.zone
    assert judged(desk).expanded == pytest.approx(calculated.runout.uncertainty_mm)


def test_one_reading_asks_for_its_repeat_before_a_part_is_replaced() -> None:
    story = ("vibration=strong", f"{BEAD}@LF=1.3 mm", "bead_radial_outboard@LF=0.1 mm",
             "bead_lateral_inboard@LF=0.1 mm", "bead_lateral_outboard@LF=0.1 mm",
             "local_bend_shape@LF=dip_and_bulge", "bead_oval@LF=0.05 mm")
    once = OpenCase.new(None, place="bay", rules=None)
    once.answer([*story])
    twice = OpenCase.new(None, place="bay", rules=None)
    twice.answer([*story])
    twice.answer([f"{BEAD}@LF=1.28 mm"])

    wanted = once.diagnosis.confirmation.check
    assert wanted is not None and AT in wanted.repeats
    assert not once.diagnosis.decided
    once.answer([f"{BEAD}@LF=unsure"])
    assert once.diagnosis.confirmation.done
    assert twice.diagnosis.confirmation.check is None
    assert twice.diagnosis.confirmation.done


def test_the_place_of_a_bend_survives_into_every_page(desk: OpenCase) -> None:
    read(desk, readings=BENT)
    found, wording = desk.diagnosis, Wording()
    pages = {
        "rank": reading_blocks(found, wording), "bay": sheet_page(found, "bay", wording),
        "customer": sheet_page(found, "customer", wording),
    }
    for name, page in pages.items():
        text = " ".join(" ".join(text_lines(page, 200)).split())
        assert "bent at 15" in text and "(5 o'clock)" in text, name
    [drawn] = drawings(pages["customer"])
    assert drawn.figure.limit == pytest.approx(0.5)
    assert "seen from outside" in drawn.caption


def drawings(blocks: tuple[Block, ...]) -> list[Drawing]:
    """The drawings of a page, those beside other blocks as well."""
    found = [each for each in blocks if isinstance(each, Drawing)]
    beside = [part for each in blocks if isinstance(each, Columns) for part in each.parts]
    return found + [each for part in beside for each in drawings(part)]


def test_what_is_kept_gives_the_same_result_again() -> None:
    """Closing reading, sense of the turn, slow turn and lifted tip come back from a case."""
    readings = "0 .05 .13 .21 .24 .22 .15 .06 .01 mm"
    first = run({"readings": readings, "closed": "yes", "turned": "clockwise", "high": "0.26 mm",
                 "low": "-0.01 mm", "contact": "yes", "tolerance": "0.5 mm"})
    again = run(recorded(first.readings, first.angles) | {"tolerance": "0.5 mm"})

    assert CONTACT in first.angles
    assert again.runout == first.runout and again.judgement == first.judgement
    assert again.turn == first.turn


def test_the_advised_number_of_readings_sees_what_it_claims() -> None:
    count = advised_count()
    assert count >= readings_that_see(SEEN_BEND_DEG, 0.25, 0.01)
    steps = " ".join(OpenCase.new(None, place="bay").library.checks["measure_bead_seats"].steps)
    assert f"{count} readings or more" in steps and "its high and its low" in steps


@pytest.mark.parametrize(("typed", "both"), [
    (f"{BEAD}@LF=0.047", ("0.047 in", "0.047 mm")), (f"{BEAD}@LF=18", ("18 thou", "18 mm")),
])
def test_a_bare_number_meant_otherwise_is_refused_with_both_readings(
    desk: OpenCase, typed: str, both: tuple[str, str]
) -> None:
    finding, _, value = typed.partition("=")
    with pytest.raises(ReadingError) as refused:
        refuse_doubtful(desk.diagnosis, [Assignment(BEAD, value, finding.partition("@")[2])])

    assert all(each in str(refused.value) for each in both)


def test_fractions_of_a_ruler_are_inches_and_are_not_doubted(desk: OpenCase) -> None:
    """A scale in 32nds is an inch scale (common practice, no source)."""
    refuse_doubtful(desk.diagnosis, [Assignment(BEAD, "1/32", "LF")])
    [entry] = desk.answer([f"{BEAD}@LF=1/32"])

    assert judged(desk).measured.value == pytest.approx(25.4 / 32.0)
    assert "read as 0.03125 in" in taken_text(desk.diagnosis, entry)


def test_a_refused_correction_loses_nothing(desk: OpenCase) -> None:
    desk.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(desk)
    interview.jump(BEAD, "LF")
    with pytest.raises(InputError):
        interview.answer("much")

    assert judged(desk).measured.value == pytest.approx(0.82)
