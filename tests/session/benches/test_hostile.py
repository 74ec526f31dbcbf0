"""Any text in any field of any bench gives a result or one sentence, never a traceback."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from bench_helpers import round_text
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs, to_builtins

from vibecheck.errors import InputError
from vibecheck.metrology.vectors import Vector
from vibecheck.session.benches import balance, match, orders, record, runout, stack, trialweight
from vibecheck.session.benches.clockings import ClockingTyped, clocking_of

FIRST, SECOND = round_text(Vector(0.4, 20.0), 8), round_text(Vector(0.3, 140.0), 8)
STACK = stack.StackTyped(
    clockings=(ClockingTyped(readings=FIRST), ClockingTyped(readings=SECOND, tire_turn="180")),
    studs="5", parts="tire wheel", remount="0.02", division="0.01")
Run = Callable[[Any], Any]
BENCHES: tuple[tuple[Any, Run], ...] = (
    (runout.RunoutTyped(readings=FIRST, tolerance="0.5", face_radius="60", bead_radius="200"),
     runout.run),
    (runout.RunoutTyped(high="1", low="0", clearance="0.1"), runout.run),
    (runout.RunoutTyped(tir="0.5"), runout.run),
    (STACK, stack.run),
    (stack.StackTyped(before="10", after="190"), stack.run),
    (match.MatchTyped(carrier="0.6 at 110", part="0.8 at 20", studs="5", limit="1"), match.run),
    (balance.BalanceTyped(inner="35 at 1", outer="3 at 2", again_inner="35 at 9",
                          again_outer="4 at 2", inner_radius="200", outer_radius="190",
                          distance="160", spokes="5", mass="20", speed="100", tire="205/55R16",
                          grade="40"), balance.run),
    (trialweight.TrialTyped(first="8 at 0", runs=("10 at 40",), trials=("30 g at 0",)),
     trialweight.run),
    (trialweight.TrialTyped(first="8", runs=("9 12 5",), trials=("30 g",), positions="0 120 240"),
     trialweight.run),
    (orders.OrdersTyped(tire="205/55R16", speed="105", axle_ratio="3.7", cylinders="4",
                        overall_ratio="2.6", measured="15", gears=("third=4.8",)), orders.run),
)
HOSTILE = (
    "", " ", "0", "-1", "1e308", "1e-308", "nan", "inf", "1..2", "1,234", "1/0", "9" * 400,
    "[/bad]", "\x1b[31m", "\x00", "‮12", "½", "१२", "1 at", "at 1", "1 at 1 at 1", "1 @ nan",
    "0 at 0", "1e300 at 1e300", "; ; ;", "1;2;3", "mm", "1 mm 2 in", "°", "+/-", "1 +/- -1",
    "1 +/- 1e400", "0 0 0 0 0 0", "1 1 1 1 1 1 1 1", "-0", "999999999999", "third=", "=",
    "tire wheel hub", "tire tire", "205/55R16", "x" * 10_000,
)


def text_fields(typed: Any) -> list[str]:
    """Names of the fields that hold one text."""
    return [name for name in typed.__struct_fields__ if isinstance(getattr(typed, name), str)]


def outcome(calculate: Callable[[], Any]) -> None:
    """Run; a result must be made of plain values, a complaint must be one line."""
    try:
        result = calculate()
    except InputError as error:
        assert "\n" not in str(error)
        assert str(error).isprintable()
        return
    to_builtins(result)


@pytest.mark.parametrize(("typed", "run"), BENCHES)
@pytest.mark.parametrize("text", HOSTILE)
def test_one_hostile_field(typed: Any, run: Run, text: str) -> None:
    for name in text_fields(typed):
        outcome(lambda name=name: run(structs.replace(typed, **{name: text})))  # type: ignore[misc]


@pytest.mark.parametrize("text", HOSTILE)
def test_one_hostile_text_in_a_list(text: str) -> None:
    for name in text_fields(ClockingTyped()):
        odd = structs.replace(ClockingTyped(readings=SECOND, tire_turn="90"), **{name: text})
        outcome(lambda odd=odd: stack.run(  # type: ignore[misc]
            structs.replace(STACK, clockings=(*STACK.clockings, odd))))
    outcome(lambda: clocking_of(text))
    outcome(lambda: clocking_of(f"tire {text}: 1 at 0"))
    for name in ("runs", "trials"):
        outcome(lambda name=name: trialweight.run(  # type: ignore[misc]
            structs.replace(BENCHES[7][0], **{name: (text,)})))
    outcome(lambda: orders.run(structs.replace(BENCHES[-1][0], gears=(text,))))


@pytest.mark.parametrize("text", [text for text in HOSTILE if text not in ("", " ")])
def test_hostile_fields_of_a_record(sweep: Path, text: str) -> None:
    typed = record.RecordTyped(file=str(sweep), tire="205/55R16")
    for name in ("file", "forward", "engine_rpm"):
        outcome(lambda name=name: record.run(  # type: ignore[misc]
            structs.replace(typed, **{name: text})))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(text=st.text(max_size=40), place=st.integers(0, len(BENCHES) - 1), field=st.integers(0, 40))
def test_any_text_anywhere(text: str, place: int, field: int) -> None:
    typed, run = BENCHES[place]
    names = text_fields(typed)
    outcome(lambda: run(structs.replace(typed, **{names[field % len(names)]: text})))
