"""Runout from readings: total, shape, local bend, spikes and refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.readings import (
    Caveat,
    Runout,
    from_high_low,
    from_readings,
    from_tir,
    tir_uncertainty,
)
from vibecheck.metrology.units.values import Quantity, parse

QUICK = settings(max_examples=40, derandomize=True, deadline=None)


def evenly(count: int) -> NDArray[np.float64]:
    """Angles evenly round the turn [deg]."""
    return np.arange(count) * 360.0 / count


def shape(angles: NDArray[np.float64], *orders: tuple[int, float, float]) -> NDArray[np.float64]:
    """Sum of (order, amplitude [mm], angle of the first high spot [deg])."""
    return np.sum(
        [size * np.cos(np.deg2rad(n * (angles - high))) for n, size, high in orders], axis=0
    )


def pair_bend(
    angles: NDArray[np.float64], center: float, width: float, size: float
) -> NDArray[np.float64]:
    """A low spot with a high spot beside it, inside an arc [deg]; `size` each [mm]."""
    phase = ((angles - center + 180.0) % 360.0 - 180.0) * 2.0 * math.pi / width
    return np.where(np.abs(phase) < math.pi, size * np.sin(phase), 0.0)


def kinds(runout: Runout) -> set[Caveat]:
    """The caveats of a result."""
    return {note.kind for note in runout.notes}


def test_high_low_pair() -> None:
    """-2.5 to +7 thou is 9.5 thou, 0.2413 mm, wherever the zero was set."""
    high, low = (parse(text, Quantity.LENGTH).value for text in ("7 thou", "-2.5 thou"))
    result = from_high_low(high, low)
    assert result.tir_mm == pytest.approx(0.2413)
    assert from_high_low(high - low, 0.0).tir_mm == pytest.approx(0.2413)
    assert Caveat.HIGH_LOW_ONLY in kinds(result)


def test_uncertainty_of_a_pair() -> None:
    """2 sqrt(2 (0.01^2/12 + 0.01^2/4) + 0.03^2): division and setting-up do not average out."""
    assert tir_uncertainty(0.01, setup_sd_mm=0.0) == pytest.approx(2 * math.sqrt(2 * 0.0001 / 12))
    assert tir_uncertainty(0.01, 0.01, 4) == pytest.approx(
        2 * math.sqrt(2 * (0.0001 / 12 + 0.0001 / 4) + 0.03**2)
    )


def test_typed_total() -> None:
    """A typed uncertainty goes before the gauge's; coarse digits widen it."""
    assert from_tir(parse("0.49 +/- 0.02", Quantity.LENGTH)).uncertainty_mm == 0.02
    coarse = from_tir(parse("19 thou", Quantity.LENGTH))
    assert coarse.uncertainty_mm == pytest.approx(2 * math.hypot(0.03, 0.0254 / math.sqrt(12)))


@QUICK
@given(
    amplitude=st.floats(0.05, 0.8), high=st.floats(0.0, 359.0),
    oval=st.floats(0.0, 0.2), count=st.integers(9, 72), offset=st.floats(-5.0, 5.0),
)
def test_orders_are_recovered(
    amplitude: float, high: float, oval: float, count: int, offset: float
) -> None:
    """Clean readings give back amplitude and high spot, whatever the zero of the gauge."""
    angles = evenly(count)
    readings = offset + shape(angles, (1, amplitude, high), (2, oval, 25.0))
    result = from_readings(list(readings), list(angles), repeat_sd_mm=0.001)
    first, second = result.harmonics[:2]
    assert first.amplitude_mm == pytest.approx(amplitude, abs=1e-9)
    assert math.cos(math.radians(first.angle_deg - high)) == pytest.approx(1.0, abs=1e-9)
    assert second.amplitude_mm == pytest.approx(oval, abs=1e-9)
    assert result.eccentricity_mm == first.amplitude_mm
    assert result.local_bend is None and not result.spikes


