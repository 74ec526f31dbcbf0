"""The verdict on a wheel from its four bead surfaces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.judgement import Open
from vibecheck.metrology.runout.readings import Runout, from_high_low, from_readings, from_tir
from vibecheck.metrology.runout.wheel_verdict import (
    Pattern,
    Surface,
    Verdict,
    WheelVerdict,
    judge_wheel,
)
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.metrology.vectors import Vector
from vibecheck.report.calculators.wheel import verdict_sentences
from vibecheck.report.wording import Wording
from vibecheck.virtual.dial import Dent, Gauge, dial_readings
from vibecheck.virtual.dial import DrawnSurface as Shape

ANGLES = np.arange(36) * 10.0
TOLERANCE = 0.5  # mm; usual for aftermarket wheels (common practice, no source)


def typed(text: str) -> Runout:
    """A total as typed."""
    return from_tir(parse(text, Quantity.LENGTH))


def measured(shape: Shape, seed: int = 1) -> Runout:
    """36 readings of a true shape with an ordinary gauge."""
    [readings] = dial_readings(shape, ANGLES, Gauge(), np.random.default_rng(seed))
    return from_readings(list(readings), list(ANGLES))


def all_four(**worst: Runout) -> dict[Surface, Runout]:
    """Four straight surfaces, with some replaced by name."""
    surfaces = {surface: typed("0.15 mm") for surface in Surface}
    surfaces.update({Surface[name]: runout for name, runout in worst.items()})
    return surfaces


def said(verdict: WheelVerdict) -> str:
    """All sentences in one."""
    return " | ".join(verdict_sentences(verdict, Wording()))


def test_sound_wheel() -> None:
    """All four proven within."""
    verdict = judge_wheel(all_four(), TOLERANCE, tire_off=True)
    assert (verdict.verdict, verdict.pattern) == (Verdict.SOUND, Pattern.NONE)
    assert not verdict.missing and "all four" in said(verdict)


def test_missing_surfaces_are_asked_for() -> None:
    """Two good readings are no verdict on four surfaces."""
    verdict = judge_wheel({Surface.INBOARD_RADIAL: typed("0.2")}, TOLERANCE, tire_off=True)
    assert verdict.verdict is Verdict.INCOMPLETE
    assert len(verdict.missing) == 3 and "outboard lateral" in said(verdict)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(total=st.floats(0.0, 15.0))
def test_tire_on_never_condemns(total: float) -> None:
    """Whatever is read with the tire on, the wheel is not judged but measured tire off."""
    runout = from_high_low(total, 0.0)
    verdict = judge_wheel(
        {Surface.OUTBOARD_LATERAL: runout}, TOLERANCE, tire_off=False, new_wheel=True,
        impact_mark=True,
    )
    assert verdict.verdict is Verdict.MEASURE_TIRE_OFF
    assert not verdict.carrier_claim and verdict.pattern is Pattern.UNKNOWN
    assert "take the tire off" in said(verdict)


def test_edge_reading_is_undecided_and_says_what_decides() -> None:
    """0.49 +/- 0.02 against 0.5: an uncertainty of 0.010 mm would decide it."""
    verdict = judge_wheel(
        all_four(OUTBOARD_RADIAL=typed("0.49 +/- 0.02")), TOLERANCE, tire_off=True
    )
    assert verdict.verdict is Verdict.UNDECIDED
    assert "0.010 mm would decide" in said(verdict)


def test_plain_bend_and_regulation_reject() -> None:
    """47 thou is beyond 0.5 mm; 0.14 in is beyond the 1/8 in of 49 CFR 570.10(b)."""
    bent = judge_wheel(all_four(INBOARD_RADIAL=typed("47 thou")), TOLERANCE, tire_off=True)
    assert bent.verdict is Verdict.OUT_OF_TOLERANCE
    assert bent.surfaces[0].surface is Surface.INBOARD_RADIAL
    reject = judge_wheel(all_four(INBOARD_LATERAL=typed("0.14 in")), TOLERANCE, tire_off=True)
    assert reject.verdict is Verdict.REJECT and "570.10(b)" in said(reject)


def test_drop_leaves_dip_and_bulge_at_one_bead() -> None:
    """Common practice, no source: small arc, low beside high, the other side straight."""
    drop = Shape(first=Vector(0.05, 0.0), dents=(Dent(140.0, 40.0, 0.45, 0.35),))
    verdict = judge_wheel(all_four(OUTBOARD_RADIAL=measured(drop)), TOLERANCE, tire_off=True)
    assert verdict.verdict is Verdict.OUT_OF_TOLERANCE
    assert verdict.pattern is Pattern.DROP and "hard floor" in said(verdict)


def test_strike_is_wide_and_deep() -> None:
    """Common practice, no source: curb and pothole bend wide and deep."""
    strike = Shape(first=Vector(0.05, 0.0), dents=(Dent(200.0, 110.0, 1.8),))
    milder = Shape(dents=(Dent(200.0, 110.0, 0.9),))
    verdict = judge_wheel(
        all_four(INBOARD_RADIAL=measured(strike), OUTBOARD_RADIAL=measured(milder)),
        TOLERANCE, tire_off=True,
    )
    assert verdict.pattern is Pattern.STRIKE and "pothole" in said(verdict)


def test_same_dip_on_both_sides_is_no_drop() -> None:
    """If the other bead is out as well the origin stays open."""
    bent = Shape(dents=(Dent(140.0, 40.0, 0.45, 0.35),))
    verdict = judge_wheel(
        all_four(OUTBOARD_RADIAL=measured(bent), INBOARD_RADIAL=measured(bent, 2)),
        TOLERANCE, tire_off=True,
    )
    assert verdict.pattern is Pattern.LOCAL


def test_offset_points_at_the_centering() -> None:
    """A surface off center as a whole: check the centering before blaming the wheel."""
    verdict = judge_wheel(
        all_four(INBOARD_RADIAL=measured(Shape(first=Vector(0.4, 10.0)))), TOLERANCE, tire_off=True
    )
    assert verdict.pattern is Pattern.OFFSET and "centered" in said(verdict)


@pytest.mark.parametrize(
    ("text", "claim"), [("0.49 +/- 0.02", True), ("0.2", False), ("1.2", True)]
)
def test_new_wheel_with_a_mark_at_the_edge_is_a_carrier_claim(text: str, claim: bool) -> None:
    """Common practice, no source: claim and swap, even though it might balance out."""
    surfaces = all_four(OUTBOARD_RADIAL=typed(text))
    verdict = judge_wheel(surfaces, TOLERANCE, tire_off=True, new_wheel=True, impact_mark=True)
    assert verdict.carrier_claim is claim
    assert ("carrier" in said(verdict)) is claim
    for new, mark in ((False, True), (True, False)):
        other = judge_wheel(surfaces, TOLERANCE, True, new_wheel=new, impact_mark=mark)
        assert not other.carrier_claim


def test_lip_is_cosmetic_and_knurl_is_warned_of() -> None:
    """A wavy lip changes no verdict; jumping readings ask for another track."""
    plain = judge_wheel(all_four(), TOLERANCE, tire_off=True, lip_tir_mm=4.0)
    assert plain.verdict is Verdict.SOUND and "cosmetic" in said(plain)
    knurl = from_readings(list(0.15 * np.where(np.arange(36) % 2, 1.0, -1.0)), list(ANGLES))
    verdict = judge_wheel(all_four(INBOARD_RADIAL=knurl), TOLERANCE, tire_off=True)
    assert "knurled" in said(verdict)


def test_looser_factory_tolerance() -> None:
    """0.6 mm is beyond 0.5 mm but within 0.8 mm (common practice, no source)."""
    surfaces = all_four(INBOARD_RADIAL=typed("0.60"))
    assert judge_wheel(surfaces, 0.5, True).verdict is Verdict.OUT_OF_TOLERANCE
    assert judge_wheel(surfaces, 0.8, True).verdict is Verdict.SOUND


def test_refusals() -> None:
    """No reading, and tolerances that cannot be."""
    with pytest.raises(ReadingError, match="no reading"):
        judge_wheel({}, TOLERANCE, tire_off=True)
    for tolerance in (0.0, -0.5, float("nan"), 4.0):
        with pytest.raises(ReadingError, match="a tolerance of"):
            judge_wheel(all_four(), tolerance, tire_off=True)


def _reasons(verdict: WheelVerdict) -> set[Open]:
    return {point.why for each in verdict.surfaces for point in each.judgement.open}


def test_eight_zeros_prove_no_wheel_sound() -> None:
    """A gauge that never touched, at all four surfaces."""
    still = {surface: from_readings([0.0] * 8) for surface in Surface}
    verdict = judge_wheel(still, TOLERANCE, tire_off=True)
    assert verdict.verdict is Verdict.UNDECIDED
    assert Open.STILL_POINTER in _reasons(verdict) and verdict.pattern is Pattern.NONE
    seen = judge_wheel(
        {surface: from_high_low(0.0, 0.0) for surface in Surface}, TOLERANCE, tire_off=True,
        contact_seen=set(Surface),
    )
    assert seen.verdict is Verdict.SOUND


def test_few_readings_leave_a_sound_wheel_open_until_its_slow_turns() -> None:
    shape = Shape(first=Vector(0.06, 20.0))
    few = {surface: measured(shape, 3) for surface in Surface}
    verdict = judge_wheel(few, TOLERANCE, tire_off=True, new_wheel=True, impact_mark=True)
    assert verdict.verdict is Verdict.UNDECIDED and not verdict.carrier_claim
    assert _reasons(verdict) == {Open.BETWEEN_READINGS}
    turns = {surface: (from_high_low(0.13, 0.0),) for surface in Surface}
    settled = judge_wheel(few, TOLERANCE, tire_off=True, repeats=turns)
    assert settled.verdict is Verdict.SOUND


def test_a_weld_spike_condemns_no_wheel() -> None:
    """0.74 mm with it, 0.30 mm without: undecided, no claim, no pattern."""
    [readings] = dial_readings(Shape(first=Vector(0.15, 20.0)), ANGLES, Gauge(),
                               np.random.default_rng(2))
    readings[11] = readings.min() + 0.74
    verdict = judge_wheel(all_four(INBOARD_RADIAL=from_readings(list(readings))), TOLERANCE,
                          tire_off=True, new_wheel=True, impact_mark=True)
    assert verdict.verdict is Verdict.UNDECIDED and Open.SPIKE in _reasons(verdict)
    assert verdict.pattern is Pattern.NONE and not verdict.carrier_claim


def test_a_repeat_that_does_not_repeat_leaves_the_wheel_open() -> None:
    """0.82 mm, then 0.22 mm on one surface; a third of 0.80 mm tells."""
    surfaces = all_four(INBOARD_RADIAL=typed("0.82"))
    again = {Surface.INBOARD_RADIAL: [typed("0.22")]}
    verdict = judge_wheel(surfaces, TOLERANCE, tire_off=True, repeats=again)
    assert verdict.verdict is Verdict.UNDECIDED and _reasons(verdict) == {Open.REPEATS_DISAGREE}
    again[Surface.INBOARD_RADIAL].append(typed("0.80"))
    settled = judge_wheel(surfaces, TOLERANCE, tire_off=True, repeats=again)
    assert settled.verdict is Verdict.OUT_OF_TOLERANCE
    edge = all_four(INBOARD_RADIAL=typed("0.45"))
    assert judge_wheel(edge, TOLERANCE, True).verdict is Verdict.UNDECIDED
    mean = judge_wheel(edge, TOLERANCE, True, repeats={
        Surface.INBOARD_RADIAL: [typed("0.44"), typed("0.45"), typed("0.45")]})
    assert mean.verdict is Verdict.SOUND
