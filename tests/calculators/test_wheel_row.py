"""What is typed for bead surfaces: rows, dials, doubts, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.calculators.wheel_row import (
    DIALS,
    judged_alone,
    place_text,
    slow_turn,
    split_row,
    turn_texts,
    written,
)
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Zone

LIMIT = 0.5
fixed = settings(derandomize=True, max_examples=300, deadline=None)


@pytest.mark.parametrize(("text", "pieces"), [
    ("14 18", ("14", "18")),
    ("  14   18 ", ("14", "18")),
    ("14; 18", ("14", "18")),
    ("0.14 mm .18 mm", ("0.14 mm", ".18 mm")),
    ("14 18 thou", ("14 thou", "18 thou")),
    ("9/-5 12 / -3", ("9/-5", "12/-3")),
    (".49 +/- .02 mm", (".49 +/- .02 mm",)),
    ("12 -3", ("12", "-3")),
    ('0.014" 0.02"', ('0.014"', '0.02"')),
])
def test_a_row_is_parted_at_blanks(text: str, pieces: tuple[str, ...]) -> None:
    assert pieces == split_row(text)


@pytest.mark.parametrize(("text", "dial", "kept"), [
    ("14", "0.01 mm", "0.14 mm"), ("20", "0.01 mm", "0.20 mm"), ("119", "0.01 mm", "1.19 mm"),
    ("-5", "0.01 mm", "-0.05 mm"), ("9/-5", "0.01 mm", "0.09/-0.05 mm"),
    ("14.5", "0.01 mm", "0.145 mm"), ("14", "thou", "14 thou"), (".14", "mm", ".14 mm"),
    ("14 thou", "0.01 mm", "14 thou"), ("0.14mm", "0.01 mm", "0.14mm"),
])
def test_divisions_become_millimeters_and_no_digit_is_lost(
    text: str, dial: str, kept: str
) -> None:
    assert kept == written(text, dial)


@pytest.mark.parametrize(("text", "dial", "tir"), [
    ("14", "0.01 mm", 0.14), ("14", "thou", 0.3556), ("0.14", "mm", 0.14), ("0.014", "in", 0.3556),
    ("9/-5", "0.01 mm", 0.14), ("+7/-2.5 thou", "mm", 0.2413), ("47 thou", "0.01 mm", 1.1938),
])
def test_one_inch_is_25_4_mm(text: str, dial: str, tir: float) -> None:
    """The inch is 25.4 mm (international yard and pound agreement, 1959)."""
    found = judged_alone(slow_turn(text, dial, LIMIT), LIMIT)

    assert tir == pytest.approx(found.runout.tir_mm)


@pytest.mark.parametrize(("text", "dial", "named"), [
    ("0.047", "mm", ("0.047 in", "0.047 mm")),
    ("14", "mm", ("0.14 mm", "14 thou", "14 mm")),
    ("0.14", "0.01 mm", ("0.14 mm", "0.14 in", "0.0014 mm")),
    ("18", "in", ("0.18 mm", "18 thou", "18 in")),
])
def test_a_bare_number_that_makes_more_sense_elsewhere_is_refused_with_both(
    text: str, dial: str, named: tuple[str, ...]
) -> None:
    with pytest.raises(ReadingError, match="has no unit") as refused:
        slow_turn(text, dial, LIMIT)

    assert all(each in str(refused.value) for each in named)
    assert slow_turn(f"{text} thou", dial, LIMIT) if "." not in text else True


@pytest.mark.parametrize(("text", "dial"), [
    ("18", "mm"), ("0.05", "0.01 mm"), ("0.047", "mm"), ("12", "in"),
])
def test_a_place_round_the_wheel_is_doubted_alike(text: str, dial: str) -> None:
    with pytest.raises(ReadingError, match="has no unit"):
        place_text(text, dial)
    assert f"{text} thou" == place_text(f"{text} thou", dial)


@pytest.mark.parametrize(("text", "kept"), [("14.5", "0.145 mm"), ("-3", "-0.03 mm"),
                                            ("0", "0.00 mm"), ("119", "1.19 mm")])
def test_half_a_division_and_a_low_are_read(text: str, kept: str) -> None:
    assert kept == place_text(text, "0.01 mm")
    assert {"tir": "0.145 mm"} == slow_turn("14.5", "0.01 mm", LIMIT)


@pytest.mark.parametrize("text", ["0", "0.00 mm", "3/+3", "0.01 mm"])
def test_a_pointer_that_never_moved_is_refused(text: str) -> None:
    with pytest.raises(ReadingError, match="never moved"):
        slow_turn(text, "0.01 mm", LIMIT)


@pytest.mark.parametrize(("text", "word"), [
    ("9/5", "a fraction or a high and a low"), ("1/32", "a fraction or a high and a low"),
    ("-14", "negative"), ("900 mm", "no runout reading"), ("20 mm", "cannot be"),
    ("abc", "not"), ("1e400", "large"), ("٣", "not a reading"), ("14 kg", "unit"),
    ("", "no reading"),
])
def test_what_cannot_be_is_refused_in_one_sentence(text: str, word: str) -> None:
    with pytest.raises(ReadingError, match=word) as refused:
        slow_turn(text, "0.01 mm", LIMIT)

    assert "\n" not in str(refused.value)


def test_a_unit_needs_a_number_before_it() -> None:
    with pytest.raises(ReadingError, match="does not begin with a number"):
        split_row("mm 14")


@fixed
@given(st.text(max_size=40), st.sampled_from(sorted(DIALS)))
def test_any_text_is_read_or_refused(text: str, dial: str) -> None:
    for read in (lambda: slow_turn(text, dial, LIMIT), lambda: place_text(text, dial)):
        try:
            for piece in split_row(text):
                assert written(piece, dial)
            read()
        except ReadingError as error:
            assert str(error)


@fixed
@given(st.text("0123456789.,/+- \"mthouin", min_size=1, max_size=14),
       st.sampled_from(sorted(DIALS)))
def test_texts_like_readings_are_read_or_refused(text: str, dial: str) -> None:
    try:
        found = judged_alone(slow_turn(text, dial, LIMIT), LIMIT)
    except ReadingError:
        return
    assert found.runout.tir_mm > 0.0


def test_few_places_alone_prove_nothing_and_with_a_slow_turn_they_do() -> None:
    """A dent may lie between eight places; an eye on the pointer all the way round misses none."""
    places = [f"{value} mm" for value in "0.00 0.03 0.06 0.08 0.09 0.07 0.05 0.02".split()]
    angles = [f"{45 * place}" for place in range(8)]
    alone = judged_alone(turn_texts(places, angles), LIMIT)
    both = judged_alone(turn_texts(places, angles, "", {"tir": "0.10 mm"}), LIMIT)

    assert alone.judgement is not None and Zone.UNDECIDED is alone.judgement.zone
    assert both.judgement is not None and Zone.WITHIN is both.judgement.zone
    assert "" == both.bend_shape  # eight places show no shape of a bend


def test_places_in_two_units_are_one_turn() -> None:
    texts = turn_texts(["0.1 mm", "4 thou", "0.1 mm", "0.1 mm", "0.12 mm", "0.1 mm"],
                       [str(60 * place) for place in range(6)], "0.1 mm", {"tir": "5 thou"})

    assert "mm" in texts["readings"] and "thou" not in texts["readings"]
    assert "0.127 mm" == texts["tir"]
    assert judged_alone(texts, LIMIT).runout.tir_mm == pytest.approx(0.127)
