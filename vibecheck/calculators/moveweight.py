"""Move weight: the same effect at another radius, or in other planes."""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.two_planes import (
    MOST_GRAMS,
    RimPlanes,
    check_weight,
    moved_to_planes,
)
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector

SMALLEST_MM, LARGEST_MM = 10.0, 2_000.0  # of a radius or a distance of planes
_MASS, _LENGTH, _SIZE_AT = Quantity.MASS, Quantity.LENGTH, Shape.SIZE_AT


@dataclass(frozen=True)
class MoveResult:
    """Weights before and after, with the same effect [g, deg].

    Attributes
    ----------
    before, after : one weight, or that of the inner and of the outer plane.
    """

    before: tuple[Vector, ...]
    after: tuple[Vector, ...]


def run(texts: Texts, tell: Tell | None = None) -> MoveResult:
    """Move one weight to another radius, or two to other planes.

    Raises
    ------
    ReadingError : a weight, radius or distance that cannot be, or too little given.
    """
    typed = Typed(texts)
    inner = _weight(typed, "inner")
    radius, new_radius = _length(typed, "inner_radius"), _length(typed, "new_inner_radius")
    if radius is None:
        raise ReadingError("the radius of the weight is missing", "inner_radius",
                           "write for example 200 mm")
    if not any(typed.text(name) for name in ("outer", "distance", "new_distance", "offset")):
        if new_radius is None:
            raise ReadingError("the new radius is missing", "new_inner_radius",
                               "write for example 170 mm")
        after = _possible(Vector(inner.amplitude * radius / new_radius, inner.angle_deg), "inner")
        return MoveResult((inner,), (after,))
    return _planes(typed, inner, radius, new_radius)


def answers(result: MoveResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding."""
    return ()


def _planes(
    typed: Typed, inner: Vector, radius: float, new_radius: float | None
) -> MoveResult:
    outer = _weight(typed, "outer")
    outer_radius = _length(typed, "outer_radius") or radius
    distance, new_distance = _length(typed, "distance"), _length(typed, "new_distance")
    if distance is None:
        raise ReadingError("the distance of the two planes is missing", "distance",
                           "write for example 160 mm")
    offset = typed.size("offset", _LENGTH) or 0.0
    if abs(offset) > LARGEST_MM:
        raise ReadingError("a plane so far off cannot be", "offset", "check the number and unit")
    with at_field("inner_radius"):
        measured = RimPlanes(radius, outer_radius, distance)
        used = RimPlanes(new_radius or radius, _length(typed, "new_outer_radius") or outer_radius,
                         new_distance or distance)
    moved = moved_to_planes(inner, outer, measured, used, offset)
    after = tuple(_possible(each, name)
                  for each, name in zip(moved, ("inner", "outer"), strict=True))
    return MoveResult((inner, outer), after)


def _weight(typed: Typed, name: str) -> Vector:
    found = typed.size_at(name, _MASS)
    if found is None:
        raise ReadingError("there is no weight", name, "write for example 35 g at 120")
    return check_weight(Vector(found.size.value, found.angle_deg), name)


def _possible(weight: Vector, name: str) -> Vector:
    """Refuse a weight that no rim carries."""
    if not weight.amplitude <= MOST_GRAMS:
        raise ReadingError(f"there a weight of {weight.amplitude:.0f} g would be needed", name,
                           "check weights, radii and distances")
    return weight


def _length(typed: Typed, name: str) -> float | None:
    found = typed.up_to(name, _LENGTH, LARGEST_MM)
    if found is not None and found < SMALLEST_MM:
        raise ReadingError(f"a length of {found:.3g} mm cannot be", name,
                           "check the unit and write it as 200 mm")
    return found


CALCULATOR = Calculator(
    name="moveweight",
    about=(
        "A balance weight acts by its mass times its radius, and by the plane it sits in. If it "
        "cannot go where the machine asks for it, type where it can go: it says the weights that "
        "do the same there. One weight and a new radius, or both planes and where the other two "
        "planes lie. A moved weight is proven by another spin of the machine."
    ),
    empty="Type the weight, as 35 g at 120, its radius and the new radius.",
    entries=(
        Field("inner", "Weight", "35 {unit} at 120",
              "The weight to move, or that of the inner plane.", _MASS, _SIZE_AT),
        Field("inner_radius", "At radius", "200 {unit}", "From the axis to it.", _LENGTH),
        Field("new_inner_radius", "New radius", "170 {unit}",
              "Where it can go; with two planes as before if empty.", _LENGTH),
        Field("outer", "Outer weight", "20 {unit} at 300", "That of the outer plane.", _MASS,
              _SIZE_AT, heading="Two planes"),
        Field("outer_radius", "At radius", "190 {unit}", "As the inner one if empty.", _LENGTH),
        Field("new_outer_radius", "New radius", "180 {unit}", "As before if empty.", _LENGTH),
        Field("distance", "Planes apart", "160 {unit}", "As the machine was set.", _LENGTH),
        Field("new_distance", "New apart", "90 {unit}",
              "Of the planes that will be used; as before if empty.", _LENGTH),
        Field("offset", "Inner moved by", "0 {unit}",
              "How far the new inner plane lies outboard of the old one.", _LENGTH),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"inner": "35 g at 120", "inner_radius": "200 mm", "new_inner_radius": "175 mm"},
                "From the rim's edge to behind the spokes, where the radius is smaller.",
                ("40.0 g at 120 deg",)),
        Example({"inner": "1.0 oz at 40", "inner_radius": "8 in", "new_inner_radius": "7 in",
                 "outer": "0.5 oz at 40", "distance": "6 in", "new_distance": "4 in",
                 "offset": "0.5 in"},
                "Clip weights at both edges become tape inside the rim.",
                ("outer plane",)),
    ),
)
