"""Beats as typed: worked by hand, a signal made and measured, coverage, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts
from scipy.signal import hilbert

from vibecheck.calculators.beat import CALCULATOR, run
from vibecheck.metrology.units.choice import US


def test_tread_worn_by_five_millimeters() -> None:
    """Rolls of 1.950 and 1.919 m (5 mm of tread, 2 pi times 5 = 31 mm) at 105 km/h.

    By hand: 29.167 / 1.919 - 29.167 / 1.950 = 0.2416 Hz, one beat in 4.14 s.
    """
    found = run(texts(speed="105", roll="1950", roll2="1.919 m"))

    assert 4.14 == pytest.approx(found.beat.period_s, abs=0.01)
    assert 31.0 == pytest.approx(found.roll_apart_mm[0], abs=0.01)
    assert "4.93" in said("beat", found) or "4.9 " in said("beat", found)


def test_two_tuning_forks_of_a_textbook() -> None:
    """Rossing et al., The Science of Sound, ch. 8 (from memory): two tones beat at the difference
    of their frequencies. 10 and 10.5 turns a second beat every 2 s: rolls of 2.0 and 1.90476 m at
    20 m/s."""
    found = run(texts(speed="20 m/s", roll="2 m", roll2="1.904762 m"))

    assert 2.0 == pytest.approx(found.beat.period_s, rel=1e-4)


def test_the_loudness_of_two_tires_swells_with_that_period() -> None:
    time = np.arange(0.0, 120.0, 0.01)
    hz = [65.0 * 1.609344 / 3.6 / roll for roll in (2.10, 2.08)]
    loud = np.abs(hilbert(sum(np.cos(2.0 * np.pi * each * time) for each in hz)))
    spectrum = np.abs(np.fft.rfft(loud - loud.mean()))
    period = 1.0 / np.fft.rfftfreq(len(time), 0.01)[1:][np.argmax(spectrum[1:])]

    found = run(texts(speed="65 mph", roll="2.10 m", roll2="2.08 m"))
    assert period == pytest.approx(found.beat.period_s, rel=0.06)


def test_there_and_back() -> None:
    there = run(texts(speed="90", roll="2.100 m", roll2="2.090 m"))
    back = run(texts(speed="90", roll="2.095 m", period=f"{there.beat.period_s:.4f}"))

    assert there.beat.difference == pytest.approx(back.beat.difference, rel=1e-3)


def test_two_sizes_and_an_order() -> None:
    """205/55R16 (631.9 mm) and 215/55R16 (642.9 mm) roll 1.7 % unlike; the 2nd order beats twice
    as fast as the 1st."""
    first = run(texts(speed="100", tire="205/55R16", tire2="215/55R16"))
    second = run(texts(speed="100", tire="205/55R16", tire2="215/55R16", order="2"))

    assert 11.0 / 637.4 == pytest.approx(first.beat.difference, rel=1e-3)
    assert first.beat.period_s == pytest.approx(2.0 * second.beat.period_s)


def test_us_units() -> None:
    found = said("beat", run(texts(speed="65 mph", roll="76.8 in", roll2="75.6 in")), US)

    assert "at 65 mph" in found and "1.2" in found
    assert " mm" not in found


def test_the_stated_uncertainty_holds_for_typed_rolls() -> None:
    rng = np.random.default_rng(12)
    held = 0
    for _ in range(1000):
        true = 1950.0, 1950.0 - rng.uniform(10.0, 50.0)
        read = [each + rng.normal(0.0, 1.0) for each in true]
        found = run(texts(speed="100", roll=f"{read[0]:.2f} +/- 2", roll2=f"{read[1]:.2f} +/- 2"))
        held += abs(found.roll_apart_mm[0] - (true[0] - true[1])) <= found.roll_apart_mm[1]

    assert 0.93 <= held / 1000 <= 0.97
    assert math.hypot(2.0, 2.0) == pytest.approx(found.roll_apart_mm[1], rel=0.02)


def test_a_difference_from_counted_beats_holds() -> None:
    """2,000 pairs of tires 0.4 to 2 % unlike, beats counted within 10 % (k = 2)."""
    rng = np.random.default_rng(13)
    held = 0
    for _ in range(2000):
        unlike = rng.uniform(0.004, 0.02)
        other = 1.95 * (1.0 - unlike / 2.0) / (1.0 + unlike / 2.0)
        true = 1.0 / (100.0 / 3.6 / other - 100.0 / 3.6 / 1.95)
        counted = true * (1.0 + rng.normal(0.0, 0.05))
        found = run(texts(speed="100", roll="1950 mm",
                          period=f"{counted:.4f} +/- {0.1 * counted:.4f}")).beat
        held += abs(found.difference - unlike) <= found.difference_uncertainty

    assert 0.93 <= held / 2000 <= 0.97


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(texts(speed="105", roll="1950", roll2="1919")))


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(roll="1950", roll2="1919"), "speed", "road speed"),
        (texts(speed="105"), "tire", "two tires"),
        (texts(speed="105", roll="1950"), "tire2", "two tires"),
        (texts(speed="105", roll="1950", roll2="1950"), "roll2", "do not drift apart"),
        (texts(speed="105", tire="205/55R16", tire2="205/55R16"), "tire2", "do not drift"),
        (texts(speed="105", roll="1.95", roll2="1919"), "roll", "'1.95'"),
        (texts(speed="105", roll="1950", tire="205/55R16"), "roll", "twice"),
        (texts(speed="105", period="8"), "period", "one tire"),
        (texts(speed="105", roll="1950", roll2="1919", period="8"), "period", "one tire"),
        (texts(speed="105", roll="1950", period="0"), "period", "'0'"),
        (texts(speed="105", roll="1950", period="0.01"), "period", "difference"),
        (texts(speed="105", roll="1950", roll2="1919", order="0"), "order", "0"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
