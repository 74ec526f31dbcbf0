"""Bearing orders as typed: published multiples of two bearings, passings counted, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts

from vibecheck.calculators.bearing import CALCULATOR, BearingPart, BearingResult, run

DRIVE_END = {"balls": "9", "ball": "0.3126 in", "pitch": "1.537 in"}
FAN_END = {"balls": "8", "ball": "0.2656 in", "pitch": "1.122 in"}


def orders(found: BearingResult) -> dict[BearingPart, float]:
    return {each.part: each.order for each in found.strikes}


@pytest.mark.parametrize(
    ("typed", "inner", "outer", "cage", "ball"),
    [(DRIVE_END, 5.4152, 3.5848, 0.39828, 4.7135), (FAN_END, 4.9469, 3.0530, 0.3817, 3.9874)],
    ids=["drive end, 6205 size", "fan end, 6203 size"],
)
def test_multiples_of_a_published_bearing_data_set(
    typed: dict[str, str], inner: float, outer: float, cage: float, ball: float
) -> None:
    """Case Western Reserve University bearing data: dimensions [in] and multiples (memory)."""
    found = orders(run(typed))

    assert (inner, outer, cage, ball) == tuple(
        pytest.approx(found[part], rel=2e-3)
        for part in (BearingPart.INNER_RING, BearingPart.OUTER_RING, BearingPart.CAGE,
                     BearingPart.BALL))


def test_a_record_of_that_data_set() -> None:
    """At 1,797 rpm the outer ring of the drive end strikes at 107.4 Hz (same data set, memory)."""
    found = run(texts(**DRIVE_END, rpm="1797", measured="107.4 Hz"))

    assert BearingPart.OUTER_RING is found.matches[0].part and found.matches[0].fits
    assert "a flaw on the outer ring" in said("bearing", found)


def test_a_whole_order_fits_no_part() -> None:
    found = run(texts(**DRIVE_END, speed="100", tire="205/55R16", measured="28.8 Hz"))

    assert not any(each.fits for each in found.matches)
    assert "fits no part" in said("bearing", found)


def test_passings_add_up_and_the_cage_runs_faster_with_the_outer_ring() -> None:
    """In a turn each ball passes one ring or the other: the two orders make n (exact count)."""
    hub = {"balls": "13", "ball": "9", "pitch": "55", "contact": "35"}
    inner, outer = (orders(run({**hub, "turning": ring})) for ring in ("inner", "outer"))

    assert 13.0 == pytest.approx(inner[BearingPart.INNER_RING] + inner[BearingPart.OUTER_RING])
    assert 1.0 == pytest.approx(inner[BearingPart.CAGE] + outer[BearingPart.CAGE])


def test_a_flaw_that_slips_a_little_is_still_named() -> None:
    """1,000 invented records: slip of 1 % (k = 1) and a peak 0.15 Hz off (k = 1): about 95 %."""
    rng = np.random.default_rng(9)
    held = 0
    for _ in range(1000):
        rpm = rng.uniform(600.0, 1200.0)
        true = 3.5848 * rpm / 60.0 * (1.0 - rng.normal(0.0, 0.01)) + rng.normal(0.0, 0.15)
        found = run(texts(**DRIVE_END, rpm=f"{rpm:.2f}", measured=f"{true:.3f} Hz"))
        held += any(each.fits and each.part is BearingPart.OUTER_RING for each in found.matches)

    assert 0.93 <= held / 1000 <= 0.97


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(DRIVE_END))


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(ball="8", pitch="39"), "balls", "not complete"),
        (texts(balls="9", ball="8"), "pitch", "not complete"),
        (texts(balls="2", ball="8", pitch="39"), "balls", "2 balls"),
        (texts(balls="9", ball="40", pitch="39"), "ball", "smaller"),
        (texts(balls="40", ball="8", pitch="39"), "balls", "do not fit"),
        (texts(balls="9", ball="8", pitch="39", contact="90"), "contact", "contact angle"),
        (texts(balls="9", ball="8", pitch="39", turning="both"), "turning", "'both'"),
        (texts(balls="9", ball="8", pitch="39", speed="90"), "tire", "tire size"),
        (texts(balls="9", ball="8", pitch="39", rpm="9", speed="90"), "rpm", "twice"),
        (texts(balls="9", ball="8", pitch="39", measured="90"), "speed", "needs the speed"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
