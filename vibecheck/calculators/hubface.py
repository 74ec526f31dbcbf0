"""Hub face: a wheel's lateral readings less what the hub brings, read at the same places."""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, decide
from vibecheck.metrology.runout.faces import FEWEST, LessHub, less_hub, tip_factor
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.runout.turn_list import readings_round_a_turn
from vibecheck.metrology.units.values import Quantity

SMALLEST_MM, LARGEST_MM = 5.0, 1_000.0  # radius at which a face is read
_LENGTH = Quantity.LENGTH
_LISTS = ("wheel", "hub")


@dataclass(frozen=True)
class HubFaceResult:
    """A wheel's own lateral runout.

    Attributes
    ----------
    less : the wheel alone, what the hub brings, and what it leaves unsaid.
    tip_factor : by what the readings were multiplied for a tilted stylus.
    decision : 1st harmonic of the wheel alone, high minus low, against the limit; None without.
    as_read_mm : the wheel as it stands on the hub, high minus low.
    angles_deg : where the places are.
    """

    less: LessHub
    tip_factor: float
    decision: Decision | None
    as_read_mm: float
    angles_deg: tuple[float, ...]

    @property
    def wheel_mm(self) -> tuple[float, float]:
        """The wheel's 1st harmonic, high minus low, with its uncertainty (95 %) [mm]."""
        return self.less.wheel.tir, 2.0 * self.less.uncertainty_mm


def run(texts: Texts, tell: Tell | None = None) -> HubFaceResult:
    """Take the hub off the wheel, and judge what is left.

    Raises
    ------
    ReadingError : lists that do not match, angles, radii or a tip angle that cannot be.
    """
    typed = Typed(texts)
    tip = typed.angle("tip") or 0.0
    with at_field("tip"):
        factor = tip_factor(tip)
    wheel, hub = ([factor * each.value for each in typed.values(name, _LENGTH)]
                  for name in _LISTS)
    for name, readings in zip(_LISTS, (wheel, hub), strict=True):
        if len(readings) < FEWEST:
            raise ReadingError(f"{len(readings)} places are too few", name,
                               f"read {FEWEST} or more, evenly round the turn")
    if len(wheel) != len(hub):
        raise ReadingError(
            f"{len(wheel)} readings of the wheel and {len(hub)} of the hub do not belong together",
            "hub", "read both at the same places")
    angles = typed.angles("angles")
    with at_field("angles" if angles is not None else "wheel"):
        places = [_round(readings, angles, name)
                  for name, readings in zip(_LISTS, (wheel, hub), strict=True)]
    radii = [_radius(typed, name) for name in ("wheel_radius", "hub_radius")]
    found = less_hub(places[0][0], places[1][0], places[0][1], *radii)
    limit = typed.up_to("limit", _LENGTH, LARGEST_MM)
    decision = None
    if limit is not None:
        decision = decide(found.wheel.tir, 2.0 * found.uncertainty_mm, limit)
    return HubFaceResult(found, factor, decision, max(wheel) - min(wheel),
                         tuple(places[0][1].tolist()))


def answers(result: HubFaceResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding: the assembly's runout is judged as it was read."""
    return ()


def _round(
    readings: list[float], angles: list[float] | None, name: str
) -> tuple[Floats, Floats]:
    turn = readings_round_a_turn(readings, angles, (), name)
    return turn.readings_mm, turn.angles_deg


def _radius(typed: Typed, name: str) -> float:
    found = typed.up_to(name, _LENGTH, LARGEST_MM)
    if found is None:
        raise ReadingError("the radius at which it was read is missing", name, "write 60 mm")
    if found < SMALLEST_MM:
        raise ReadingError(f"a radius of {found:.3g} mm is too near the middle", name,
                           "check the unit and write it as 60 mm")
    return found


CALCULATOR = Calculator(
    name="hubface",
    about=(
        "A wheel on a hub face that runs out wobbles with it, more the farther out it is read. "
        "Read the wheel's lateral runout on the hub, take the wheel off, and read the hub's face "
        "at the same places, counted from the same stud. The hub's tilt is carried to the "
        "wheel's radius and taken off place by place: what is left is the wheel's own. Turn by "
        "hand, car secured and supported as its maker's manual says."
    ),
    empty="Type the wheel's and the hub's readings at the same places, and both radii.",
    entries=(
        Field("wheel", "Wheel on the hub", "0.10 0.22 0.31 ... {unit}",
              "Lateral readings round the turn, from one marked stud.", _LENGTH, Shape.LIST),
        Field("hub", "Hub's face", "0.00 0.02 0.03 ... {unit}",
              "Lateral readings of the hub's face at the same places.", _LENGTH, Shape.LIST),
        Field("wheel_radius", "Wheel read at", "190 {unit}", "Radius at which it was read.",
              _LENGTH),
        Field("hub_radius", "Hub read at", "60 {unit}", "Radius at which it was read.", _LENGTH),
        Field("limit", "Limit", "0.5 {unit}", "High minus low that the wheel's maker accepts.",
              _LENGTH),
        Field("angles", "Angles", "0 45 90 ...",
              "Where the readings were taken; else evenly spaced.", Quantity.ANGLE, Shape.LIST,
              folded=True),
        Field("tip", "Stylus tilted by", "15",
              "Of a lever gauge: angle between its stylus and the surface [deg].",
              Quantity.ANGLE, folded=True),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"wheel": "0.19 0.26 0.24 0.17 0.06 -0.08 -0.19 -0.25 -0.25 -0.17 -0.05 0.08 mm",
                 "hub": "0.030 0.026 0.015 0.000 -0.015 -0.026 -0.030 -0.026 -0.015 0.000 0.015 "
                        "0.026 mm",
                 "wheel_radius": "180 mm", "hub_radius": "60 mm", "limit": "0.45 mm"},
                "A wheel that reads over the limit on its hub; alone it is within it.",
                ("the wheel alone runs out by 0.40",)),
        Example({"wheel": "0.010 0.020 0.010 -0.010 -0.020 -0.010 in",
                 "hub": "0.001 0.002 0.001 -0.001 -0.002 -0.001 in",
                 "wheel_radius": "7.5 in", "hub_radius": "2.5 in", "tip": "30 deg"},
                "Read in inches, with the stylus of a lever gauge tilted by 30 deg.",
                ("times 0.87",)),
    ),
)
