"""Wheel less hub as typed: forward geometry, printed cosine table, coverage, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from calculator_helpers import refusal, said, texts

from vibecheck.calculators.hubface import CALCULATOR, run
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.hub_carry import face_at_bead

PLACES = np.radians(np.arange(12) * 30.0)
RADII = {"wheel_radius": "180 mm", "hub_radius": "60 mm"}


def listed(values: np.ndarray) -> str:
    return " ".join(f"{each:.5f}" for each in values) + " mm"


def wave(amplitude: float, at_deg: float, order: int = 1) -> np.ndarray:
    return np.asarray(amplitude * np.cos(order * (PLACES - math.radians(at_deg))))


def test_the_wheel_comes_out_whole() -> None:
    """Similar triangles: a face of 0.06 mm at 60 mm brings 0.18 mm at 180 mm."""
    hub = wave(0.03, 40.0)
    found = run({"wheel": listed(wave(0.20, 200.0) + 3.0 * hub), "hub": listed(hub), **RADII}).less

    assert 0.40 == pytest.approx(found.wheel.tir, abs=1e-4)
    assert 200.0 == pytest.approx(found.wheel.angle_deg, abs=0.1)
    assert face_at_bead(0.06, 0.0, 60.0, 180.0).lateral_mm == pytest.approx(
        found.hub.tir, abs=1e-4)


def test_a_manuals_hub_limit_at_the_rim() -> None:
    """A face at its limit of 0.132 mm or 0.005 in (service manual, read), read at 2.5 in, brings
    0.015 in at 7.5 in (by hand, three times)."""
    hub = "0.0025 0.00125 -0.00125 -0.0025 -0.00125 0.00125 in"
    found = run(texts(wheel="0 0 0 0 0 0 in", hub=hub, wheel_radius="7.5 in",
                      hub_radius="2.5 in"))

    assert 0.015 * 25.4 == pytest.approx(found.less.hub.tir, rel=1e-3)


@pytest.mark.parametrize(("tip", "factor"), [("0", 1.0), ("15", 0.97), ("30 deg", 0.87)])
def test_the_cosine_table_of_lever_gauges(tip: str, factor: float) -> None:
    """Factors that makers of lever gauges print: 0.97 at 15 deg, 0.87 at 30 (memory)."""
    found = run({"wheel": listed(wave(0.1, 0.0)), "hub": listed(0.0 * PLACES), "tip": tip, **RADII})

    assert factor == pytest.approx(found.tip_factor, abs=5e-3)
    assert 0.2 * found.tip_factor == pytest.approx(found.less.wheel.tir, abs=1e-3)


@pytest.mark.parametrize(
    ("limit", "zone"), [("0.6 mm", Zone.WITHIN), ("0.3 mm", Zone.BEYOND)])
def test_the_wheel_alone_is_judged(limit: str, zone: Zone) -> None:
    noise = np.array([1, -1, 0, 2, -2, 0, 1, 0, -1, 0, 1, -1]) * 0.005
    hub = wave(0.05, 0.0)
    found = run({"wheel": listed(wave(0.2, 0.0) + 3.0 * hub + noise), "hub": listed(hub),
                 "limit": limit, **RADII})

    assert found.decision is not None and zone is found.decision.zone
    assert found.as_read_mm > 0.6
    assert "wheel alone" in said("hubface", found)


def test_the_stated_uncertainty_holds() -> None:
    """600 invented wheels with gauge noise: a component within 95 % of the interval stated."""
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(600):
        tilt, own = wave(*rng.uniform((0.0, 0.0), (0.05, 360.0))), rng.normal(0.0, 0.2, 2)
        part = own[0] * np.cos(PLACES) + own[1] * np.sin(PLACES)
        found = run({"wheel": listed(part + 3.0 * tilt + rng.normal(0.0, 0.01, 12)),
                     "hub": listed(tilt + rng.normal(0.0, 0.01, 12)), **RADII}).less
        held += abs(found.wheel.xy.real - own[0]) <= found.uncertainty_mm

    assert 0.93 <= held / 600 <= 0.97


def test_no_finding_is_answered() -> None:
    assert () == CALCULATOR.answers_of(run(CALCULATOR.examples[0].texts))


SIX = "0 .1 .2 .1 0 -.1"


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (texts(hub=SIX, **RADII), "wheel", "too few"),
        (texts(wheel=SIX, hub="0 .1 .2", **RADII), "hub", "too few"),
        (texts(wheel=f"{SIX} 0.01", hub=SIX, **RADII), "hub", "do not belong"),
        (texts(wheel=SIX, hub=SIX), "wheel_radius", "missing"),
        (texts(wheel=SIX, hub=SIX, wheel_radius="180"), "hub_radius", "missing"),
        (texts(wheel=SIX, hub=SIX, wheel_radius="0", hub_radius="60"), "wheel_radius", "zero"),
        (texts(wheel=SIX, hub=SIX, tip="75", **RADII), "tip", "tells nothing"),
        (texts(wheel=SIX, hub=SIX, angles="0 0 90 180 200 300", **RADII), "angles", ""),
    ],
)
def test_bad_input_names_the_field(typed: dict[str, str], field: str, says: str) -> None:
    error = refusal(lambda: run(typed))

    assert field == error.where
    assert says in error.what
