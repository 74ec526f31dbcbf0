"""The match bench against the forward model of stacked parts."""

from __future__ import annotations

import pytest
from bench_helpers import refusal, values_of

from vibecheck.metrology.vectors import Vector
from vibecheck.session.benches.match import MatchTyped, run
from vibecheck.virtual.dial import mounted

TIRE, WHEEL, NONE = Vector(0.40, 20.0), Vector(0.30, 110.0), Vector(0.0, 0.0)


def test_the_prediction_is_what_the_forward_model_gives():
    found = run(MatchTyped(carrier="0.60 mm +/- 0.02 at 110", part="0.80 mm +/- 0.02 at 20"))

    assert mounted(TIRE, WHEEL, NONE).tir == pytest.approx(found.before)
    assert mounted(TIRE, WHEEL, NONE, found.turn_deg).tir == pytest.approx(found.after)
    assert min(mounted(TIRE, WHEEL, NONE, turn).tir for turn in range(360)) == pytest.approx(
        found.after)
    assert "worth doing" == found.worth


def test_studs_allow_only_their_own_turns():
    found = run(MatchTyped(carrier="0.3 at 250", part="0.6 at 110", studs="5"))

    assert [0.0, 72.0, 144.0, 216.0, 288.0] == [turn for turn, _ in found.table]
    assert min(size for _, size in found.table) == pytest.approx(found.after)


def test_force_goes_into_the_case_and_runout_does_not():
    typed = MatchTyped(carrier="60 N +/- 10 at 40", part="90 N +/- 10 at 40", force=True)
    found = run(typed)

    assert values_of(found.assignments("LF"))["radial_force"].startswith("150.0 N +/- ")
    assert () == run(MatchTyped(carrier="0.6 at 110", part="0.8 at 20")).assignments("LF")


def test_inches():
    found = run(MatchTyped(carrier="10 at 0", part="20 at 180", unit="thou", limit="30"))

    assert 10 * 0.0254 == pytest.approx(found.before)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (MatchTyped(carrier="", part="1 at 0"), "carrier", "no reading"),
        (MatchTyped(carrier="1", part="1 at 0"), "carrier", "size at an angle"),
        (MatchTyped(carrier="1 at 0", part="1 at 0 at 3"), "part", "size at an angle"),
        (MatchTyped(carrier="1 at 0", part="x at 0"), "part", "'x'"),
        (MatchTyped(carrier="1 at 0", part="1 N at 0"), "part", "'N'"),
        (MatchTyped(carrier="1 at 0", part="1 at 0", studs="2"), "studs", "2 studs"),
        (MatchTyped(carrier="1 at 0", part="1 at 0", studs="many"), "studs", "many"),
        (MatchTyped(carrier="1 at 0", part="1 at 0", limit="0"), "limit", "above zero"),
    ],
)
def test_bad_input_names_the_field(typed: MatchTyped, field: str, says: str):
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
