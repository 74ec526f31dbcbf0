"""Engine and motor as typed: worked figures of the trade and of textbooks, naming, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts

from vibecheck.calculators.engine import CALCULATOR, EngineResult, run
from vibecheck.metrology.orders.engine import Source
from vibecheck.metrology.units.choice import US

DRIVE = {"speed": "90", "tire": "205/55R16", "gear_ratio": "9", "pole_pairs": "4", "teeth": "23"}


def hz(found: EngineResult, source: Source) -> float:
    return {each.source: each.hz for each in (*found.engine, *found.motor)}[source]


@pytest.mark.parametrize(
    ("rpm", "cylinders", "firing"),
    [("600", "4", 20.0), ("750 rpm", "6", 37.5), ("10 Hz", "8", 40.0), ("1800", "3", 45.0)],
)
def test_firing_of_four_strokes(rpm: str, cylinders: str, firing: float) -> None:
    """Cylinders / 2 per turn: a four at 600 rpm fires 20 times a second (Heywood, 1988, ch. 2,
    from memory; common practice)."""
    assert firing == pytest.approx(hz(run(texts(rpm=rpm, cylinders=cylinders)), Source.FIRING))


def test_a_rocking_idle_is_a_dead_cylinder() -> None:
    """At 700 rpm one dead cylinder repeats 5.8 times a second (Heywood, ch. 2, from memory)."""
    found = run(texts(rpm="700", cylinders="4", measured="5.8 Hz"))

    assert [Source.MISFIRE] == [each.line.source for each in found.fitting]
    assert "misfire counters" in said("engine", found)


def test_an_alternator_by_its_pulleys() -> None:
    """150 on 55 mm: ratio 2.73 (usual range 2 to 3, from memory); at 1,100 rpm 50 Hz."""
    by_mm = run(texts(rpm="1100", crank_pulley="150", accessory_pulley="55", measured="50 Hz"))
    by_inch = run(texts(rpm="1100", crank_pulley="5.9055 in", accessory_pulley="2.1654 in"))

    assert 2.727 == pytest.approx(by_mm.pulley_ratio, abs=1e-3)
    assert by_mm.pulley_ratio == pytest.approx(by_inch.pulley_ratio, rel=1e-4)
    assert [Source.ACCESSORY] == [each.line.source for each in by_mm.fitting]
    assert "5.9" not in said("engine", by_inch)


def test_the_overall_ratio_names_the_gear() -> None:
    """62 mph on 205/55R16 (rolls 1.928 m) at 2,400 rpm: 2.78, as 3.91 times 0.711 (by hand)."""
    found = run(texts(rpm="2400", speed="62 mph", tire="205/55R16"))

    assert 2400.0 / 60.0 * 1.9276 / (62.0 * 1.609344 / 3.6) == pytest.approx(
        found.overall_ratio, rel=1e-3)
    assert "at 62 mph the engine turns 2.78 times" in said("engine", found, US)


def test_an_electric_drive() -> None:
    """Radial pull at twice, ripple at six times the electrical frequency, three phases: 8th and
    24th order of a motor of 4 pole pairs (Gieras et al., 2006, from memory)."""
    found = run(texts(**DRIVE))
    motor = 9.0 * 25.0 / 1.9276

    assert motor == pytest.approx(hz(found, Source.MOTOR), rel=1e-3)
    assert [1.0, 8.0, 23.0, 24.0] == [each.order for each in found.motor]


def test_a_measured_shake_is_named_or_said_to_fit_nothing() -> None:
    strange = run(texts(rpm="700", cylinders="4", measured="17 Hz"))

    assert () == strange.fitting
    assert "fits nothing that turns with the engine" in said("engine", strange)
    assert "nearest that does not fit" in said("engine", strange)


def test_the_true_source_is_named_as_often_as_stated() -> None:
    """1,000 invented idles: a rev counter 1.5 % off (k = 1) and a peak 0.15 Hz off (k = 1) name
    the firing that shook in about 95 %."""
    rng = np.random.default_rng(6)
    held = 0
    for _ in range(1000):
        true = rng.uniform(600.0, 900.0)
        rpm, peak = true * (1.0 + rng.normal(0.0, 0.015)), true / 30.0 + rng.normal(0.0, 0.15)
        found = run(texts(rpm=f"{rpm:.1f}", cylinders="4", measured=f"{peak:.3f} Hz"))
        held += Source.FIRING in {each.line.source for each in found.fitting}

    assert 0.93 <= held / 1000 <= 0.97


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(texts(rpm="700")))


def test_a_case_fills_in_what_it_knows() -> None:
    facts = {"tire_size": "205/55R16", "cylinders": "4", "motor_reduction": "9.1"}

    assert {"tire": "205/55R16", "cylinders": "4", "gear_ratio": "9.1"} == CALCULATOR.known(facts)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(cylinders="4"), "rpm", "neither"),
        (texts(rpm="-3"), "rpm", "cannot be"),
        (texts(rpm="90000"), "rpm", "cannot be"),
        (texts(rpm="700", cylinders="0"), "cylinders", "0 cylinders"),
        (texts(rpm="700", cylinders="4.5"), "cylinders", "4.5"),
        (texts(rpm="700", crank_pulley="150"), "accessory_pulley", "one pulley alone"),
        (texts(rpm="700", crank_pulley="9 m", accessory_pulley="55"), "crank_pulley", "more than"),
        (texts(rpm="700", pulley_ratio="2", crank_pulley="1", accessory_pulley="1"),
         "pulley_ratio", "twice"),
        (texts(pulley_ratio="2"), "rpm", "need the engine speed"),
        (texts(rpm="700", teeth="20"), "gear_ratio", "gear ratio"),
        (texts(gear_ratio="9", tire="205/55R16"), "speed", "road speed"),
        (texts(gear_ratio="9", speed="90"), "tire", "tire size"),
        (texts(gear_ratio="99", speed="90", tire="205/55R16"), "gear_ratio", "more than"),
        (texts(gear_ratio="9", speed="90", tire="205/55R16", pole_pairs="0"), "pole_pairs", "0"),
        (texts(gear_ratio="9", speed="90", tire="205/55R16", teeth="999"), "teeth", "999"),
        (texts(rpm="700", measured="0 Hz"), "measured", "0 Hz"),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
