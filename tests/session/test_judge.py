"""Typed values against the limit in force.

Decision zones: ISO 14253-1:2017 (from memory): limit less uncertainty proves within, limit plus
uncertainty proves beyond, anything between proves neither.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.decision import Zone
from vibecheck.session.judge import Judged, judge
from vibecheck.session.limits import LimitOrigin
from vibecheck.session.open_case import library_at

INCH_MM = 25.4  # exact; NIST SP 811 (2008), Appendix B


def judged(typed: str, finding: str = "bead_radial_inboard", **facts: str) -> Judged:
    library = library_at(None)
    limits = {name: facts.pop(name) for name in tuple(facts) if name in library.tolerances}
    return judge(library, limits, facts, library.findings[finding], typed)


def zone(found: Judged) -> Zone | None:
    return found.decision.zone if found.decision else None


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("9.5 thou", Zone.WITHIN),  # 0.24 mm (common practice, no source)
        ("47 thou", Zone.BEYOND),  # 1.19 mm, a plain bend (common practice, no source)
        ("0.49 mm +/- 0.02", Zone.UNDECIDED),
        ("0.47 mm +/- 0.02", Zone.WITHIN),
        ("0.53 mm +/- 0.02", Zone.BEYOND),
        ("0.50 mm +/- 0.001", Zone.UNDECIDED),
        ("0.49 mm +/- 0.005", Zone.WITHIN),
        ("0.51 mm +/- 0.005", Zone.BEYOND),
    ],
)
def test_zones_round_half_a_millimetre(typed: str, expected: Zone) -> None:
    assert expected == zone(judged(typed))


def test_the_same_length_in_any_unit_is_judged_the_same() -> None:
    ways = ("1.19380 mm +/- 0.02", "47 thou +/- 0.7874", "0.0470 in +/- 0.0007874")
    found = [judged(each) for each in ways]

    for each in found:
        assert each.measured.value == pytest.approx(0.047 * INCH_MM)
        assert each.likelihood == pytest.approx(found[0].likelihood, rel=1e-3)


def test_fewer_digits_are_less_sure() -> None:
    assert judged("0.4 mm").uncertainty > judged("0.40 mm").uncertainty > 0.0


def test_likelihoods_move_smoothly_over_the_limit() -> None:
    """0.49 must not act like 0.10, nor 0.51 like 1.2."""
    rows = [judged(f"{each} mm +/- 0.04").likelihood for each in (0.10, 0.49, 0.51, 1.2)]
    low, edge, over, far = (likelihood / likelihood.sum() for likelihood in rows)

    assert low[0] > 0.99 and far[2] > 0.8
    assert 0.5 < edge[0] < 0.8
    assert 0.5 < over[1] < 0.8
    assert edge[1] == pytest.approx(over[0], abs=0.05)


@given(st.floats(0.0, 20.0), st.floats(0.001, 1.0))
@settings(derandomize=True, max_examples=80, deadline=None)
def test_likelihoods_are_proper_and_finite(value: float, spread: float) -> None:
    found = judged(f"{value:.6f} mm +/- {spread:.6f}")

    assert np.isfinite(found.likelihood).all()
    assert (found.likelihood >= 0.0).all() and found.likelihood.sum() > 0.0


def test_where_less_is_worse_the_zones_turn_round() -> None:
    """2/32 in of tread: 49 CFR 570.9 (read)."""
    assert Zone.BEYOND == zone(judged("1.0 mm +/- 0.1", "tread_depth"))
    assert Zone.WITHIN == zone(judged("6 mm +/- 0.1", "tread_depth"))
    assert Zone.UNDECIDED == zone(judged("1.6 mm +/- 0.2", "tread_depth"))


def test_a_speed_has_no_limit_and_no_decision() -> None:
    found = judged("65 mph", "worst_speed")

    assert found.limit is None and found.decision is None
    assert found.measured.value == pytest.approx(104.607, abs=0.001)  # km/h; mile = 1.609344 km
    assert 3 == int(np.argmax(found.likelihood)) or 4 == int(np.argmax(found.likelihood))


def test_the_own_figure_goes_before_the_kind_of_car_and_that_before_the_general_one() -> None:
    general = judged("0.6 mm")
    steel = judged("0.6 mm", wheel_material="steel")
    own = judged("0.6 mm", wheel_material="steel", wheel_bead_radial="0.3 mm")
    limits = [each.limit for each in (general, steel, own)]

    assert [0.5, 0.8, 0.3] == [pytest.approx(each.value) for each in limits if each]
    assert [LimitOrigin.GENERAL, LimitOrigin.VARIANT, LimitOrigin.OWN] == [
        each.origin for each in limits if each
    ]
