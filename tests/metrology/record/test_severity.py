"""Weighted severity: a tone of known weighting, orientation, jolts, comfort words."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.metrology.note import Note
from vibecheck.metrology.record.even import EvenRecord, Stretch
from vibecheck.metrology.record.severity import Curve, comfort_of, severity_of, transfer
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.wording import Wording

RATE = 200.0


def said(notes: Iterable[Note]) -> list[str]:
    """Notes as they are read."""
    return [note_text(note, Wording()) for note in notes]


def tone(hz: float, amplitude: float, axis: int, seconds: float = 60.0) -> EvenRecord:
    values = np.zeros((round(seconds * RATE), 3))
    values[:, axis] = amplitude * np.sin(2.0 * np.pi * hz * np.arange(len(values)) / RATE)
    return EvenRecord(RATE, (Stretch(0.0, values, None),), True)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(st.floats(1.0, 80.0), st.floats(0.01, 10.0), st.integers(0, 2))
def test_a_tone_is_weighted_by_its_curve(hz: float, amplitude: float, axis: int) -> None:
    found = severity_of(tone(hz, amplitude, axis))

    curve = Curve.VERTICAL if axis == 2 else Curve.HORIZONTAL
    wanted = amplitude / math.sqrt(2.0) * abs(transfer(np.array([hz]), curve)[0])
    assert found.axes[axis] == pytest.approx(wanted, rel=0.01)
    assert found.total == pytest.approx(wanted, rel=0.01)


def test_axes_add_as_squares() -> None:
    one, two = tone(8.0, 1.0, 0), tone(8.0, 1.0, 2)
    both = EvenRecord(RATE, (Stretch(
        0.0, one.stretches[0].acceleration + two.stretches[0].acceleration, None),), True)

    assert severity_of(both).total == pytest.approx(
        math.hypot(severity_of(one).total, severity_of(two).total))


def test_the_worst_second_of_a_burst_is_the_burst() -> None:
    record = tone(10.0, 1.0, 2)
    values = record.stretches[0].acceleration.copy()
    values[: 40 * 200] = 0.0
    values[45 * 200:] = 0.0

    found = severity_of(EvenRecord(RATE, (Stretch(0.0, values, None),), True))

    full = severity_of(record).total
    assert found.worst_second == pytest.approx(full, rel=0.03)
    assert found.total == pytest.approx(full * math.sqrt(5.0 / 60.0), rel=0.02)


def test_a_single_jolt_is_told() -> None:
    record = tone(10.0, 0.01, 2)
    values = record.stretches[0].acceleration.copy()
    values[6000:6004] += 20.0

    found = severity_of(EvenRecord(RATE, (Stretch(0.0, values, None),), True))

    assert found.crest > 9.0 and any("jolts" in note for note in said(found.notes))


def test_what_was_assumed_is_told() -> None:
    record = tone(10.0, 0.5, 2)
    slow = EvenRecord(50.0, record.stretches, False)

    notes = " ".join(said(severity_of(slow).notes))

    assert "which way is up is not known" in notes and "above 25 Hz" in notes


def test_stretches_count_by_their_length() -> None:
    long, short = tone(10.0, 1.0, 2, 90.0), tone(10.0, 3.0, 2, 10.0)

    both = severity_of(EvenRecord(RATE, long.stretches + short.stretches, True))

    wanted = math.sqrt((90.0 * severity_of(long).total**2 + 10.0 * severity_of(short).total**2)
                       / 100.0)
    assert both.total == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("total", [0.0, 0.1, 0.315, 0.6, 0.9, 1.3, 2.2, 5.0])
def test_every_level_has_one_or_two_words(total: float) -> None:
    assert 1 <= len(comfort_of(total)) <= 2
