"""Sheets: what each must hold, at any width, with any text in the case."""

from __future__ import annotations

import re

import pytest

from vibecheck.errors import InputError
from vibecheck.report.blocks import Blank
from vibecheck.report.driveway_sheet import requests
from vibecheck.report.lines import time_range
from vibecheck.report.names import cause_name, finding_name
from vibecheck.report.sheet_parts import bay_work
from vibecheck.report.sheets import READERS, sheet_lines, sheet_text
from vibecheck.report.text import text_lines

HOSTILE = "\x1b[31m[/bad]\u202e\x07\x00 [red]x[/red] "
WORN = ("shake=strong", "wobble@LF=0.9 mm +/- 0.02", "wobble@RF=0.1 mm +/- 0.02")


def joined(lines) -> str:
    """The text of a sheet, however it was wrapped."""
    return " ".join(" ".join(lines).split())


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("width", [40, 61, 80, 200])
def test_no_line_is_wider_than_the_sheet(small, real, reader, width):
    for opened in (small(), small(*WORN), real("bead_radial_inboard@LF=0.9mm", "vibration=strong")):
        assert max(map(len, sheet_lines(opened.diagnosis, reader, width))) <= width


@pytest.mark.parametrize("reader", READERS)
def test_a_sheet_of_an_empty_case_says_so(small, reader):
    text = joined(sheet_lines(small().diagnosis, reader))

    assert "DRIVING:" in text
    assert "nothing has been noted yet" in text


@pytest.mark.parametrize("reader", READERS)
def test_hostile_text_is_shown_and_steers_nothing(small, reader):
    opened = small(*WORN, title=f"{HOSTILE} van")
    opened.note(HOSTILE + "y" * 10_000, heard=True)
    text = sheet_text(opened.diagnosis, reader)

    assert all(ch.isprintable() or ch == "\n" for ch in text)
    assert r"\x1b[31m[/bad]\u202e\x07\x00 [red]x[/red]" in text
    assert text.count("y") >= 10_000


@pytest.mark.parametrize("reader", READERS)
def test_do_not_drive_stands_before_everything_else(small, reader):
    opened = small("shake=strong", "loose@LF=seen")
    lines = sheet_lines(opened.diagnosis, reader)
    first = next(number for number, line in enumerate(lines) if line.startswith("DRIVING:"))

    assert "DRIVING: DO NOT DRIVE" == lines[first]
    assert [] == [line for line in lines[:first] if line.startswith("---")]
    assert "Do not drive with a loose wheel." in joined(lines)


def test_the_intake_sheet_gives_words_time_checks_and_lines_to_sign(small):
    opened = small("shake=strong", place="counter", facts={"drive": "rear"})
    opened.note("it jumps since spring", heard=True)
    opened.note("a patient man")
    text = joined(sheet_lines(opened.diagnosis, "counter"))

    assert '"it jumps since spring" Note: a patient man' in text
    assert "Shake: A lot" in text
    assert "driven wheels: rear" in text
    expected = time_range(opened.diagnosis.in_the_bay.minutes_expected)
    assert f"Time to find the cause: {expected}" in text
    assert "1. [ ] Look at the wheel" in text and "safety comes first" in text
    assert "Customer, date and signature: ____" in text
    assert "Service writer, date and signature: ____" in text


def test_a_note_taken_back_is_not_printed(small):
    opened = small(*WORN)
    opened.retract(opened.note("a mistake").id)

    assert "a mistake" not in sheet_text(opened.diagnosis, "counter")


def test_the_check_list_has_steps_tools_room_and_the_limit_with_its_source(small):
    opened = small("shake=strong", *(f"loose@{corner}=none" for corner in ("LF", "RF", "LR", "RR")))
    text = joined(sheet_lines(opened.diagnosis, "bay"))

    assert "Check 1: Measure the wobble" in text
    assert "; dial indicator. " in text
    assert "(1) Turn the wheel and read the dial." in text
    assert re.search("Check 1: Measure the wobble, (left|right) (front|rear)", text)
    assert re.search("Wobble: _+ mm limit 0.50 mm", text)
    assert "Limits from: general: Made up for a test (reasoned, not measured)" in text


def test_the_vehicle_s_own_limit_is_the_one_in_force(small):
    opened = small(*WORN[:2], limits={"wobble_limit": "0.3 mm"})
    text = joined(sheet_lines(opened.diagnosis, "bay"))

    assert "Wobble [mm] 0.30 0.900 +/- 0.020 OUT" in text
    assert "the vehicle's own specification, typed into the case" in text
    assert "Made up for a test" not in text


def test_choices_are_boxes_to_tick(small):
    assert "[ ] Not seen [ ] Seen [ ] not sure" in joined(sheet_lines(small().diagnosis, "bay"))


def test_readings_round_the_wheel_have_room_at_eight_angles(demo):
    text = joined(sheet_lines(demo("half_a_millimetre_undecided").diagnosis, "bay"))

    for angle in range(0, 360, 45):
        assert f" {angle} deg ______" in text


