"""Clockings as people type them: how the parts stood to each other, and what was read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout import readings as runout
from vibecheck.metrology.stack.separation import Clocking
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import FULL_TURN_DEG, Vector, turned
from vibecheck.session.benches import fields


class ClockingTyped(Struct, frozen=True, kw_only=True):
    """Readings at one clocking: `readings` round the turn, or `runout` as "0.42 mm at 120".

    `tire_turn` : of the tire on the wheel, from where it stood first. `wheel_turn` : of the wheel
    on the hub, valve stem from the marked stud. `tire_on`, `on_hub` : how it was read.
    `from_valve` : angles count from the valve stem also on the hub, not from the marked stud.
    """

    readings: str = ""
    angles: str = ""
    runout: str = ""
    tire_turn: str = "0"
    wheel_turn: str = "0"
    tire_on: bool = True
    on_hub: bool = True
    from_valve: bool = False


def clocking_of(text: str, field: str = "clockings") -> ClockingTyped:
    """A clocking as one text: "tire 180, wheel 72: 0 .05 ... mm" or "tire 180: 0.42 mm at 120".

    Words before the colon: `tire ANGLE`, `wheel ANGLE`, `bare` (no tire on it), `spindle` (on a
    true-running spindle, not on the hub), `valve` (angles count from the valve stem).

    Raises
    ------
    ReadingError : no colon, or another word before it.
    """
    head, colon, body = text.partition(":")
    if not colon or not body.strip():
        raise ReadingError(
            f"'{short(text)}' is not a clocking", field,
            "write for example 'tire 180: 0.42 mm at 120'",
        )
    words = head.replace(",", " ").replace("=", " ").lower().split()
    turns = {"tire": "0", "wheel": "0"}
    flags = {"bare": False, "spindle": False, "valve": False}
    while words:
        word = words.pop(0)
        if word in turns and words:
            turns[word] = words.pop(0)
        elif word in flags:
            flags[word] = True
        else:
            raise ReadingError(
                f"'{short(word)}' says nothing about a clocking", field,
                "write tire ANGLE, wheel ANGLE, bare, spindle or valve before the colon",
            )
    one = "@" in body or " at " in body
    return ClockingTyped(
        readings="" if one else body.strip(), runout=body.strip() if one else "",
        tire_turn=turns["tire"], wheel_turn=turns["wheel"], tire_on=not flags["bare"],
        on_hub=not flags["spindle"], from_valve=flags["valve"],
    )


@dataclass(frozen=True)
class Bench:
    """What holds for all clockings: unit of bare numbers, division and remount spread [mm]."""

    unit: str
    division_mm: float
    remount_mm: float


def read(typed: ClockingTyped, bench: Bench, field: str) -> Clocking:
    """A clocking as the separation takes it.

    Raises
    ------
    ReadingError : no reading, or one that cannot be.
    """
    tire_turn = fields.angle(typed.tire_turn, field) or 0.0
    wheel_turn = fields.angle(typed.wheel_turn, field) or 0.0
    vector, spread = _vector(typed, bench, field)
    spread = math.hypot(spread, bench.remount_mm)
    if typed.from_valve and typed.on_hub:
        vector = turned(vector, wheel_turn)
    return Clocking(vector, spread, tire_turn, wheel_turn, typed.tire_on, typed.on_hub)


def _vector(typed: ClockingTyped, bench: Bench, field: str) -> tuple[Vector, float]:
    """First harmonic and the expanded uncertainty of its amplitude, without the remount [mm]."""
    marked = fields.spot(typed.runout, Quantity.LENGTH, field, bench.unit)
    if marked is not None:
        with fields.at_field(field):
            found = runout.from_tir(marked.size, bench.division_mm)
        by_hand = math.radians(fields.MARKED_BY_HAND_DEG) * found.tir_mm / 2.0
        spread = math.hypot(found.uncertainty_mm / 2.0, by_hand)
        return Vector(found.tir_mm / 2.0, marked.angle_deg), spread
    readings = [each.value for each in
                fields.values(typed.readings, Quantity.LENGTH, field, bench.unit)]
    if not readings:
        raise ReadingError("there is no reading", field, "write readings round one turn")
    angles = fields.angles(typed.angles, field)
    first = runout.from_readings(readings, angles, bench.division_mm, where=field).harmonics[0]
    return Vector(first.amplitude_mm, first.angle_deg), first.uncertainty_mm


def raw(typed: Sequence[ClockingTyped], unit: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Every single reading, and where and at which clocking it was taken."""
    readings: list[str] = []
    places: list[str] = []
    for each in typed:
        how = (f"tire {each.tire_turn} wheel {each.wheel_turn}"
               f"{'' if each.tire_on else ' bare'}{'' if each.on_hub else ' spindle'}"
               f"{' valve' if each.from_valve else ''}")
        if each.runout:
            readings.append(each.runout)
            places.append(how)
            continue
        single = fields.single(fields.values(each.readings, Quantity.LENGTH, "", unit))
        angles = fields.angles(each.angles, "") or [
            FULL_TURN_DEG * place / len(single) for place in range(len(single))]
        readings += single
        places += [f"{how}: {angle:g}" for angle in angles]
    return tuple(readings), tuple(places)