@QUICK
@given(seed=st.integers(0, 10_000), shift=st.integers(1, 23))
def test_order_of_entry_does_not_matter(seed: int, shift: int) -> None:
    """Starting elsewhere or reading in another sequence gives the same result."""
    rng = np.random.default_rng(seed)
    angles = evenly(24)
    readings = shape(angles, (1, 0.2, 70.0)) + rng.normal(0.0, 0.01, 24)
    turn = rng.permutation(24) if shift % 2 else np.roll(np.arange(24), shift)
    one = from_readings(list(readings), list(angles))
    two = from_readings(list(readings[turn]), list(angles[turn]))
    assert two.tir_mm == one.tir_mm
    assert two.harmonics[0].amplitude_mm == pytest.approx(one.harmonics[0].amplitude_mm)
    assert two.harmonics[0].angle_deg == pytest.approx(one.harmonics[0].angle_deg)


def test_unequal_angles() -> None:
    """Readings between spokes at odd angles give the same harmonics."""
    angles = np.array([0, 11, 30, 47, 80, 95, 120, 140, 171, 190, 222, 240, 270, 300, 333], float)
    result = from_readings(list(shape(angles, (1, 0.3, 200.0), (3, 0.05, 40.0))), list(angles))
    assert result.harmonics[0].amplitude_mm == pytest.approx(0.3)
    assert result.harmonics[2].angle_deg == pytest.approx(40.0)
    shifted = from_readings(list(shape(angles, (1, 0.3, 200.0))), list(angles - 180.0))
    assert shifted.harmonics[0].angle_deg == pytest.approx(20.0)


def test_local_bend_is_placed() -> None:
    """A drop's dip and bulge inside 40 deg is found where it is, with low and high in order."""
    angles = evenly(36)
    rng = np.random.default_rng(4)
    readings = shape(angles, (1, 0.08, 10.0)) + pair_bend(angles, 122.0, 40.0, 0.35)
    result = from_readings(list(np.round(readings + rng.normal(0, 0.008, 36), 2)), list(angles))
    bend = result.local_bend
    assert bend is not None and bend.dip_and_bulge
    assert bend.center_deg == pytest.approx(122.0, abs=5.0)
    assert bend.width_deg == pytest.approx(40.0, abs=8.0)
    assert bend.low_deg == pytest.approx(112.0, abs=6.0)
    assert bend.high_deg == pytest.approx(132.0, abs=6.0)
    assert bend.height_mm == pytest.approx(0.70, abs=0.1)


def test_wide_dent_is_wide_and_no_pair() -> None:
    """A pothole's dent over 90 deg is one wide low spot."""
    angles = evenly(24)
    phase = ((angles - 200.0 + 180.0) % 360.0 - 180.0) * 2 * math.pi / 90.0
    dent = np.where(np.abs(phase) < math.pi, -0.6 * (1 + np.cos(phase)), 0.0)
    rng = np.random.default_rng(5)
    result = from_readings(list(np.round(dent + rng.normal(0, 0.01, 24), 2)), list(angles))
    assert result.local_bend is not None
    assert not result.local_bend.dip_and_bulge
    assert result.local_bend.width_deg > 70.0
    assert result.local_bend.dip_mm == pytest.approx(1.2, abs=0.15)


@pytest.mark.parametrize("count", [18, 24, 36, 72])
def test_scatter_alone_makes_no_bend_and_no_spike(count: int) -> None:
    """Pure scatter is called bent or spiked at most once in 100 sets (4 times with 18 readings)."""
    rng = np.random.default_rng(count)
    angles = evenly(count)
    calls = 0
    for _ in range(100 if count < 72 else 40):
        readings = shape(angles, (1, 0.2, 30.0), (2, 0.03, 5.0)) + rng.normal(0, 0.02, count)
        result = from_readings(list(np.round(readings, 2)), list(angles))
        calls += result.local_bend is not None or bool(result.spikes)
    assert calls <= (4 if count == 18 else 1)


