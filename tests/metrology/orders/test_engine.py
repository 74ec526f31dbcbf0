"""Engine, accessory and motor orders against worked figures of the trade."""

from __future__ import annotations

import pytest

from vibecheck.errors import VehicleError
from vibecheck.metrology.orders.engine import (
    Excitation,
    Source,
    electric_excitations,
    engine_excitations,
    overall_ratio,
    pulley_ratio,
)


def by_source(found: tuple[Excitation, ...]) -> dict[Source, float]:
    return {each.source: each.hz for each in found}


@pytest.mark.parametrize(
    ("rpm", "cylinders", "firing"),
    [(600, 4, 20.0), (750, 6, 37.5), (600, 8, 40.0), (1800, 3, 45.0)],
)
def test_firing_of_four_strokes(rpm: float, cylinders: int, firing: float) -> None:
    """Cylinders / 2 per turn: a four at 600 rpm fires 20 times a second (common practice)."""
    assert firing == pytest.approx(by_source(engine_excitations(rpm, cylinders))[Source.FIRING])


def test_a_misfire_repeats_every_second_turn() -> None:
    """At 700 rpm: crank 11.7 Hz, one dead cylinder 5.8 Hz, the slow rock of an idle (Heywood)."""
    found = by_source(engine_excitations(700))

    assert 11.67 == pytest.approx(found[Source.CRANK], abs=0.01)
    assert 5.83 == pytest.approx(found[Source.MISFIRE], abs=0.01)


def test_an_accessory_turns_by_its_pulleys() -> None:
    """Crank pulley 150 mm, alternator 55 mm: ratio 2.73 (usual range 2 to 3, from memory)."""
    ratio = pulley_ratio(150.0, 55.0)
    found = by_source(engine_excitations(1100, pulley_ratio=ratio))

    assert 2.727 == pytest.approx(ratio, abs=1e-3)
    assert 50.0 == pytest.approx(found[Source.ACCESSORY], abs=0.01)


def test_the_overall_ratio_names_the_gear() -> None:
    """100 km/h on 1.944 m at 2,400 rpm: 2.8 to 1, as axle 3.91 in a 0.716 top gear."""
    assert 2.8 == pytest.approx(overall_ratio(2400.0, 100.0, 1.944), abs=0.01)
    assert 3.91 * 0.716 == pytest.approx(overall_ratio(2400.0, 100.0, 1.944), rel=1e-3)


def test_an_electric_drive_at_the_speed_of_a_complaint() -> None:
    """90 km/h, 2.1 m, ratio 9: wheel 11.9 Hz, motor 107 Hz; 4 pole pairs: 8th and 24th order."""
    found = by_source(electric_excitations(90.0, 2.1, 9.0, 4, 23))

    assert 107.1 == pytest.approx(found[Source.MOTOR], abs=0.1)
    assert 8.0 * found[Source.MOTOR] == pytest.approx(found[Source.MOTOR_POLES])
    assert 24.0 * found[Source.MOTOR] == pytest.approx(found[Source.MOTOR_RIPPLE])
    assert 23.0 * found[Source.MOTOR] == pytest.approx(found[Source.GEAR_MESH])


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(VehicleError, match="0 cylinders"):
        engine_excitations(700, 0)
    with pytest.raises(VehicleError, match="rpm"):
        engine_excitations(float("nan"))
    with pytest.raises(VehicleError, match="gear ratio"):
        electric_excitations(90.0, 2.0, 0.0)
