"""The orders bench: published sizes, fits of a measured shake, and findings."""

from __future__ import annotations

import pytest
from bench_helpers import refusal, values_of

from vibecheck.session.benches.orders import OrdersTyped, run
from vibecheck.session.benches.turning import with_facts


def orders(**others: object) -> OrdersTyped:
    return OrdersTyped(tire="205/55R16", speed="105 km/h", **others)  # type: ignore[arg-type]


def test_published_diameter():
    """205/55R16 has a diameter of 631.9 mm (two public size pages)."""
    assert 631.9 == pytest.approx(run(orders()).tire.diameter_mm, abs=0.05)


@pytest.mark.parametrize(
    ("measured", "state"),
    [("15.1 Hz", "wheel_first"), ("30.3 Hz", "wheel_second"), ("45.4 Hz", "wheel_third"),
     ("56.4 Hz", "driveshaft_first"), ("113 Hz", "driveshaft_second"), ("908 rpm", "wheel_first")],
)
def test_a_shake_that_fits_one_order_is_a_finding(measured: str, state: str):
    (made,) = run(orders(axle_ratio="3.73", measured=measured)).assignments(None)

    assert ("record_order", state, None) == (made.finding, made.value, made.corner)
    assert (measured,) == made.readings


def test_engine_and_motor():
    motor = run(orders(motor_reduction="9", electric=True, measured="136 Hz"))
    crank = run(orders(engine_rpm="2500", cylinders="4", measured="83.3 Hz"))

    assert {"record_order": "engine"} == values_of(motor.assignments(None))
    assert {"record_order": "engine"} == values_of(crank.assignments(None))


def test_two_states_that_fit_are_no_finding_and_the_advice_says_how_to_part_them():
    found = run(orders(overall_ratio="2", measured="30.3 Hz", gears=("third=4.8",)))

    assert () == found.assignments(None)
    assert {"wheel_second", "engine"} == set(found.states)
    assert any("third gear" in text for text in found.next)


def test_nothing_measured_or_nothing_that_fits_is_no_finding():
    assert () == run(orders()).assignments(None)
    assert () == run(orders(measured="22 Hz")).assignments(None)


def test_a_case_fills_in_what_was_not_typed():
    facts = {"axle_ratio": "3.5", "tire_size": "195/65R15", "propulsion": "electric",
             "drive": "front"}
    typed = with_facts(OrdersTyped(tire="", speed="90", axle_ratio="4.1"), facts)

    assert ("195/65R15", "4.1", True, True) == (
        typed.tire, typed.axle_ratio, typed.electric, typed.no_driveshaft)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (OrdersTyped(tire="", speed="90"), "tire", "nothing"),
        (OrdersTyped(tire="round", speed="90"), "tire", "'round'"),
        (OrdersTyped(tire="205/55R16", speed=""), "speed", "nothing"),
        (OrdersTyped(tire="205/55R16", speed="0"), "speed", "a speed of 0"),
        (orders(speed_uncertainty="-1"), "speed_uncertainty", "negative"),
        (orders(axle_ratio="-1"), "axle_ratio", "axle ratio of -1"),
        (orders(cylinders="3.5"), "cylinders", "3.5"),
        (orders(cylinders="99"), "cylinders", "99"),
        (orders(measured="-3"), "measured", "-3"),
        (orders(measured="3 +/- 0"), "measured", "uncertainty of 0"),
        (orders(gears=("third",)), "gears", "'third'"),
        (orders(gears=("third=x",)), "gears", "'third=x'"),
    ],
)
def test_bad_input_names_the_field(typed: OrdersTyped, field: str, says: str):
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
