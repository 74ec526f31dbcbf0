"""The match bench: the best turn of tire on wheel, or of wheel on hub, and what it brings."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.readings import USUAL_DIVISION_MM, tir_uncertainty
from vibecheck.metrology.stack.matching import Match, best_turn, turns_table
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector, add, turned
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields
from vibecheck.session.benches.result import BenchView, Plot, Section, no_surface
from vibecheck.session.benches.told import Lengths

Number = Callable[[float], str]

FORCE_UNCERTAINTY_N = 16.0  # expanded, of a force reading without its own; as the rules' smear
PLOT_STEP_DEG = 15


class MatchTyped(Struct, frozen=True, kw_only=True):
    """What a person types: `carrier` and `part` as "0.60 mm +/- 0.05 at 110", high to low.

    The angle is where the high spot stands, from one mark on the carrier. `studs` : for a wheel
    on a hub; nothing for a tire on a wheel. `limit` : high to low accepted. `force` : sizes are
    first harmonics of radial force variation, peak to peak. `unit` : of bare numbers.
    `told_in` : of the lengths in the result's texts.
    """

    carrier: str
    part: str
    studs: str = ""
    limit: str = ""
    force: bool = False
    unit: str = ""
    told_in: str = "mm"


class MatchView(BenchView, frozen=True, kw_only=True):
    """The best turn; sizes are high to low in `unit` (mm or N)."""

    calculator: ClassVar[str] = "match"

    turn_deg: float
    before: float
    after: float
    uncertainty_after: float
    low: float
    high: float
    gain: float
    uncertainty_gain: float
    worth: str
    unit: str
    table: tuple[tuple[float, float], ...]
    readings: tuple[str, ...]
    uncertainty_before: float

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The radial force variation as it stands; a runout here is but its 1st harmonic."""
        no_surface(surface)
        if self.unit != "N":
            return ()
        spoken = fields.spoken(self.before, self.uncertainty_before, Quantity.FORCE, "N")
        return (Assignment("radial_force", spoken, corner, self.readings),)


def run(typed: MatchTyped) -> MatchView:
    """Find the best turn.

    Raises
    ------
    ReadingError : a size, angle, limit or stud count that cannot be.
    """
    quantity = Quantity.FORCE if typed.force else Quantity.LENGTH
    carrier, u_carrier = _vector(typed, "carrier", quantity)
    part, u_part = _vector(typed, "part", quantity)
    studs = fields.count(typed.studs, "studs")
    limit = fields.above_zero(typed.limit, quantity, "limit", typed.unit or None)
    with fields.at_field("studs" if studs is not None else "part"):
        found = best_turn(carrier, part, u_carrier, u_part, studs, limit)
    table = () if studs is None else turns_table(carrier, part, studs)
    unit = "N" if typed.force else "mm"
    number, told_in = _number(typed)
    return MatchView(
        headline=found.told(number, told_in),
        sections=_sections(found, number, told_in, table, studs),
        notes=_notes(typed),
        next=_next(found, studs),
        plot=_plot(carrier, part, unit),
        turn_deg=found.turn_deg, before=found.before.tir, after=found.after.tir,
        uncertainty_before=2.0 * found.uncertainty_before,
        uncertainty_after=2.0 * found.uncertainty_after, low=2.0 * found.low,
        high=2.0 * found.high, gain=2.0 * found.gain,
        uncertainty_gain=2.0 * found.uncertainty_gain, worth=found.worth.value, unit=unit,
        table=tuple((turn, 2.0 * amplitude) for turn, amplitude in table),
        readings=(typed.carrier, typed.part),
    )


def _vector(typed: MatchTyped, field: str, quantity: Quantity) -> tuple[Vector, float]:
    """Amplitude and high spot, and the expanded uncertainty of the amplitude."""
    found = fields.spot(getattr(typed, field), quantity, field, typed.unit or None)
    if found is None:
        raise ReadingError("there is no reading", field, "write for example 0.42 at 120")
    size = found.size
    if size.uncertainty is not None:
        spread = size.uncertainty
    elif quantity is Quantity.FORCE:
        spread = FORCE_UNCERTAINTY_N
    else:
        spread = tir_uncertainty(max(USUAL_DIVISION_MM, min(size.step, 1.0)))
    by_hand = math.radians(fields.MARKED_BY_HAND_DEG) * size.value
    return Vector(size.value / 2.0, found.angle_deg), math.hypot(spread, by_hand) / 2.0


def _number(typed: MatchTyped) -> tuple[Number, str]:
    """How the texts write a size, and its unit."""
    if typed.force:
        return "{:.2f}".format, "N"
    told = Lengths(typed.told_in)
    return lambda size: told.number(size, 2), told.unit


def _sections(
    found: Match, number: Number, unit: str, table: tuple[tuple[float, float], ...],
    studs: int | None,
) -> tuple[Section, ...]:
    lines = (
        f"now {number(found.before.tir)} {unit} +/- {number(2.0 * found.uncertainty_before)}, "
        f"high spot at {found.before.angle_deg:.0f} deg",
        f"after {number(found.after.tir)} {unit}, between {number(2.0 * found.low)} and "
        f"{number(2.0 * found.high)}",
        f"gain {number(2.0 * found.gain)} {unit} +/- {number(2.0 * found.uncertainty_gain)}",
    )
    sections = [Section(title="High to low", lines=lines)]
    if studs is not None:
        rows = tuple(f"{turn:5.0f} deg  {number(2.0 * size):>7} {unit}" for turn, size in table)
        sections.append(Section(title="Every turn that the studs allow", lines=rows))
    return tuple(sections)


def _notes(typed: MatchTyped) -> tuple[str, ...]:
    notes = ["the prediction holds for the 1st harmonic; ovals and sharp bends stay as they are"]
    if typed.force:
        notes.append("force variation alone condemns no part; correct runout first")
    return tuple(notes)


def _next(found: Match, studs: int | None) -> tuple[str, ...]:
    if found.gain <= 0.0:
        return ()
    if studs is None:
        return ("mark tire and wheel before you turn, balance afterwards, and measure again",)
    return ("tighten by the maker's sequence and torque, and measure again",)


def _plot(carrier: Vector, part: Vector, unit: str) -> Plot:
    turns = range(0, 360, PLOT_STEP_DEG)
    return Plot(
        kind="round", title="Total by the turn of the part", x_label="deg", y_label=unit,
        x=tuple(float(turn) for turn in turns),
        y=tuple(add((carrier, turned(part, turn))).tir for turn in turns),
    )
