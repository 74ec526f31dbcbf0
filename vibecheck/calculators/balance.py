"""Balance: two planes parted into static and couple, weights that can be had, limits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import SizeAt, Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.balance import limits as balance_limits
from vibecheck.metrology.balance import two_planes as balance
from vibecheck.metrology.balance.two_planes import RimPlanes, StaticCouple
from vibecheck.metrology.balance.weights import (
    DEFAULT_STEP_G,
    Placed,
    at_places,
    behind_spokes,
    in_steps,
)
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector, vector_of

ONCE_MOUNTED_G = 6.0  # expanded, of grams read at one mounting: as the rules' smear; from memory
MACHINE_G = 2.0  # expanded, of a machine that shows single grams; from memory
PLANES = ("inner", "outer")
_MASS, _LENGTH, _SIZE_AT = Quantity.MASS, Quantity.LENGTH, Shape.SIZE_AT
_READINGS = ("inner", "outer", "again_inner", "again_outer")


@dataclass(frozen=True)
class Plane:
    """One plane: the weight wanted, the weights to place, and what they leave [g, deg]."""

    plane: str
    wanted: Vector
    placed: tuple[Vector, ...]
    left: Vector


@dataclass(frozen=True)
class BalanceResult:
    """Weights, static and couple, limits; masses in [g], angles in [deg].

    Attributes
    ----------
    planes : inner and outer.
    uncertainty_g : expanded, of the larger plane's grams.
    change_g : largest change between the two mountings; None if read once.
    static_couple : None without the planes' radius and distance.
    couple_left_g : couple a plane that one static weight midway would leave.
    force_n : with which the static part pulls at the speed given [N].
    permissible_g : residual of the whole wheel that the standard's grade permits.
    unit : the one that was typed.
    """

    planes: tuple[Plane, ...]
    uncertainty_g: float
    change_g: float | None
    static_couple: StaticCouple | None
    couple_left_g: float | None
    force_n: float | None
    permissible_g: float | None
    unit: str
    readings: tuple[str, ...]

    @property
    def largest_g(self) -> float:
        """The larger of the two planes' weights."""
        return max(each.wanted.amplitude for each in self.planes)


def run(texts: Texts, tell: Tell | None = None) -> BalanceResult:
    """Part, place and judge.

    Raises
    ------
    ReadingError : a weight, length, step or place that cannot be, or half of a pair.
    """
    typed = Typed(texts)
    first = _pair(typed, "inner", "outer")
    again = None
    if typed.text("again_inner") or typed.text("again_outer"):
        again = _pair(typed, "again_inner", "again_outer")
    wanted = [_mean(weight, None if again is None else again[index])
              for index, weight in enumerate(first)]
    change = _change(first, again)
    planes = _rim(typed)
    spread = _uncertainty(typed, change)
    parted = couple_left = None
    if planes is not None:
        parted = balance.static_and_couple(wanted[0], wanted[1], planes, spread / 2.0)
        couple_left = balance.static_only(wanted[0], wanted[1], planes).couple_g.amplitude
    return BalanceResult(
        tuple(_plane(typed, name, each) for name, each in zip(PLANES, wanted, strict=True)),
        spread, change, parted, couple_left, _force(typed, parted), _permissible(typed, planes),
        _unit(typed), _readings(typed),
    )


