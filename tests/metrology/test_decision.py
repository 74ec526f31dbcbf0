"""A measured value against a limit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Zone, decide

small = st.floats(0.0, 10.0)


def test_undecided_says_what_would_decide() -> None:
    """0.49 +/- 0.02 against 0.5 needs 0.01; four repeats halve the uncertainty."""
    decision = decide(0.49, 0.02, 0.5)
    assert decision.zone is Zone.UNDECIDED
    assert decision.needed_uncertainty == pytest.approx(0.01)
    assert decision.repeats_needed == 4
    assert decide(0.49, 0.0099, 0.5).zone is Zone.WITHIN


def test_a_value_on_the_limit_cannot_be_decided() -> None:
    """No uncertainty decides a value on the limit itself."""
    decision = decide(0.5, 0.02, 0.5)
    assert decision.zone is Zone.UNDECIDED
    assert decision.needed_uncertainty == 0.0 and decision.repeats_needed is None


@settings(max_examples=80, derandomize=True, deadline=None)
@given(value=small, uncertainty=small, limit=small)
def test_zones_are_whole_and_stay_decided(value: float, uncertainty: float, limit: float) -> None:
    """Exactly one zone holds, and a smaller uncertainty never reverses a proof."""
    zone = decide(value, uncertainty, limit).zone
    finer = decide(value, uncertainty / 2.0, limit).zone
    if zone is not Zone.UNDECIDED and uncertainty > 0.0:
        assert finer is zone
    else:
        assert zone is Zone.UNDECIDED or uncertainty == 0.0


@pytest.mark.parametrize(
    "numbers", [(math.nan, 0.1, 0.5), (0.1, -0.1, 0.5), (0.1, 0.1, math.inf), (0.1, 0.1, -0.5)]
)
def test_what_cannot_be_judged(numbers: tuple[float, float, float]) -> None:
    """Non-finite numbers and negative limits or uncertainties are refused."""
    with pytest.raises(ReadingError):
        decide(*numbers)
