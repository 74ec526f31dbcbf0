"""The sense of a turn, the closing reading, a slow turn beside, and how texts were read."""

from __future__ import annotations

import re
from typing import Any

import pytest

from vibecheck.calculators.echo import read_as, refuse_doubtful
from vibecheck.calculators.registry import listed
from vibecheck.calculators.runout import CALCULATOR, run
from vibecheck.calculators.written_units import written_units
from vibecheck.errors import ReadingError
from vibecheck.metrology.places import Way
from vibecheck.metrology.units.choice import Units
from vibecheck.report.calculators.pages import calculator_page, read_as_blocks
from vibecheck.report.calculators.parts import turn_text
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording

HUMP = "0 0 .1 .3 .5 .3 .1 0 0 0 0 0 mm"  # high at the fifth of twelve places


METRIC = Units()


def both(units: Units = METRIC, **texts: str) -> tuple[dict[str, str], dict[str, str]]:
    return texts, written_units(CALCULATOR.fields, texts, units.of)


@pytest.mark.parametrize(("texts", "degrees"), [
    ({}, 120.0), ({"turned": "counterclockwise"}, 120.0), ({"turned": "clockwise"}, 240.0),
    ({"turned": "forward", "side": "left"}, 120.0), ({"turned": "forward", "side": "right"}, 240.0),
])
def test_a_wheel_turned_clockwise_past_the_gauge_is_read_backward(
    texts: dict[str, str], degrees: float
) -> None:
    """Plain geometry: rolled forward, left wheels turn counterclockwise seen from outside."""
    found = run({"readings": HUMP, **texts})

    assert found.runout.high_deg == pytest.approx(degrees)
    assert max(found.turn, key=lambda each: each[1])[0] == pytest.approx(degrees)


def test_forward_wants_the_side_of_the_car() -> None:
    with pytest.raises(ReadingError, match="left or right"):
        run({"readings": HUMP, "turned": "forward"})


def test_the_closing_reading_shows_what_crept_in() -> None:
    crept = run({"readings": "0 .06 .14 .23 .27 .26 .2 .12 .08 mm", "closed": "yes"}).runout

    assert crept.drift is not None and crept.drift.closing_mm == pytest.approx(0.08)
    assert crept.count == 8


def test_a_closing_angle_says_so_by_itself() -> None:
    found = run({"readings": "0 .05 .13 .21 .24 .22 .15 .06 .01 mm",
                 "angles": "0 45 90 135 180 225 270 315 360"}).runout

    assert found.drift is not None and found.count == 8


def test_readings_beyond_their_slow_turn_are_said() -> None:
    found = run({"readings": HUMP, "high": "0.2 mm", "low": "0 mm"})
    text = " ".join(text_lines(calculator_page("runout", found, Wording()), 200))

    assert found.slow_turn_excess_mm > 0.2 and "read again" in text


@pytest.mark.parametrize(("texts", "says"), [
    ({"tir": "+7/-2.5 thou"}, "high 7 thou, low -2.5 thou"),
    ({"tir": "12-13 thou"}, "12.5 thou"),
    ({"tir": "1/32"}, "0.03125 in"),
    ({"tir": "0.3"}, "0.3 mm"),
    ({"readings": "Dial (thou)\n0\n2\n5\n8\n9\n8\n6\n2"}, "8 readings in thou, under the heading"),
])
def test_what_was_typed_is_echoed_as_read(texts: dict[str, str], says: str) -> None:
    typed, written = both(**texts)
    run(written)
    shown = read_as_blocks(read_as(CALCULATOR, typed, written))

    assert says in " ".join(text_lines(shown, 200))


def test_a_bare_pair_counts_in_the_unit_chosen() -> None:
    _, written = both(Units(length="thou"), tir="+7/-2.5")

    assert run(written).runout.tir_mm == pytest.approx(9.5 * 0.0254)


@pytest.mark.parametrize(("texts", "readings"), [
    ({"tir": ".047", "tolerance": "0.5 mm"}, ("0.047 in", "0.047 mm")),
    ({"tir": "18", "tolerance": "0.5 mm"}, ("18 thou", "18 mm")),
    ({"high": "9", "low": "-9", "tolerance": "0.5 mm"}, ("18 thou", "18 mm")),
    ({"readings": "0 3 7 12 18 14 8 2", "tolerance": "0.5"}, ("18 thou", "18 mm")),
])
def test_a_bare_runout_meant_otherwise_is_refused(
    texts: dict[str, str], readings: tuple[str, str]
) -> None:
    with pytest.raises(ReadingError) as refused:
        refuse_doubtful(CALCULATOR, *both(**texts))

    assert all(each in str(refused.value) for each in readings)


@pytest.mark.parametrize("texts", [
    {"tir": ".047 in", "tolerance": "0.5 mm"}, {"tir": "0.3", "tolerance": "0.5 mm"},
    {"tir": "1/32", "tolerance": "0.5 mm"}, {"readings": "0 .05 .1 .2 .3 .2 .1 .05"},
])
def test_what_makes_sense_is_not_doubted(texts: dict[str, str]) -> None:
    refuse_doubtful(CALCULATOR, *both(**texts))


def test_a_turn_has_a_sense_a_mark_and_a_warning() -> None:
    """0.60 at 110 and 0.80 at 20: the shorter way is 90 deg back; the other way adds them up."""
    from vibecheck.calculators.match import run as match

    found: Any = match({"carrier": "0.60 mm at 110", "part": "0.80 mm at 20"})
    text = turn_text(found.match, found.quantity, Wording())

    assert found.match.turning.way is Way.COUNTERCLOCKWISE
    assert found.match.turning.degrees == pytest.approx(90.0)
    assert "90 deg counterclockwise, seen from outside, from the valve stem" in text
    assert "the other way it would be 1.40 mm" in text


def test_mirrored_lists_are_warned_of() -> None:
    """Three mountings of one true wheel and tire, one vector turned into its mirror image."""
    from vibecheck.calculators.stack import run as stack
    from vibecheck.metrology.vectors import Vector, add, turned

    wheel, tire = Vector(0.3, 200.0), Vector(0.4, 60.0)
    texts = {}
    for number, turn in enumerate((0.0, 90.0, 180.0, 270.0), start=1):
        whole = add((wheel, turned(tire, turn)))
        angle = whole.angle_deg if number != 3 else -whole.angle_deg % 360.0
        texts |= {f"read{number}": f"{whole.tir:.3f} mm +/- 0.02 at {angle:.1f}",
                  f"tire{number}": f"{turn:g}"}
    said = " ".join(text_lines(calculator_page("stack", stack(texts), Wording()), 200))

    assert "mounting 3 fits far better mirrored" in said


ROUND_A_WHEEL = ("runout", "stack", "match", "balance", "moveweight", "trialweight", "hubface")


@pytest.mark.parametrize("name", ROUND_A_WHEEL)
def test_every_place_on_a_wheel_is_told_as_on_a_clock_too(name: str) -> None:
    """Degrees are read off a machine, a clock place is found on the car; 30 deg are an hour."""
    calculator = listed(name)
    assert calculator is not None
    for example in calculator.load().examples:
        page = calculator_page(name, calculator.load().run(example.texts), Wording(METRIC))
        text = " ".join(line.strip() for line in text_lines(page, 1000))

        assert [] == re.findall(r"(?:weight|spot|high|low|[ (][go]z?|mm) at \d+ deg(?! \(\d)", text)
