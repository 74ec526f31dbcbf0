"""Saturation, units and speed judged by the numbers; the clock's own faults."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.note import Note
from vibecheck.metrology.record.clock import clock_of
from vibecheck.metrology.record.signal import signal_of, speed_of
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.wording import Wording

RNG = np.random.default_rng(9)
G = 9.80665


def said(notes: Iterable[Note]) -> list[str]:
    """Notes as they are read."""
    return [note_text(note, Wording()) for note in notes]


def noise(count: int = 4000, level: float = 1.0) -> np.ndarray:
    return RNG.normal(0.0, level, (count, 3)) + [0.0, 0.0, G]


@pytest.mark.parametrize("step", [0.0024, 0.02, 0.15])
def test_a_coarse_but_unsaturated_sensor_is_not_refused(step: float) -> None:
    """A pure tone spends most of its time near its ends; that is no saturation."""
    tone = 2.0 * np.sin(2.0 * np.pi * 11.0 * np.arange(4000) / 200.0)
    values = np.round((noise(level=0.02) + tone[:, None]) / step) * step

    signal = signal_of(values, "m/s2", "")

    assert signal.warnings == ()


@pytest.mark.parametrize("limit", [0.9, 0.95])
def test_a_clipped_tone_is_refused(limit: float) -> None:
    tone = np.sin(2.0 * np.pi * 11.03 * np.arange(4000) / 200.0)
    values = noise(level=0.01)
    values[:, 1] = np.clip(values[:, 1] * 0.1 + tone * 3.0, -limit * 3.0, limit * 3.0)

    with pytest.raises(RecordError, match="the y axis is saturated"):
        signal_of(values, "m/s2", "")


def test_a_few_samples_at_the_limit_are_told() -> None:
    values = noise(20000, 1.0)
    values[:, 0] = np.clip(values[:, 0], -3.0, 3.0)

    signal = signal_of(values, "m/s2", "")

    assert any("the x axis reached its limit" in text for text in said(signal.warnings))


@pytest.mark.parametrize(("unit", "size"), [("m/s2", 1.0), ("g", G), ("mg", G / 1000.0)])
def test_an_unnamed_unit_is_known_by_gravity(unit: str, size: float) -> None:
    values = noise()

    signal = signal_of(values / size, "", "")

    assert signal.acceleration == pytest.approx(values)
    assert any(f"so {unit} was taken" in text for text in said(signal.notes))


def test_a_phone_that_was_turned_is_told() -> None:
    signal = signal_of(noise() * 0.6, "m/s2", "")

    assert any("may have moved" in text for text in said(signal.warnings))


def test_a_held_speed_becomes_a_straight_line() -> None:
    time_s = np.arange(0.0, 20.0, 0.01)
    held = 15.0 + np.floor(time_s)

    found = speed_of(time_s, held, "m/s", "")
    speed, notes = found.speed_ms, found.notes

    # Single precision: 6e-8 of 35 m/s.
    assert speed[:1900] == pytest.approx(15.0 + time_s[:1900], abs=4e-6)
    assert any("held between updates" in text for text in said(notes))


@pytest.mark.parametrize(
    ("unit", "shown"), [("km/h", 90.0), ("mph", 90.0 / 1.609344), ("m/s", 25.0), ("", 25.0),
                        ("", 90.0)])
def test_speed_units(unit: str, shown: float) -> None:
    found = speed_of(np.arange(3.0), np.full(3, shown), unit, "")

    assert found.speed_ms == pytest.approx(25.0)
    assert len(found.units) == 1


def test_a_blank_speed_is_left_out() -> None:
    found = speed_of(np.arange(3.0), np.full(3, np.nan), "m/s", "")
    speed, notes = found.speed_ms, found.notes

    assert speed is None and "blank" in said(notes)[0]


@pytest.mark.parametrize("unit", ["s", "ms", "us", "ns"])
def test_an_unnamed_time_unit_is_known_by_its_steps(unit: str) -> None:
    size = {"s": 1.0, "ms": 1e3, "us": 1e6, "ns": 1e9}[unit]

    clock = clock_of(np.arange(1000) / 100.0 * size, "", "")

    assert clock.rate_hz == pytest.approx(100.0)
    assert any(f"the steps fit {unit}" in text for text in said(clock.notes))


def test_a_few_rows_out_of_order_are_sorted() -> None:
    stamps = np.arange(1000) / 100.0
    stamps[[400, 401]] = stamps[[401, 400]]

    clock = clock_of(stamps, "s", "")

    assert clock.time_s == pytest.approx(np.arange(1000) / 100.0)
    assert list(clock.keep[399:403]) == [399, 401, 400, 402]
    assert any("ran backward" in text for text in said(clock.warnings))


def test_a_slow_phone_is_told() -> None:
    clock = clock_of(np.arange(1000) / 50.0, "s", "")

    assert any("nothing above 25 Hz" in text for text in said(clock.warnings))
