"""Runout, harmonics and decisions against standards, a reference library and the trade."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg
import scipy.optimize
import scipy.stats

from vibecheck.distributions import student_t_two_sided_95
from vibecheck.metrology.decision import Zone, decide
from vibecheck.metrology.runout.harmonics import design, fit, harmonics_of
from vibecheck.metrology.runout.readings import from_high_low, from_readings
from vibecheck.metrology.units.values import Quantity, parse

REJECT_MM = 3.175  # 49 CFR 570.10(b) (read): 1/8 in total, radial and lateral, GVWR to 10,000 lb


def thou(text: str) -> float:
    """A typed length in mm."""
    return parse(text, Quantity.LENGTH, "thou").value


def test_runout_of_an_eccentric_circle() -> None:
    """ISO 1101 / ASME Y14.5: a true circle offset by e has a circular runout of 2 e.

    The heights are exact distances of a circle's surface from the offset axis, not a cosine.
    """
    radius, offset = 200.0, 0.25
    angles = np.arange(360.0)
    radians = np.deg2rad(angles)
    heights = offset * np.cos(radians) + np.sqrt(radius**2 - (offset * np.sin(radians)) ** 2)
    result = from_readings(list(heights - radius), list(angles), repeat_sd_mm=0.001)
    assert result.tir_mm == pytest.approx(2.0 * offset, abs=1e-6)
    assert result.eccentricity_mm == pytest.approx(offset, abs=1e-3)


@pytest.mark.parametrize("even", [True, False])
def test_harmonics_as_scipy_fits_them(even: bool) -> None:
    """Coefficients and covariance equal scipy.optimize.curve_fit and scipy.linalg.lstsq."""
    rng = np.random.default_rng(3)
    angles = np.arange(20) * 18.0 if even else np.sort(rng.uniform(0, 360, 20))
    readings = 0.2 * np.cos(np.deg2rad(angles - 50.0)) + rng.normal(0, 0.02, 20)
    ours = fit(readings, angles, 3)

    def model(theta: np.ndarray, *p: float) -> np.ndarray:
        total = np.full_like(theta, p[0])
        for order in (1, 2, 3):
            total += p[2 * order - 1] * np.cos(order * np.deg2rad(theta))
            total += p[2 * order] * np.sin(order * np.deg2rad(theta))
        return total

    best, covariance = scipy.optimize.curve_fit(model, angles, readings, p0=np.zeros(7))
    assert ours.coefficients == pytest.approx(best, abs=1e-7)
    assert ours.covariance == pytest.approx(covariance, rel=1e-4, abs=1e-9)
    direct = scipy.linalg.lstsq(design(angles, 3), readings)[0]
    assert ours.coefficients == pytest.approx(direct, abs=1e-12)


def test_evenly_spaced_formula() -> None:
    """Textbook sums for N equal spacings: a = 2/N sum r cos, b = 2/N sum r sin (from memory)."""
    rng = np.random.default_rng(8)
    angles = np.arange(12) * 30.0
    readings = rng.normal(0, 0.2, 12)
    a = 2.0 / 12 * float(readings @ np.cos(np.deg2rad(angles)))
    b = 2.0 / 12 * float(readings @ np.sin(np.deg2rad(angles)))
    first = harmonics_of(fit(readings, angles, 2), 2.0)[0]
    assert first.amplitude_mm == pytest.approx(np.hypot(a, b))
    assert first.angle_deg == pytest.approx(np.rad2deg(np.arctan2(b, a)) % 360.0)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 8, 12, 17, 30, 120])
def test_students_t(freedom: int) -> None:
    """Two-sided 95 % quantile as scipy.stats gives it, within 0.2 %."""
    exact = scipy.stats.t.ppf(0.975, freedom)
    assert student_t_two_sided_95(freedom) == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize(
    ("value", "zone"),
    [(0.47, Zone.WITHIN), (0.48, Zone.WITHIN), (0.481, Zone.UNDECIDED), (0.5, Zone.UNDECIDED),
     (0.519, Zone.UNDECIDED), (0.52, Zone.BEYOND), (0.6, Zone.BEYOND)],
)
def test_iso_14253_zones(value: float, zone: Zone) -> None:
    """ISO 14253-1: limit 0.50, U = 0.02: conformity to 0.48, nonconformity from 0.52."""
    assert decide(value, 0.02, 0.5).zone is zone


def test_regulation_reject_limit() -> None:
    """49 CFR 570.10(b): 1/8 in of total indicated runout."""
    assert parse("1/8 in", Quantity.LENGTH).value == REJECT_MM
    assert decide(3.3, 0.03, REJECT_MM).zone is Zone.BEYOND
    assert decide(3.0, 0.03, REJECT_MM).zone is Zone.WITHIN


def test_trade_readings_against_half_a_millimetre() -> None:
    """Common practice, no source: 9.5 thou passes, 18 to 19 is at the edge, 47 is a bend."""
    good = from_high_low(thou("7"), thou("-2.5"))
    assert good.tir_mm == pytest.approx(0.24, abs=0.005)
    assert decide(good.tir_mm, good.uncertainty_mm, 0.5).zone is Zone.WITHIN
    edge = from_high_low(thou("19.3"), 0.0, 0.0254)
    assert decide(edge.tir_mm, edge.uncertainty_mm, 0.5).zone is Zone.UNDECIDED
    bent = from_high_low(thou("47"), 0.0)
    assert bent.tir_mm == pytest.approx(1.19, abs=0.005)
    assert decide(bent.tir_mm, bent.uncertainty_mm, 0.5).zone is Zone.BEYOND