def test_the_shop_request_asks_in_the_words_of_the_rules_and_says_why(real):
    opened = real("vibration=strong", place="driveway")
    asked = [check.shop_request for check in opened.library.checks.values() if check.shop_request]
    text = joined(sheet_lines(opened.diagnosis, "driveway"))
    first = text.split("1. [ ] ")[1].split(" why: ")
    words = [" ".join(each.split()) for each in asked]

    assert any(first[0] in (each, f"{first[0].partition(': ')[0]}: {each}") for each in words)
    assert first[1].startswith(("confirms or clears: ", "tells ", "safety comes first"))
    assert "Please write down for me" in text


def test_no_corner_is_asked_for_alone_where_others_are_as_likely(real):
    """Nobody said on which side: a request for one wheel would leave three unlooked at."""
    opened = real("complaint_kind=noise", "hum=loud", "in_turns=one_side", place="driveway")
    found = opened.diagnosis
    alike = {each.rule.shop_request: {each.corner, *each.also_at}
             for each in (*found.next_checks, *bay_work(found)) if each.also_at}
    asked = [each for each in requests(found) if each.text in alike]

    assert asked
    for each in asked:
        assert alike[each.text] <= set(each.corners)
        if len(each.corners) == 4:
            assert each.line.startswith("Every wheel: ")
        assert not re.search("(left|right) (front|rear)", each.why)


def test_the_shop_request_of_a_decided_case_begins_with_the_remedy(demo):
    opened = demo("loose_nuts_found")
    remedy = opened.library.remedies[opened.diagnosis.remedies[0].spot.id]
    text = joined(sheet_lines(opened.diagnosis, "driveway"))

    assert opened.diagnosis.conclusion.decided
    where = opened.diagnosis.remedies[0].spot.corner.spoken.capitalize()
    assert f"1. [ ] {where}: {' '.join(remedy.shop_request.split())} why: there is a" in text


def test_nothing_to_ask_for_is_said(small):
    text = joined(sheet_lines(small().diagnosis, "driveway"))

    assert "There is nothing to ask a shop for now." in text


def test_the_customer_reads_plain_words_and_what_was_ruled_out(small):
    opened = small(*WORN)
    ranking, gone = opened.diagnosis.ranking, opened.diagnosis.ruled_out
    text = joined(sheet_lines(opened.diagnosis, "customer"))

    assert f"Most likely: {cause_name(opened.library, ranking[0].spot)}" in text
    assert ranking[0].rule.says in text
    assert "Wobble, left front 0.900 +/- 0.020 mm 0.50 mm out of order" in text
    assert "Wobble, right front 0.100 +/- 0.020 mm 0.50 mm in order" in text
    ruled = text.split("What we ruled out by looking or measuring")[1].split("What it will")[0]
    assert gone and all(
        opened.library.causes[each.cause.id].name in ruled
        and f"by: {finding_name(opened.library, each.finding)}: " in ruled
        for each in gone
    )
    assert "Verify the repair: Drive again." in text
    assert " bit" not in text
    assert "This sheet is no inspection of the car" in text


def test_an_undecided_reading_is_not_called_good_or_bad(small):
    opened = small("shake=strong", "wobble@LF=0.5 mm +/- 0.1")
    text = joined(sheet_lines(opened.diagnosis, "customer"))

    assert "too close to its limit to say; it has to be measured again" in text


def test_an_invented_case_is_marked_on_every_sheet(small):
    from msgspec import structs

    from vibecheck.session.open_case import OpenCase

    opened = small(*WORN)
    marked = OpenCase(None, structs.replace(opened.case, invented=True), opened.library)

    for reader in READERS:
        assert "THIS CASE IS INVENTED" in sheet_text(marked.diagnosis, reader)
        assert "THIS CASE IS INVENTED" not in sheet_text(opened.diagnosis, reader)


def test_a_sheet_leaves_the_case_as_it_was(small):
    opened = small(*WORN, place="driveway")
    case = opened.case
    for reader in READERS:
        sheet_text(opened.diagnosis, reader)

    assert opened.case == case


def test_an_unknown_reader_and_an_impossible_width_get_one_sentence(small):
    with pytest.raises(InputError, match="no sheet for 'boss'.*counter, bay, driveway, customer"):
        sheet_text(small().diagnosis, "boss")
    for width in (39, 201, -1):
        with pytest.raises(InputError, match="from 40 to 200"):
            sheet_text(small().diagnosis, "bay", width)


@pytest.mark.parametrize(
    ("both", "words"),
    [((0.0, 0.0), "none needed"), ((12.2, 12.4), "about 12 min"), ((5.0, 90.0), "5 to 90 min"),
     ((12.0, 105.0), "12 min to 1 h 45 min")],
)
def test_a_range_of_minutes_in_words(both, words):
    assert words == time_range(both)


def test_a_label_too_long_for_its_line_leaves_the_line_below_to_write_on():
    lines = text_lines([Blank("a very long name for a field of a sheet", "mm")], 40)

    assert lines[-1].endswith("_ mm") and lines[-1].count("_") >= 20
    assert all(len(line) <= 40 for line in lines)


def test_the_same_diagnosis_at_its_own_place_is_not_worked_out_twice(small):
    found = small(*WORN).diagnosis

    assert found.in_the_bay is found
