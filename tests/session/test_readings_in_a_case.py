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
def opened() -> OpenCase:
    return OpenCase.new(None, place="bay", title="Invented")


def judged(opened: OpenCase) -> Judged:
    return opened.diagnosis.case_evidence.judged[AT]


def read(opened: OpenCase, **texts: str) -> None:
    each = listed("runout")
    assert each is not None
    take_in(opened, each.load(), run(texts), "", "LF", BEAD)


def test_two_readings_that_agree_are_surer_than_one(opened: OpenCase) -> None:
    """JCGM 100:2008, 4.2: a mean is surer; ISO/IEC 17043, Annex B: E_n of at most 1 agrees."""
    opened.answer([f"{BEAD}@LF=0.42 mm"])
    alone = judged(opened)
    opened.answer([f"{BEAD}@LF=0.45 mm"])
    both = judged(opened)

    assert both.repeats is not None and both.repeats.repeat is Repeat.AGREE
    assert 0.42 < both.measured.value < 0.45
    assert both.uncertainty < alone.uncertainty
    assert len(opened.case.entries) == 2


def test_a_bend_that_was_read_twice_leads_beside_three_good_surfaces(opened: OpenCase) -> None:
    """A dent at one bead seat leaves the other three surfaces alone (common practice, no source);
    a gauge that slipped once does not slip the same way when it is set up afresh."""
    opened.answer(["vibration=strong", f"{BEAD}@LF=1.0 mm", "bead_radial_outboard@LF=0.1 mm",
                 "bead_lateral_inboard@LF=0.1 mm", "bead_lateral_outboard@LF=0.1 mm"])
    once = judged(opened).likelihood
    opened.answer([f"{BEAD}@LF=1.02 mm"])
    twice = judged(opened).likelihood
    wheel = sum(each.probability for each in opened.diagnosis.ranking
                if each.spot.corner is Corner.LF and each.rule.family == "wheel")

    assert twice[0] / twice[1:].max() < 0.5 * once[0] / once[1:].max()
    assert "bent_wheel" == opened.diagnosis.faults[0].cause
    assert wheel > 2.0 / 3.0


def test_readings_that_do_not_repeat_prove_nothing_until_a_third(opened: OpenCase) -> None:
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    [entry] = opened.answer([f"{BEAD}@LF=0.22 mm"])
    two = judged(opened)

    assert two.zone is Zone.UNDECIDED
    assert two.repeats is not None and two.repeats.upcoming is NextReading.THIRD
    assert AT in opened.diagnosis.case_evidence.again
    assert any(AT in each.option.repeats for each in opened.diagnosis.next_checks)
    assert "nothing is replaced" in taken_text(opened.diagnosis, entry)

    opened.answer([f"{BEAD}@LF=0.84 mm"])
    three = judged(opened)
    assert three.zone is Zone.BEYOND
    assert three.repeats is not None and three.repeats.repeat is Repeat.ONE_STANDS_OUT


def test_taking_one_back_and_an_answer_in_words_end_a_repeat(opened: OpenCase) -> None:
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    [second] = opened.answer([f"{BEAD}@LF=0.22 mm"])
    opened.retract(second.id)
    assert judged(opened).zone is Zone.BEYOND

    opened.answer([f"{BEAD}@LF=within"])
    opened.answer([f"{BEAD}@LF=0.22 mm"])
    assert judged(opened).zone is Zone.WITHIN


def test_not_sure_of_a_repeat_leaves_the_reading(opened: OpenCase) -> None:
    """It says nothing: the reading stands as it was, and is not asked for once more."""
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    opened.answer([f"{BEAD}@LF=0.22 mm"])
    before = opened.diagnosis.belief.chances.copy()
    [word] = opened.answer([f"{BEAD}@LF=unsure"])

    assert judged(opened).repeats is not None and judged(opened).repeats.repeat is Repeat.DISAGREE
    assert opened.diagnosis.belief.chances == pytest.approx(before)
    assert AT not in opened.diagnosis.case_evidence.again

    opened.retract(word.id)
    assert AT in opened.diagnosis.case_evidence.again
    opened.answer([f"{BEAD}@LF=unsure"])
    opened.answer([f"{BEAD}@LF=0.84 mm"])
    assert judged(opened).repeats.repeat is Repeat.ONE_STANDS_OUT