def answers(result: BalanceResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The larger of the two planes, and the change with mounting where it was read twice."""
    found = [("balance_residual", result.largest_g, result.uncertainty_g)]
    if result.change_g is not None:
        found.append(("balance_does_not_repeat", result.change_g, math.sqrt(2.0) * MACHINE_G))
    return tuple(
        FindingAnswer(finding, "", size, spread, _MASS, result.unit, result.readings)
        for finding, size, spread in found
    )


def _pair(typed: Typed, inner: str, outer: str) -> tuple[Vector, Vector]:
    spots: dict[str, SizeAt | None] = {name: typed.size_at(name, _MASS) for name in (inner, outer)}
    found = []
    for name, each in spots.items():
        if each is None:
            raise ReadingError("a plane without a reading", name,
                               "write for example 35 g at 120, or 0 g at 0")
        found.append(balance.check_weight(Vector(each.size.value, each.angle_deg), name))
    return found[0], found[1]


def _mean(first: Vector, again: Vector | None) -> Vector:
    return first if again is None else vector_of((first.xy + again.xy) / 2.0)


def _change(
    first: tuple[Vector, Vector], again: tuple[Vector, Vector] | None
) -> float | None:
    """Largest change of a plane's weight between the two mountings [g]."""
    if again is None:
        return None
    return max(abs(one.xy - two.xy) for one, two in zip(first, again, strict=True))


def _uncertainty(typed: Typed, change: float | None) -> float:
    """Expanded uncertainty of the larger plane's grams.

    Two mountings: the mean of two that differ by d has a standard uncertainty of d / 2.
    """
    own = typed.uncertainty("uncertainty", _MASS)
    if own is not None:
        return own
    return ONCE_MOUNTED_G if change is None else math.hypot(change, MACHINE_G)


def _plane(typed: Typed, name: str, wanted: Vector) -> Plane:
    placed = _placed(typed, wanted)
    return Plane(name, wanted, placed.weights, placed.left)


def _placed(typed: Typed, wanted: Vector) -> Placed:
    step = typed.above_zero("step", _MASS) or DEFAULT_STEP_G
    places, spokes = typed.angles("places"), typed.count("spokes")
    if places is not None and spokes is not None:
        raise ReadingError("places and spokes say the same twice", "spokes", "give one of them")
    if spokes is not None:
        with at_field("spokes"):
            places = list(behind_spokes(typed.angle("first_spoke") or 0.0, spokes))
    with at_field("places" if places is not None else "step"):
        return in_steps(wanted, step) if places is None else at_places(wanted, places, step)


def _rim(typed: Typed) -> RimPlanes | None:
    inner, outer, distance = (
        typed.above_zero(name, _LENGTH) for name in ("inner_radius", "outer_radius", "distance"))
    if inner is None and outer is None and distance is None:
        return None
    if distance is None:
        raise ReadingError("the planes' distance is missing", "distance", "write for example 160")
    one = inner if inner is not None else outer
    if one is None:
        raise ReadingError("the planes' radius is missing", "inner_radius", "write for example 200")
    with at_field("inner_radius"):
        return RimPlanes(one, outer if outer is not None else one, distance)


def _rpm(typed: Typed) -> float | None:
    speed, rolling = typed.above_zero("speed", Quantity.SPEED), typed.rolling()
    if speed is None or rolling is None:
        return None
    return balance_limits.wheel_rpm(speed, rolling.circumference_m)


def _force(typed: Typed, parted: StaticCouple | None) -> float | None:
    rpm = _rpm(typed)
    if rpm is None or parted is None:
        return None
    return balance_limits.force_n(parted.static_gmm.amplitude, rpm)


def _permissible(typed: Typed, planes: RimPlanes | None) -> float | None:
    """Permissible residual imbalance of the whole wheel at the mean radius [g]."""
    mass = typed.above_zero("mass", _MASS, "kg")
    grade = typed.number("grade") or balance_limits.CAR_WHEEL_GRADE
    rpm = _rpm(typed)
    if mass is None or rpm is None or planes is None:
        return None
    with at_field("grade"):
        found = balance_limits.permissible_residual(grade, mass / 1000.0, rpm)
    return found.grams_at(balance.mean_radius(planes))


def _unit(typed: Typed) -> str:
    found = typed.size_at("inner", _MASS)
    return found.size.unit if found is not None else "g"


def _readings(typed: Typed) -> tuple[str, ...]:
    return tuple(f"{name.replace('_', ' ')} {typed.text(name)}"
                 for name in _READINGS if typed.text(name))


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"tire": facts["tire_size"]} if facts.get("tire_size") else {}


