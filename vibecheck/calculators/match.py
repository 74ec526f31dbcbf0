"""The best turn: tire on wheel or wheel on hub, high spot over low spot."""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import MARKED_BY_HAND_DEG, Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.readings import from_tir
from vibecheck.metrology.stack.matching import BestTurn, best_turn, turns_table
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector

FORCE_UNCERTAINTY_N = 16.0  # expanded, of a force reading without its own; as the rules' smear
_FORCE = ("force", Quantity.FORCE)


@dataclass(frozen=True)
class MatchResult:
    """The best turn; amplitudes in the base unit of `quantity` [mm or N].

    Attributes
    ----------
    match : where to turn and what it brings.
    carrier, part : as they stand now.
    quantity : length for a runout, force for a radial force variation.
    studs : of the hub; None for a tire on a wheel.
    turns : every turn that the studs allow [deg] with the total's amplitude.
    readings : as typed.
    """

    match: BestTurn
    carrier: Vector
    part: Vector
    quantity: Quantity
    studs: int | None
    turns: tuple[tuple[float, float], ...]
    readings: tuple[str, ...]


def run(texts: Texts, tell: Tell | None = None) -> MatchResult:
    """Find the best turn.

    Raises
    ------
    ReadingError : a size, angle, limit or stud count that cannot be.
    """
    typed = Typed(texts)
    quantity = Quantity.FORCE if typed.flag("force") else Quantity.LENGTH
    carrier, u_carrier = _vector(typed, "carrier", quantity)
    part, u_part = _vector(typed, "part", quantity)
    studs = typed.count("studs")
    limit = typed.above_zero("limit", quantity)
    with at_field("studs" if studs is not None else "part"):
        found = best_turn(carrier, part, u_carrier, u_part, studs, limit)
    turns = () if studs is None else turns_table(carrier, part, studs)
    return MatchResult(found, carrier, part, quantity, studs, turns,
                       (typed.text("carrier"), typed.text("part")))


def answers(result: MatchResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The radial force variation as it stands; a runout here is but its 1st harmonic."""
    if result.quantity is not Quantity.FORCE:
        return ()
    return (FindingAnswer("radial_force", "", result.match.before.tir,
                          2.0 * result.match.uncertainty_before, Quantity.FORCE, "N",
                          result.readings),)


def _vector(typed: Typed, field: str, quantity: Quantity) -> tuple[Vector, float]:
    """Amplitude and high spot, and the expanded uncertainty of the amplitude."""
    found = typed.size_at(field, quantity)
    if found is None:
        raise ReadingError("there is no reading", field, "write for example 0.42 at 120")
    size = found.size
    if size.uncertainty is not None:
        spread = size.uncertainty
    elif quantity is Quantity.FORCE:
        spread = FORCE_UNCERTAINTY_N
    else:
        spread = from_tir(size, where=field).uncertainty_mm
    by_hand = math.radians(MARKED_BY_HAND_DEG) * size.value
    return Vector(size.value / 2.0, found.angle_deg), math.hypot(spread, by_hand) / 2.0


CALCULATOR = Calculator(
    name="match",
    about=(
        "Two parts that each run out a little can take from each other: the high spot of one "
        "over the low spot of the other. Type for each how much it runs out, high minus low, and "
        "at which angle its high spot stands from one mark on the carrying part. It says how far "
        "to turn, what is left then, and whether that is worth the work."
    ),
    empty=(
        "Type the runout and the high spot of both parts, as 0.60 at 110.\n\nThe carrier is the "
        "part that stays: the wheel under its tire, or the hub under its wheel."
    ),
    entries=(
        Field("carrier", "Part that stays", "0.60 {unit} at 110",
              "The part that stays: high minus low, at the angle of its high spot.",
              Quantity.LENGTH, Shape.SIZE_AT, _FORCE),
        Field("part", "Part to turn", "0.50 {unit} at 75",
              "The part to turn: high minus low, at the angle of its high spot from the same mark.",
              Quantity.LENGTH, Shape.SIZE_AT, _FORCE),
        Field("studs", "Studs", "5", "Only for a wheel on its hub: it can stand at so many turns."),
        Field("limit", "Limit", "0.8 {unit}", "High minus low that is still accepted.",
              Quantity.LENGTH, Shape.VALUE, _FORCE),
        Field("force", "Force variation, not runout",
              help="The sizes are radial force variation, 1st harmonic, peak to peak.",
              shape=Shape.FLAG),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"carrier": "0.60 mm +/- 0.05 at 110", "part": "0.80 mm +/- 0.05 at 20",
                 "limit": "0.8 mm"},
                "A wheel of 0.60 mm with its high spot at 110 deg carries a tire of 0.80 mm with "
                "its high spot at 20 deg: put the tire's high spot where the wheel is low.",
                ("worth doing: from 1.00 to 0.20 +/- 0.19 mm high to low by a turn of 90 deg "
                 "counterclockwise, seen from outside",)),
        Example({"carrier": "0.30 mm at 250", "part": "0.60 mm at 110", "studs": "5"},
                "A wheel on a hub can only be turned from stud to stud.",
                ("Every turn that the studs allow",)),
        Example({"force": "yes", "carrier": "60 N +/- 10 at 40", "part": "90 N +/- 10 at 75"},
                "The same for radial force variation, 1st harmonic.",
                ("N high to low by a turn of 145 deg",), "--into visit.yaml --corner LF"),
    ),
)
