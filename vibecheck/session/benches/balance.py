"""The balance bench: two planes parted into static and couple, weights that can be had, limits."""

from __future__ import annotations

import math
from typing import ClassVar

from msgspec import Struct

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
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields
from vibecheck.session.benches.fields import Spot
from vibecheck.session.benches.result import BenchView, Section, no_surface

ONCE_MOUNTED_G = 6.0  # expanded, of grams read at one mounting: as the rules' smear; from memory
MACHINE_G = 2.0  # expanded, of a machine that shows single grams; from memory
PLANES = ("inner", "outer")


class BalanceTyped(Struct, frozen=True, kw_only=True):
    """What a person types: weights that the machine asks for, as "35 g at 120".

    `again_inner`, `again_outer` : the same after turning the wheel on the machine's shaft, angles
    still from the valve stem. `inner_radius`, `outer_radius`, `distance` : of the weight planes.
    `step` : weights come in steps of. `places` : angles where weights can go, or `spokes` with
    the angle of the `first_spoke`. `mass`, `speed`, `tire`, `grade` : for force and permissible
    residual. `uncertainty` : of the grams, k = 2. `unit` : of bare weights.
    """

    inner: str = ""
    outer: str = ""
    again_inner: str = ""
    again_outer: str = ""
    inner_radius: str = ""
    outer_radius: str = ""
    distance: str = ""
    step: str = ""
    places: str = ""
    spokes: str = ""
    first_spoke: str = ""
    mass: str = ""
    speed: str = ""
    tire: str = ""
    grade: str = ""
    uncertainty: str = ""
    unit: str = "g"


class PlaneShown(Struct, frozen=True, kw_only=True):
    """One plane: the weight wanted, the weights to place, and what they leave [g, deg]."""

    plane: str
    wanted: Vector
    placed: tuple[Vector, ...]
    left: Vector


