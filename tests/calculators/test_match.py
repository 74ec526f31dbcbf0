"""The best turn against the forward model of stacked parts."""

from __future__ import annotations

import pytest
from calculator_helpers import refusal, texts, values_of

from vibecheck.calculators.match import CALCULATOR, run
from vibecheck.metrology.stack.matching import Worth
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.dial import mounted

TIRE, WHEEL, NONE = Vector(0.40, 20.0), Vector(0.30, 110.0), Vector(0.0, 0.0)
answers_of = CALCULATOR.answers_of


def test_the_prediction_is_what_the_forward_model_gives():
    found = run(texts(carrier="0.60 mm +/- 0.02 at 110", part="0.80 mm +/- 0.02 at 20"))

    assert mounted(TIRE, WHEEL, NONE).tir == pytest.approx(found.match.before.tir)
    turned = mounted(TIRE, WHEEL, NONE, found.match.turn_deg)
    assert turned.tir == pytest.approx(found.match.after.tir)
    least = min(mounted(TIRE, WHEEL, NONE, turn).tir for turn in range(360))
    assert least == pytest.approx(found.match.after.tir)
    assert Worth.YES is found.match.worth


def test_studs_allow_only_their_own_turns():
    found = run(texts(carrier="0.3 at 250", part="0.6 at 110", studs="5"))

    assert [0.0, 72.0, 144.0, 216.0, 288.0] == [turn for turn, _ in found.turns]
    assert min(size for _, size in found.turns) == pytest.approx(
        found.match.after.amplitude)


def test_force_goes_into_the_case_and_runout_does_not():
    typed = texts(carrier="60 N +/- 10 at 40", part="90 N +/- 10 at 40", force="yes")
    found = run(typed)

    assert values_of(answers_of(found))["radial_force"].startswith("150 N +/- ")
    assert () == answers_of(run(texts(carrier="0.6 at 110", part="0.8 at 20")))


def test_inches():
    found = run(texts(carrier="10 thou at 0", part="20 thou at 180", limit="30 thou"))

    assert 10 * 0.0254 == pytest.approx(found.match.before.tir)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(carrier="", part="1 at 0"), "carrier", "no reading"),
        (texts(carrier="1", part="1 at 0"), "carrier", "size at an angle"),
        (texts(carrier="1 at 0", part="1 at 0 at 3"), "part", "size at an angle"),
        (texts(carrier="1 at 0", part="x at 0"), "part", "'x'"),
        (texts(carrier="1 at 0", part="1 N at 0"), "part", "'N'"),
        (texts(carrier="1 at 0", part="1 at 0", studs="2"), "studs", "2 studs"),
        (texts(carrier="1 at 0", part="1 at 0", studs="many"), "studs", "many"),
        (texts(carrier="1 at 0", part="1 at 0", limit="0"), "limit", "above zero"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str):
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
