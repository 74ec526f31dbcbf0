"""Force from runout as typed: published stiffness, a worked example, coverage, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts

from vibecheck.calculators.force import CALCULATOR, run
from vibecheck.metrology.units.choice import US


def test_half_a_millimeter_on_a_usual_tire() -> None:
    """200 N/mm (usual, 180 to 250 by handbooks, memory) times 0.5 mm high minus low: 100 N."""
    (first,) = run(texts(runout="0.5 mm", stiffness="200")).harmonics

    assert (1, pytest.approx(100.0)) == (first.order, first.force_n)


@pytest.mark.parametrize(("stiffness", "pressed"), [("150", 26.7), ("300", 13.3)])
def test_the_loaded_radius_between_published_stiffnesses(stiffness: str, pressed: float) -> None:
    """150 N/mm (a textbook exercise, read), 300 N/mm (a chassis textbook, read), 4,000 N; a
    205/55R16 is 631.9 mm across (two public size pages, read)."""
    found = run(texts(load="4000 N", tire="205/55R16", stiffness=stiffness)).loaded_radius_mm

    assert found is not None and 315.95 - pressed == pytest.approx(found[0], abs=0.1)


def test_pounds_and_inches() -> None:
    """900 lb over 0.9 in is 1,000 lb/in; 0.02 in of runout makes 20 lb (by hand)."""
    found = run(texts(load="900 lb", pressed="0.9 in", runout="0.020 in"))

    assert 20.0 * 4.4482216 == pytest.approx(found.harmonics[0].force_n, rel=1e-6)
    text = said("force", found, US)
    assert "1000 +/- 100, in lb for each in" in text and "20.0 +/-" in text


def test_readings_part_into_orders() -> None:
    """0.2 mm once and 0.1 mm twice per turn (amplitudes) at 200 N/mm: 80 and 40 N (2 k a)."""
    turn = np.radians(np.arange(18) * 20.0)
    listed = " ".join(f"{0.2 * math.cos(each) + 0.1 * math.cos(2 * each - 1.0):.4f}"
                      for each in turn)
    found = run(texts(readings=listed, stiffness="200")).harmonics

    assert [80.0, 40.0, 0.0] == pytest.approx([each.force_n for each in found], abs=0.1)


def test_the_usual_stiffness_is_named_as_such() -> None:
    assert "taken as a usual car's" in said("force", run(texts(runout="0.5 mm")))


def test_the_stated_uncertainty_holds() -> None:
    """1,000 invented tires: stiffness 220 +/- 60 and a runout read to 0.05 mm (both k = 2)."""
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(1000):
        size, stiffness = rng.uniform(0.3, 1.2), rng.normal(220.0, 30.0)
        read = size + rng.normal(0.0, 0.025)
        (first,) = run(texts(runout=f"{read:.4f} mm +/- 0.05")).harmonics
        held += abs(first.force_n - size * stiffness) <= first.uncertainty_n

    assert 0.93 <= held / 1000 <= 0.97


def test_the_loaded_radius_holds() -> None:
    """2,000 invented tires, their stiffness typed within 10 % (k = 2), pressed by 4,000 N."""
    rng = np.random.default_rng(14)
    held = 0
    for _ in range(2000):
        typed = rng.normal(220.0, 11.0)
        found = run(texts(runout="0.5 mm", load="4000 N", diameter="632 mm",
                          stiffness=f"{typed:.3f} +/- 22")).loaded_radius_mm
        assert found is not None
        held += abs(found[0] - (316.0 - 4000.0 / 220.0)) <= found[1]

    assert 0.93 <= held / 2000 <= 0.97


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(texts(runout="0.5 mm")))


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(stiffness="220"), "runout", "neither"),
        (texts(runout="-1"), "runout", "negative"),
        (texts(runout="1", readings="0 1 2 1 0 -1"), "runout", "twice"),
        (texts(readings="0 1"), "readings", ""),
        (texts(runout="1", stiffness="0"), "stiffness", "0 N/mm"),
        (texts(runout="1", stiffness="220", load="4000", pressed="18"), "stiffness", "follows"),
        (texts(runout="1", pressed="18"), "load", "needs the load"),
        (texts(runout="1", load="4000", pressed="0"), "pressed", "needs the load"),
        (texts(runout="1", load="4000", pressed="1 m"), "pressed", "4 N/mm"),
        (texts(load="90000", tire="205/55R16"), "load", "press the tire in"),
        (texts(load="4000", diameter="9 m"), "diameter", "more than"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