def test_spike_is_shown_and_stays_in_the_total() -> None:
    """A weld spike is named, stays in the TIR, and does not move the harmonics."""
    angles = evenly(24)
    rng = np.random.default_rng(6)
    clean = shape(angles, (1, 0.1, 0.0)) + rng.normal(0, 0.005, 24)
    spiked = clean.copy()
    spiked[7] += 0.5
    result = from_readings(list(spiked), list(angles))
    assert [spike.angle_deg for spike in result.spikes] == [105.0]
    assert result.tir_mm == pytest.approx(float(np.ptp(spiked)))
    assert result.tir_without_spikes_mm == pytest.approx(float(np.ptp(np.delete(spiked, 7))))
    assert Caveat.SPIKE in kinds(result)
    assert result.harmonics[0].amplitude_mm == pytest.approx(0.1, abs=0.01)
    ignored = from_readings(list(spiked), list(angles), ignore_deg=[105.0])
    assert ignored.count == 23 and Caveat.SPIKE_IGNORED in kinds(ignored)
    assert ignored.tir_mm == pytest.approx(result.tir_without_spikes_mm)


def test_few_readings_are_said() -> None:
    """Under 18 readings say so; 6 fit one order only; a half-empty turn is a guess."""
    few = from_readings(list(shape(evenly(6), (1, 0.2, 0.0))))
    assert Caveat.FEW_READINGS in kinds(few) and len(few.harmonics) == 1
    assert Caveat.FEW_READINGS not in kinds(from_readings(list(shape(evenly(18), (1, 0.2, 0.0)))))
    crowded = np.linspace(0.0, 200.0, 20)
    assert Caveat.UNEVEN_ANGLES in kinds(
        from_readings(list(shape(crowded, (1, 0.2, 0.0))), list(crowded))
    )


def test_still_pointer_and_knurl_are_said() -> None:
    """A pointer that never moves, and wild scatter, are named."""
    assert Caveat.POINTER_STILL in kinds(from_readings([0.1] * 24))
    knurl = list(0.15 * np.where(np.arange(24) % 2, 1.0, -1.0))
    assert Caveat.SCATTER in kinds(from_readings(knurl))


READINGS = [0.1, 0.2, 0.3, 0.2, 0.1, 0.0, 0.1, 0.2]


@pytest.mark.parametrize(
    ("readings", "angles", "said"),
    [
        (READINGS[:5], None, "too few"),
        ([], None, "too few"),
        (READINGS, [0, 45, 90, 90, 180, 225, 270, 315], "same place"),
        (READINGS, [0, 60, 120, 180, 240, 300, 360, 420], "more than one turn"),
        (READINGS, [0, 45, 90], "8 readings and 3 angles"),
        (READINGS, [0, 20, 40, 60, 80, 100, 120, 140], "have no reading"),
        (READINGS, [0, 45, math.nan, 135, 180, 225, 270, 315], "not a number"),
        ([*READINGS[:7], 900.0], None, "reading 8: 900 mm"),
        ([*READINGS[:7], math.nan], None, "reading 8: nan mm"),
        ([0.1] * 721, None, "too many"),
    ],
)
def test_lists_that_cannot_be_used(
    readings: list[float], angles: list[float] | None, said: str
) -> None:
    """Each refusal is one sentence that names the fault."""
    with pytest.raises(ReadingError, match=said):
        from_readings(readings, angles)


def test_values_that_cannot_be_used() -> None:
    """High below low, negative totals, 900 mm, no place to ignore, no such division."""
    with pytest.raises(ReadingError, match="below the low"):
        from_high_low(0.1, 0.2)
    with pytest.raises(ReadingError, match="negative"):
        from_tir(parse("-0.3", Quantity.LENGTH))
    with pytest.raises(ReadingError, match="900 mm is no runout"):
        from_tir(parse("900 mm", Quantity.LENGTH))
    with pytest.raises(ReadingError, match="24 mm cannot be"):
        from_tir(parse("24 mm", Quantity.LENGTH))
    with pytest.raises(ReadingError, match="24 mm cannot be"):
        from_readings([*READINGS[:7], 24.0])
    with pytest.raises(ReadingError, match="to leave out"):
        from_readings(READINGS, ignore_deg=[100.0])
    with pytest.raises(ReadingError, match="division"):
        from_readings(READINGS, resolution_mm=0.0)
    with pytest.raises(ReadingError, match="orders"):
        from_readings(READINGS, orders=4)
    with pytest.raises(ReadingError, match="repeat spread"):
        tir_uncertainty(0.01, -1.0)