def test_a_reading_taken_back_leaves_not_sure(opened: OpenCase) -> None:
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(opened)
    interview.jump(BEAD, "LF")
    interview.unsure()

    assert AT not in opened.diagnosis.case_evidence.judged
    assert AT in opened.diagnosis.case_evidence.unsure


def test_a_corrected_answer_is_no_repeat(opened: OpenCase) -> None:
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(opened)
    interview.jump(BEAD, "LF")
    interview.answer("0.22 mm")

    assert judged(opened).repeats is not None
    assert judged(opened).repeats.repeat is Repeat.SINGLE
    assert judged(opened).measured.value == pytest.approx(0.22)


def test_a_pointer_that_never_moved_says_nothing(opened: OpenCase) -> None:
    """Eight zeros at a bead seat are what a tip shows that does not touch."""
    before = opened.diagnosis.belief.chances.copy()
    read(opened, readings=ZEROS, tolerance="0.5 mm")
    found = judged(opened)

    assert found.zone is Zone.UNDECIDED and found.judgement is not None
    assert found.judgement.open[0].why is Open.STILL_POINTER
    assert found.judgement.open[0].decides is Decides.LIFT_THE_TIP
    assert list(found.likelihood) == [1.0] * len(found.likelihood)
    assert opened.diagnosis.belief.chances == pytest.approx(before)


def test_few_readings_do_not_prove_a_case_within_and_a_slow_turn_does(opened: OpenCase) -> None:
    few = "0 .05 .13 .21 .24 .22 .15 .06 mm"
    read(opened, readings=few)
    assert judged(opened).zone is Zone.UNDECIDED
    assert judged(opened).judgement.open[0].decides is Decides.HIGH_LOW_TURN

    other = OpenCase.new(None, place="bay")
    read(other, readings=few, high="0.25 mm", low="0 mm")
    assert judged(other).zone is Zone.WITHIN
    assert {HIGH, LOW} <= set(other.case.entries[0].angles)


def test_calculator_and_case_say_the_same_of_one_reading(opened: OpenCase) -> None:
    """0.49 mm against 0.5: neither proves it within, and both are as unsure."""
    opened.answer([f"{BEAD}@LF=0.49 mm"])
    calculated = run({"tir": "0.49 mm", "tolerance": "0.5 mm"})

    assert judged(opened).zone is Zone.UNDECIDED is calculated.decision.zone
    assert judged(opened).expanded == pytest.approx(calculated.runout.uncertainty_mm)


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


def test_the_place_of_a_bend_survives_into_every_page(opened: OpenCase) -> None:
    read(opened, readings=BENT)
    found, wording = opened.diagnosis, Wording()
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
    opened: OpenCase, typed: str, both: tuple[str, str]
) -> None:
    finding, _, value = typed.partition("=")
    with pytest.raises(ReadingError) as refused:
        refuse_doubtful(opened.diagnosis, [Assignment(BEAD, value, finding.partition("@")[2])])

    assert all(each in str(refused.value) for each in both)


def test_fractions_of_a_ruler_are_inches_and_are_not_doubted(opened: OpenCase) -> None:
    """A scale in 32nds is an inch scale (common practice, no source)."""
    refuse_doubtful(opened.diagnosis, [Assignment(BEAD, "1/32", "LF")])
    [entry] = opened.answer([f"{BEAD}@LF=1/32"])

    assert judged(opened).measured.value == pytest.approx(25.4 / 32.0)
    assert "read as 0.03125 in" in taken_text(opened.diagnosis, entry)


def test_a_refused_correction_loses_nothing(opened: OpenCase) -> None:
    opened.answer([f"{BEAD}@LF=0.82 mm"])
    interview = Interview(opened)
    interview.jump(BEAD, "LF")
    with pytest.raises(InputError):
        interview.answer("much")

    assert judged(opened).measured.value == pytest.approx(0.82)