class BalanceView(BenchView, frozen=True, kw_only=True):
    """Weights, static and couple, limits; masses in [g], angles in [deg]."""

    calculator: ClassVar[str] = "balance"

    planes: tuple[PlaneShown, ...]
    largest_g: float
    uncertainty_g: float
    change_g: float | None
    static_couple: StaticCouple | None
    couple_left_g: float | None
    force_n: float | None
    permissible_g: float | None
    unit: str
    readings: tuple[str, ...]

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The larger of the two planes, and the change with mounting where it was read twice."""
        no_surface(surface)
        found = [("balance_residual", self.largest_g, self.uncertainty_g)]
        if self.change_g is not None:
            found.append(("balance_does_not_repeat", self.change_g, math.sqrt(2.0) * MACHINE_G))
        return tuple(
            Assignment(finding, fields.spoken(size, spread, Quantity.MASS, self.unit), corner,
                       self.readings)
            for finding, size, spread in found
        )


def run(typed: BalanceTyped) -> BalanceView:
    """Part, place and judge.

    Raises
    ------
    ReadingError : a weight, length, step or place that cannot be, or half of a pair.
    """
    first = _pair(typed, "inner", "outer")
    assert first is not None
    again = _pair(typed, "again_inner", "again_outer")
    wanted = [_mean(weight, None if again is None else again[index])
              for index, weight in enumerate(first)]
    change = _change(first, again)
    shown = tuple(_plane(typed, name, each) for name, each in zip(PLANES, wanted, strict=True))
    planes = _rim(typed)
    spread = _uncertainty(typed, change)
    parted = None
    if planes is not None:
        parted = balance.static_and_couple(wanted[0], wanted[1], planes, spread / 2.0)
    force = _force(typed, parted)
    limit = _permissible(typed, planes)
    couple_left = _static_only_left(wanted, planes)
    largest = max(each.wanted.amplitude for each in shown)
    return BalanceView(
        headline=f"the machine asks for {wanted[0].amplitude:.1f} g in the inner and "
                 f"{wanted[1].amplitude:.1f} g in the outer plane",
        sections=_sections(shown, parted, couple_left, force, limit),
        notes=_notes(change), next=_next(typed, change),
        planes=shown, largest_g=largest, uncertainty_g=spread, change_g=change,
        static_couple=parted, couple_left_g=couple_left, force_n=force, permissible_g=limit,
        unit=_unit(typed), readings=_readings(typed),
    )


def _pair(typed: BalanceTyped, inner: str, outer: str) -> tuple[Vector, Vector] | None:
    spots: dict[str, Spot | None] = {
        name: fields.spot(getattr(typed, name), Quantity.MASS, name, typed.unit)
        for name in (inner, outer)
    }
    missing = [name for name, each in spots.items() if each is None]
    if len(missing) == 2 and inner != "inner":
        return None
    if missing:
        raise ReadingError(
            "a plane without a reading", missing[0], "write for example 35 g at 120, or 0 g at 0"
        )
    found = []
    for name, each in spots.items():
        assert each is not None
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


def _uncertainty(typed: BalanceTyped, change: float | None) -> float:
    """Expanded uncertainty of the larger plane's grams.

    Two mountings: the mean of two that differ by d has a standard uncertainty of d / 2.
    """
    own = fields.uncertainty(typed.uncertainty, Quantity.MASS, "uncertainty", typed.unit)
    if own is not None:
        return own
    return ONCE_MOUNTED_G if change is None else math.hypot(change, MACHINE_G)


def _plane(typed: BalanceTyped, name: str, wanted: Vector) -> PlaneShown:
    placed = _placed(typed, wanted)
    return PlaneShown(plane=name, wanted=wanted, placed=placed.weights, left=placed.left)


def _placed(typed: BalanceTyped, wanted: Vector) -> Placed:
    step = fields.above_zero(typed.step, Quantity.MASS, "step", typed.unit) or DEFAULT_STEP_G
    places = fields.angles(typed.places, "places")
    spokes = fields.count(typed.spokes, "spokes")
    if places is not None and spokes is not None:
        raise ReadingError("places and spokes say the same twice", "spokes", "give one of them")
    if spokes is not None:
        first = fields.angle(typed.first_spoke, "first_spoke") or 0.0
        with fields.at_field("spokes"):
            places = list(behind_spokes(first, spokes))
    with fields.at_field("places" if places is not None else "step"):
        return in_steps(wanted, step) if places is None else at_places(wanted, places, step)


def _rim(typed: BalanceTyped) -> RimPlanes | None:
    inner = fields.above_zero(typed.inner_radius, Quantity.LENGTH, "inner_radius")
    outer = fields.above_zero(typed.outer_radius, Quantity.LENGTH, "outer_radius")
    distance = fields.above_zero(typed.distance, Quantity.LENGTH, "distance")
    if inner is None and outer is None and distance is None:
        return None
    if distance is None:
        raise ReadingError("the planes' distance is missing", "distance", "write for example 160")
    if inner is None and outer is None:
        raise ReadingError("the planes' radius is missing", "inner_radius", "write for example 200")
    one = inner if inner is not None else outer
    assert one is not None
    with fields.at_field("inner_radius"):
        return RimPlanes(one, outer if outer is not None else one, distance)


def _rpm(typed: BalanceTyped) -> float | None:
    speed = fields.above_zero(typed.speed, Quantity.SPEED, "speed")
    rolling = fields.rolling(typed.tire)
    if speed is None or rolling is None:
        return None
    return balance_limits.wheel_rpm(speed, rolling.circumference_m)


def _force(typed: BalanceTyped, parted: StaticCouple | None) -> float | None:
    rpm = _rpm(typed)
    if rpm is None or parted is None:
        return None
    return balance_limits.force_n(parted.static_gmm.amplitude, rpm)


def _permissible(typed: BalanceTyped, planes: RimPlanes | None) -> float | None:
    """Permissible residual imbalance of the whole wheel at the mean radius [g]."""
    mass = fields.above_zero(typed.mass, Quantity.MASS, "mass", "kg")
    grade = fields.number(typed.grade, "grade") or balance_limits.CAR_WHEEL_GRADE
    rpm = _rpm(typed)
    if mass is None or rpm is None or planes is None:
        return None
    with fields.at_field("grade"):
        found = balance_limits.permissible_residual(grade, mass / 1000.0, rpm)
    return found.grams_at(balance.mean_radius(planes))


def _static_only_left(wanted: list[Vector], planes: RimPlanes | None) -> float | None:
    if planes is None:
        return None
    return balance.static_only(wanted[0], wanted[1], planes).couple_g.amplitude


def _sections(
    shown: tuple[PlaneShown, ...], parted: StaticCouple | None, couple_left: float | None,
    force: float | None, limit: float | None,
) -> tuple[Section, ...]:
    sections = [Section(title="Weights to place", lines=tuple(map(_plane_line, shown)))]
    if parted is not None:
        lines = [
            f"static {parted.static_g.amplitude:.1f} g at {parted.static_g.angle_deg:.0f} deg: "
            "shakes the wheel up and down",
            f"couple {parted.couple_g.amplitude:.1f} g a plane, outer one at "
            f"{parted.couple_g.angle_deg:.0f} deg: wobbles it",
            f"one static weight midway would leave a couple of {couple_left:.1f} g a plane",
        ]
        sections.append(Section(title="Static and couple", lines=tuple(lines)))
    judged = []
    if force is not None:
        judged.append(f"as it is, the static part pulls with {force:.0f} N at this speed")
    if limit is not None:
        judged.append(f"the standard's grade would still permit {limit:.0f} g for the whole "
                      "wheel; shops balance far finer")
    if judged:
        sections.append(Section(title="What it means", lines=tuple(judged)))
    return tuple(sections)


def _plane_line(each: PlaneShown) -> str:
    placed = " and ".join(f"{w.amplitude:.0f} g at {w.angle_deg:.0f} deg" for w in each.placed)
    return (f"{each.plane}: {placed or 'nothing'} for {each.wanted.amplitude:.1f} g at "
            f"{each.wanted.angle_deg:.0f} deg; leaves {each.left.amplitude:.1f} g")


def _notes(change: float | None) -> tuple[str, ...]:
    if change is None:
        return ("read at one mounting: how well it is centered is not known",)
    return (f"the larger change between the two mountings is {change:.1f} g; the weights are the "
            "mean of both",)


def _next(typed: BalanceTyped, change: float | None) -> tuple[str, ...]:
    found = []
    if change is None:
        found.append("turn the wheel half a turn on the machine's shaft and read both planes again")
    if not typed.distance.strip():
        found.append("give radius and distance of the planes to part static from couple")
    return tuple(found)


def _unit(typed: BalanceTyped) -> str:
    found = fields.spot(typed.inner, Quantity.MASS, "inner", typed.unit)
    return found.size.unit if found is not None else "g"


def _readings(typed: BalanceTyped) -> tuple[str, ...]:
    names = ("inner", "outer", "again_inner", "again_outer")
    return tuple(f"{name.replace('_', ' ')} {getattr(typed, name).strip()}"
                 for name in names if getattr(typed, name).strip())