_ASKED = "The weight that the balancing machine asks for there, rounding off."
_AGAIN = "The same after turning the wheel on the machine's shaft; angles from the valve stem."
CALCULATOR = Calculator(
    name="balance",
    about=(
        "Type the weight that the balancing machine asks for in each plane, with the rounding "
        "switched off, and the angle from the valve stem. Read it twice, with the wheel turned "
        "on the shaft in between: that tells how well it was centered. The weights are split "
        "into such as can be had and placed, static is parted from couple, and it says what the "
        "imbalance does at a speed."
    ),
    empty=(
        "Type the weight and angle that the machine asks for, as 35 g at 120, for the inner and "
        "the outer plane."
    ),
    entries=(
        Field("inner", "Inner plane", "35 {unit} at 120", _ASKED, _MASS, _SIZE_AT),
        Field("outer", "Outer plane", "20 {unit} at 300", _ASKED, _MASS, _SIZE_AT),
        Field("again_inner", "Inner, again", "31 {unit} at 118", _AGAIN, _MASS, _SIZE_AT),
        Field("again_outer", "Outer, again", "24 {unit} at 305", _AGAIN, _MASS, _SIZE_AT),
        Field("inner_radius", "Inner radius", "200 {unit}",
              "From the axis to the inner weight's place.", _LENGTH),
        Field("outer_radius", "Outer radius", "190 {unit}",
              "From the axis to the outer weight's place; else as the inner one.", _LENGTH),
        Field("distance", "Distance", "160 {unit}", "Between the two planes.", _LENGTH),
        Field("step", "Weights in steps", "5 {unit}",
              "The smallest step of the weights at hand; 5 g if empty.", _MASS),
        Field("places", "Weights can go at", "0 72 144 216 288",
              "Angles at which weights can be placed.", Quantity.ANGLE, Shape.LIST, folded=True),
        Field("spokes", "Or behind spokes", "5", "The number of even spokes that hide weights.",
              folded=True),
        Field("first_spoke", "First spoke at", "20", "Its angle from the valve stem.",
              Quantity.ANGLE, folded=True),
        Field("mass", "Wheel and tire", "20 kg",
              "Their mass together, a bare number in kg: with speed and tire size it gives the "
              "permissible residual.", _MASS, own_unit="kg", folded=True),
        Field("speed", "Speed", "110 {unit}", "For the force of the imbalance.", Quantity.SPEED,
              folded=True),
        Field(TIRE.name, TIRE.label, TIRE.hint, "For the turns at that speed.", shape=Shape.TEXT,
              folded=True),
        Field("grade", "Balance grade", "16", "Of the standard on rigid rotors, as 16 or 40 "
              "[mm/s]; 40 if empty.", folded=True),
        Field("uncertainty", "Uncertainty", "2 {unit}", "Of the grams, at about 95 %.", _MASS,
              folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"inner": "35 g at 120", "outer": "20 g at 300", "again_inner": "31 g at 118",
                 "again_outer": "24 g at 305", "inner_radius": "200 mm",
                 "outer_radius": "190 mm", "distance": "160 mm", "step": "5 g"},
                "Read twice, with the wheel turned on the machine's shaft in between.",
                ("the larger change between the two mountings is 4.4 g",)),
        Example({"inner": "35 g at 120", "outer": "20 g at 300", "inner_radius": "190 mm",
                 "distance": "160 mm", "spokes": "5", "first_spoke": "36"},
                "Weights hidden behind five spokes; static and couple parted.",
                ("inner: 30 g at 108 deg (3:30 o'clock) and 10 g at 180 deg (6 o'clock)",
                 "static 15.0 g at 120 deg (4 o'clock): shakes the wheel up and down")),
        Example({"inner": "35 g at 120", "outer": "20 g at 300", "again_inner": "33 g at 124",
                 "again_outer": "21 g at 296"},
                "Read again after turning the wheel on the machine's shaft.",
                ("the larger change between the two mountings is 3.1 g",),
                "--into visit.yaml --corner LF"),
    ),
)
