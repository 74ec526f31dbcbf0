"""Tire sizes as they stand on the sidewall."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import VehicleError
from vibecheck.metrology.orders.tire_size import (
    TireKind,
    parse_size,
    wheel_hz,
)


@pytest.mark.parametrize(
    ("typed", "designation", "kind"),
    [
        ("205/55R16 91V", "205/55R16", TireKind.METRIC),
        ("p225/50r16", "P225/50R16", TireKind.METRIC),
        ("225/40ZR18 (92Y) XL", "225/40R18", TireKind.METRIC),
        ("225/45RF17", "225/45R17", TireKind.METRIC),
        ("205/55/16", "205/55R16", TireKind.METRIC),
        ("205 55 16", "205/55R16", TireKind.METRIC),
        ("T125/70D15", "T125/70D15", TireKind.METRIC),
        ("LT245/75R16 120/116S E", "LT245/75R16", TireKind.LIGHT_TRUCK),
        ("195/65R15C 98/96N", "195/65R15C", TireKind.LIGHT_TRUCK),
        ("LT285/70R17/E", "LT285/70R17", TireKind.LIGHT_TRUCK),
        ("HL275/35R21 105Y", "HL275/35R21", TireKind.METRIC),
        ("205/55VR16", "205/55R16", TireKind.METRIC),
        ("185R14C 102/100R", "185R14C", TireKind.LIGHT_TRUCK),
        ("245/45R18 100Y RFT", "245/45R18", TireKind.METRIC),
        ("245/45R18 100Y XL *", "245/45R18", TireKind.METRIC),
        ("255/40ZR19 (100Y) XL N0", "255/40R19", TireKind.METRIC),
        ("205/55R16 91H M+S 3PMSF", "205/55R16", TireKind.METRIC),
        ("31x10.50R15LT 109S", "31x10.50R15", TireKind.FLOTATION),
        ("35X12,50-17", "35x12.50R17", TireKind.FLOTATION),
    ],
)
def test_sizes_as_typed(typed: str, designation: str, kind: TireKind) -> None:
    """Prefixes, construction letters and tails do not disturb the size."""
    size = parse_size(typed)
    assert (size.designation, size.kind) == (designation, kind)


@pytest.mark.parametrize(
    ("diameter_mm", "typed"),
    [(650.0, "185R14C"), (666.0, "195R14C"), (634.0, "175R14"), (578.0, "155R13")],
)
def test_full_profile_diameters(diameter_mm: float, typed: str) -> None:
    """ETRTO Standards Manual, overall diameters (from memory)."""
    assert diameter_mm == pytest.approx(parse_size(typed).diameter_mm, rel=0.01)


def test_load_and_speed_are_kept() -> None:
    """The tail of a size is load index and speed symbol."""
    size = parse_size("LT245/75R16 120/116S")
    assert (size.load_index, size.speed_symbol) == ("120/116", "S")
    assert parse_size("205/55R16").load_index == ""


@pytest.mark.parametrize(
    "typed",
    [
        "", "abc", "205", "999/55R16", "205/16R55", "205/53R16", "207/55R16", "205/55R99",
        "31x10.5R30", "90x10.5R15", "31x40R15", "205/55R16 nonsense", "205/55R16" * 20,
        "２０５/55R16", "[/bad]", "-205/55R16", "190/65R390",
    ],
)
def test_no_tire_size(typed: str) -> None:
    """What is no tire size is refused in one sentence with an example."""
    with pytest.raises(VehicleError, match="for example 205/55R16") as caught:
        parse_size(typed, "tire size")
    assert str(caught.value).startswith("tire size: ")


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    width=st.integers(25, 80).map(lambda n: 5 * n),
    aspect=st.integers(5, 18).map(lambda n: 5 * n),
    rim=st.integers(12, 26),
)
def test_geometry(width: int, aspect: int, rim: int) -> None:
    """Wider, taller or on a larger rim is larger; the spread holds the usual value."""
    size = parse_size(f"{width}/{aspect}R{rim}")
    assert size.diameter_mm > parse_size(f"{width - 5}/{aspect}R{rim}").diameter_mm
    assert size.diameter_mm > parse_size(f"{width}/{aspect - 5}R{rim}").diameter_mm
    rolling = size.rolling
    assert rolling.low_m < rolling.circumference_m < rolling.high_m
    assert rolling.high_m < size.diameter_mm * 3.1416 / 1000.0
    assert rolling.uncertainty_m < rolling.high_m - rolling.low_m


def test_turns_a_second_at_a_speed() -> None:
    """A wheel of 2 m rolling circumference turns 10 times a second at 72 km/h."""
    assert wheel_hz(72.0, 2.0) == pytest.approx(10.0)
