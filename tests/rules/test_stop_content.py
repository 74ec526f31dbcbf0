"""What stops the drive and what does not, part by part.

Common practice of the trade unless a source stands beside the row.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from vibecheck.knowledge.library import Library
from vibecheck.session.proving import diagnosis_of
from vibecheck.session.raised import stop_cautions

sys.path.insert(0, str(Path(__file__).parent))

import stop_table  # noqa: E402

STOPS = [
    ("a violent shimmy that a bump sets off",
     ["shakes_after_bump=clearly", "felt_in_steering_wheel=strong"], "stop_death_wobble"),
    ("a loose track bar", ["track_bar_play=yes"], "stop_death_wobble"),
    ("a shake with a clear pull", ["vibration=slight", "pulls=clearly"], "stop_sudden_onset"),
    ("steering with play", ["steering_loose=clearly"], "stop_steering_loose"),
    ("a hard pull when braking", ["pull_when_braking=clearly"], "stop_brake_pull"),
    ("pressure far too low (49 CFR 571.138 warns at 25 percent)",
     ["pressure_error@LF=-80 kPa"], "stop_pressure_far_low"),
    ("a wheel that does not sit flat", ["seating_gap@LF=yes"], "stop_wheel_gap"),
    ("a bead that does not sit", ["bead_line_uneven@LF=yes"], "stop_pressure_lost"),
    ("a tire driven flat", ["low_pressure_driven=flat"], "stop_pressure_lost"),
    ("a wheel bearing that knocks", ["bearing_knock@LF=knock"], "stop_bearing_play"),
    ("a rotor at its minimum (49 CFR 570.5)", ["rotor_below_minimum@LF=yes"], "stop_brake_worn"),
    ("a drum at its maximum (49 CFR 570.5)", ["drum_over_maximum@LR=yes"], "stop_brake_worn"),
    ("a sinking brake pedal", ["brake_warning=pedal"], "stop_brake_fluid"),
    ("fuel smell", ["fumes_inside=fuel"], "stop_fumes_or_fuel"),
    ("a universal joint with play", ["ujoint_play=play"], "stop_shaft_loose"),
    ("a dead steering damper and a shake after bumps",
     ["steering_damper_bad=yes", "shakes_after_bump=slightly"], "stop_death_wobble"),
]  # fmt: skip
GOES = [
    ("a pull without a shake", ["vibration=none", "pulls=clearly"]),
    ("a car that wanders", ["wanders=clearly"]),
    ("pressure far too high", ["pressure_error@LF=+80 kPa"]),
    ("free play over the working limit, far under that of inspection",
     ["steering_free_play=35 mm"]),
    ("a strut mount that knocks", ["spring_broken@LF=mount"]),
    ("an adjustable bearing within 0.005 in (TMC practice)", ["bearing_play@LF=0.1 mm"]),
    ("nobody ever re-torqued or balanced",
     ["retorqued=no", "balance_history=never", "alignment_history=never"]),
]  # fmt: skip
ADJUSTABLE = {"hub_bearing": "adjustable"}


def _stops(library: Library, answers: list[str], facts: dict[str, str]) -> set[str]:
    found = diagnosis_of(library, facts, answers)
    return {each.rule.id for each in stop_cautions(found)}


@pytest.mark.parametrize(("answers", "caution"), [row[1:] for row in STOPS],
                         ids=[row[0] for row in STOPS])  # fmt: skip
def test_what_stops(library: Library, answers: list[str], caution: str) -> None:
    assert caution in _stops(library, answers, {})


@pytest.mark.parametrize("answers", [row[1] for row in GOES], ids=[row[0] for row in GOES])
def test_what_does_not_stop(library: Library, answers: list[str]) -> None:
    assert set() == _stops(library, answers, ADJUSTABLE)


def test_the_page_shows_every_stop(library: Library) -> None:
    """If not: python tests/rules/stop_table.py --write."""
    assert stop_table.table(library) in stop_table.PAGE.read_text(encoding="utf-8")
