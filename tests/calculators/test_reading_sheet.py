"""The sheet of readings: nothing typed is lost, and units are settled before numbers count."""

from __future__ import annotations

import pytest

from vibecheck.calculators.reading_sheet import (
    RoundSheet,
    check_reading,
    meant_otherwise,
    several,
)
from vibecheck.errors import ReadingError

EIGHT = "0 .05 .13 .21 .24 .22 .15 .06".split()


def filled(texts: list[str], count: int = 8) -> RoundSheet:
    """A sheet with these texts from the first place on."""
    sheet = RoundSheet(count)
    for text in texts:
        sheet.put(text)
    return sheet


def test_each_reading_moves_on_and_the_last_place_is_the_end() -> None:
    sheet = filled(EIGHT)

    assert tuple(EIGHT) == sheet.texts
    assert sheet.complete
    assert 7 == sheet.at
    assert 315.0 == sheet.angle(sheet.at)


def test_undo_goes_back_reading_by_reading() -> None:
    sheet = filled(["0.1", "0.2"])
    sheet.at = 0
    sheet.put("0.9")

    assert sheet.undo()
    assert ("0.1", "0.2") == sheet.texts[:2]
    assert 0 == sheet.at
    assert sheet.undo() and sheet.undo()
    assert 0 == sheet.read
    assert not sheet.undo()


def test_emptying_can_be_taken_back() -> None:
    sheet = filled(EIGHT)
    sheet.wipe_all()
    assert 0 == sheet.read

    sheet.undo()

    assert tuple(EIGHT) == sheet.texts


def test_another_number_of_places_keeps_what_is_out_of_sight() -> None:
    sheet = filled([str(number) for number in range(12)], 12)
    sheet.set_count(8)
    assert 8 == sheet.read
    sheet.set_count(12)

    assert 12 == sheet.read
    with pytest.raises(ReadingError, match="5 readings cannot be"):
        sheet.set_count(5)


def test_an_empty_sheet_takes_a_whole_column_and_a_begun_one_says_what_is_left() -> None:
    column = [f"0.{number:02}" for number in range(24)]
    empty, begun = RoundSheet(), filled(["0.1"])

    assert () == empty.fill(column)
    assert 24 == empty.count and empty.complete
    assert tuple(column[7:]) == begun.fill(column)
    assert ("0.1", *column[:7]) == begun.texts


@pytest.mark.parametrize("text, what", [
    ("abc", "is not a reading"), ("0.1.2", "two decimal marks"), ("250", "no runout reading"),
    ("[/bad]", "is not a reading"), ("9" * 10_000, "is not a reading"),
])
def test_a_text_that_cannot_be_read_stays_and_is_named_by_place(text: str, what: str) -> None:
    sheet = filled([*EIGHT[:3], text, *EIGHT[4:]])

    assert text == sheet.texts[3]
    assert [3] == list(sheet.faults("mm"))
    with pytest.raises(ReadingError, match=what):
        check_reading(text, "mm")
    with pytest.raises(ReadingError, match="reading 4 at 135 deg"):
        sheet.result("mm")


def test_readings_in_two_units_are_one_list_and_are_kept_as_typed() -> None:
    """25.4 mm to the inch exactly (NIST SP 811, appendix B)."""
    sheet = filled([*EIGHT[:4], *(f"{float(text) / 25.4:.7f} in" for text in EIGHT[4:])])

    found = sheet.result("mm", "0.5 mm")

    assert 0.24 == pytest.approx(found.runout.tir_mm, abs=1e-6)
    assert "undecided" == found.decision.zone.value  # a dent may lie between eight readings
    assert ("0 mm", ".05 mm", ".13 mm", ".21 mm") == found.readings[:4]
    assert all(text.endswith(" in") for text in found.readings[4:])


def test_writing_the_unit_keeps_every_digit_and_the_result() -> None:
    sheet = filled(EIGHT)
    before = sheet.result("mm").runout.tir_mm

    sheet.write_units("mm")

    assert tuple(f"{text} mm" for text in EIGHT) == sheet.texts
    assert before == sheet.result("in").runout.tir_mm


@pytest.mark.parametrize("texts, unit, units", [
    (["12"], "mm", ("thou",)), ([".49"], "in", ("mm", "thou")), (["0.49"], "mm", ()),
    (["500"], "mm", ()), (["12 mm"], "mm", ()), (["abc"], "mm", ()),
])
def test_another_unit_is_offered_only_where_this_one_is_implausible(
    texts: list[str], unit: str, units: tuple[str, ...]
) -> None:
    assert units == meant_otherwise(texts, unit)


def test_inches_typed_as_millimeters_are_noticed_against_the_limit() -> None:
    """A runout 25.4 times too small; 0.5 mm is the generic limit of the bead seat."""
    inches = filled([f"{float(text) / 25.4:.4f}" for text in EIGHT])

    assert ("in",) == inches.otherwise_in("mm", 0.5)
    assert () == inches.otherwise_in("in", 0.5)
    assert () == filled(EIGHT).otherwise_in("mm", 0.5)
    assert () == filled(["0.01 mm"] * 8).otherwise_in("mm", 0.5)


@pytest.mark.parametrize("pasted, texts", [
    ("0.05\n0.13\r\n\n-.2\n", ("0.05", "0.13", "-.2")),
    ("0,05 mm\t0,13 mm", ("0,05 mm", "0,13 mm")),
    ("1; 2 ;3", ("1", "2", "3")),
    (".05 18 thou", (".05", "18 thou")),
    ("[/bad]\n1", ("[/bad]", "1")),
])
def test_columns_and_rows_come_apart(pasted: str, texts: tuple[str, ...]) -> None:
    assert texts == several(pasted)


def test_an_example_stays_one_when_typed_over_and_goes_when_emptied() -> None:
    sheet = filled(["0.3"])
    sheet.invent()
    sheet.put("0.4")
    assert sheet.invented

    sheet.undo()
    sheet.undo()

    assert not sheet.invented
    assert "0.3" == sheet.texts[0]


def test_one_reading_more_than_places_closes_the_turn() -> None:
    """Thirteen values on a sheet of twelve are twelve places and the first one read again."""
    sheet = RoundSheet()
    left = sheet.fill([*"0 .1 .2 .3 .4 .5 .5 .4 .3 .2 .1 0".split(), ".06"])
    found = sheet.result("mm", "1 mm")

    assert left == () and sheet.count == 12 and sheet.complete
    assert found.runout.count == 12 and found.runout.drift is not None
    assert found.runout.drift.closing_mm == pytest.approx(0.06)
    assert len(found.readings) == len(found.angles) == 13
