"""Fit: the bore on its pilot, with or without a hub ring, and what another offset moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, decide
from vibecheck.metrology.stack.fit import PilotFit, Stance, pilot_fit, stance_change
from vibecheck.metrology.units.values import INCH_MM, Quantity

GAP_FINDING = "center_bore_gap"  # the rules' id
CALIPER_MM = 0.05  # expanded, of a diameter without its own; from memory
LARGEST_MM = 500.0
HEAVIEST_G = 200_000.0
_LENGTH = Quantity.LENGTH


@dataclass(frozen=True)
class FitResult:
    """How a wheel sits.

    Attributes
    ----------
    fit : bore on pilot, the ring counted in; None where no diameters were typed.
    gap : the clearance against the limit typed; None without one, or where it will not go on.
    with_ring : whether the bore is that of a hub ring.
    ring_gap_mm : wheel's bore less the ring's outside, with k = 2; None without the outside.
    stance : what another wheel or spacer moves; None where none was typed.
    """

    fit: PilotFit | None
    gap: Decision | None
    with_ring: bool
    ring_gap_mm: tuple[float, float] | None
    stance: Stance | None
    unit: str
    readings: tuple[str, ...]


def run(texts: Texts, tell: Tell | None = None) -> FitResult:
    """Work out the fit, the stance, or both.

    Raises
    ------
    ReadingError : a diameter, mass, width or offset that cannot be, or half of a pair.
    """
    typed = Typed(texts)
    stance = _stance(typed)
    wanted = any(typed.text(name) for name in ("bore", "pilot", "ring_inside", "ring_outside"))
    if not wanted:
        if stance is None:
            raise ReadingError("nothing is given", "bore", "write 66.6 mm, and the pilot's size")
        return FitResult(None, None, False, None, stance, "mm", ())
    ring = bool(typed.text("ring_inside"))
    found, ring_gap = _fit(typed, ring), _ring_gap(typed, ring)
    limit = typed.up_to("limit", _LENGTH, LARGEST_MM)
    gap = None
    if limit is not None and found.clearance_mm >= 0.0:
        gap = decide(found.clearance_mm, found.uncertainty_mm, limit)
    pilot = typed.value("pilot", _LENGTH)
    names = ("bore", "ring_inside", "ring_outside", "pilot")
    return FitResult(
        found, gap, ring, ring_gap, stance, "mm" if pilot is None else pilot.unit,
        tuple(f"{name.replace('_', ' ')} {typed.text(name)}" for name in names if typed.text(name)))


def answers(result: FitResult, surface: str) -> tuple[FindingAnswer, ...]:
    """How much larger the bore is, with its ring; nothing where it will not go on."""
    if result.fit is None or result.fit.clearance_mm < 0.0:
        return ()
    both = result.fit.clearance_mm, result.fit.uncertainty_mm
    if result.ring_gap_mm is not None and result.ring_gap_mm[0] > 0.0:
        own, spread = result.ring_gap_mm
        both = both[0] + own, math.hypot(both[1], spread)
    return (FindingAnswer(GAP_FINDING, "", *both, _LENGTH, result.unit, result.readings),)


def _fit(typed: Typed, ring: bool) -> PilotFit:
    inner = "ring_inside" if ring else "bore"
    sizes = {name: typed.up_to(name, _LENGTH, LARGEST_MM) for name in (inner, "pilot")}
    for name, size in sizes.items():
        if size is None:
            raise ReadingError("a diameter is missing", name, "write it as 66.6 mm")
    bore, pilot = sizes[inner] or 0.0, sizes["pilot"] or 0.0
    mass = typed.up_to("mass", Quantity.MASS, HEAVIEST_G, "kg")
    # Two spreads that differ count as two equal ones of the same sum of squares.
    spread = math.hypot(_spread(typed, inner), _spread(typed, "pilot")) / math.sqrt(2.0)
    where = inner if not 20.0 <= bore <= 400.0 else (
        "pilot" if not 20.0 <= pilot <= 400.0 else "mass")
    with at_field(where):
        return pilot_fit(bore, pilot, spread, None if mass is None else mass / 1000.0)


def _spread(typed: Typed, name: str) -> float:
    found = typed.value(name, _LENGTH)
    spread = None if found is None else found.uncertainty
    if spread is not None and spread > LARGEST_MM:
        raise ReadingError("an uncertainty larger than the part cannot be", name, "write 0.05 mm")
    return CALIPER_MM if spread is None else spread


def _ring_gap(typed: Typed, ring: bool) -> tuple[float, float] | None:
    """The ring's own clearance in the wheel."""
    outside, bore = (typed.up_to(name, _LENGTH, LARGEST_MM) for name in ("ring_outside", "bore"))
    if outside is None:
        return None
    if bore is None or not ring:
        raise ReadingError("a ring wants its inside, its outside and the wheel's bore",
                           "bore" if bore is None else "ring_inside", "write all three")
    return bore - outside, math.hypot(_spread(typed, "bore"), _spread(typed, "ring_outside"))


def _stance(typed: Typed) -> Stance | None:
    names = ("width", "offset", "new_width", "new_offset", "spacer")
    if not any(typed.text(name) for name in names):
        return None
    width = typed.up_to("width", _LENGTH, LARGEST_MM, "in")
    offset = typed.size("offset", _LENGTH)
    if width is None or offset is None:
        raise ReadingError("the wheel of before is missing",
                           "width" if width is None else "offset", "write 7.5 in and 45 mm")
    new_width = typed.up_to("new_width", _LENGTH, LARGEST_MM, "in") or width
    new_offset = typed.size("new_offset", _LENGTH)
    new_offset = offset if new_offset is None else new_offset
    spacer = typed.size("spacer", _LENGTH) or 0.0
    tests = (("width", 3.0 <= width / INCH_MM <= 16.0),
             ("new_width", 3.0 <= new_width / INCH_MM <= 16.0),
             ("offset", abs(offset) <= 150.0), ("new_offset", abs(new_offset) <= 150.0))
    where = next((name for name, good in tests if not good), "spacer")
    with at_field(where):
        return stance_change(width / INCH_MM, offset, new_width / INCH_MM, new_offset, spacer)


CALCULATOR = Calculator(
    name="fit",
    about=(
        "A wheel whose bore is larger than the hub's pilot hangs off center as far as its "
        "fasteners let it. Type both diameters, with a hub ring also its inside and outside: it "
        "says the clearance, the most runout and imbalance it allows. Type width and offset of "
        "the old and the new wheel: it says how far the new one reaches out and in. Clearance to "
        "struts, brakes and fenders is looked at on the car, through full travel and lock; "
        "spacers need studs that are long enough, and some laws forbid them."
    ),
    empty="Type the wheel's bore and the hub's pilot, or width and offset of two wheels.",
    entries=(
        Field("bore", "Wheel's bore", "72.6 {unit}", "Its diameter.", _LENGTH),
        Field("pilot", "Hub's pilot", "66.6 {unit}", "Its diameter.", _LENGTH),
        Field("ring_inside", "Ring inside", "66.6 {unit}", "Of a hub ring, if there is one.",
              _LENGTH),
        Field("ring_outside", "Ring outside", "72.5 {unit}", "Of that ring.", _LENGTH),
        Field("limit", "Limit", "0.2 {unit}", "Clearance that the wheel's maker accepts.",
              _LENGTH),
        Field("mass", "Wheel and tire", "20 kg",
              "Their mass together, a bare number in kg: for the imbalance.", Quantity.MASS,
              own_unit="kg"),
        Field("width", "Width before", "7.5 in", "Of the rim; a bare number in inches.", _LENGTH,
              own_unit="in", heading="Another wheel"),
        Field("offset", "Offset before", "45 mm",
              "Mounting face outboard of the rim's middle is positive; a bare number in mm.",
              _LENGTH, own_unit="mm"),
        Field("new_width", "New width", "8.5 in", "As before if empty.", _LENGTH, own_unit="in"),
        Field("new_offset", "New offset", "35 mm", "As before if empty.", _LENGTH, own_unit="mm"),
        Field("spacer", "Spacer", "5 mm", "Under the new wheel; a bare number in mm.", _LENGTH,
              own_unit="mm"),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"bore": "72.6 mm", "pilot": "66.6 mm", "mass": "20 kg"},
                "A wheel of wide bore whose hub ring is missing.",
                ("may run out by up to 6.00",)),
        Example({"width": "7.5 in", "offset": "45 mm", "new_width": "8.5 in",
                 "new_offset": "35 mm"},
                "A wider wheel of less offset.",
                ("reaches 22.7",)),
        Example({"bore": "66.7 mm", "pilot": "66.6 mm", "limit": "0.2 mm"},
                "Into the case of a visit.",
                ("clearance 0.100 +/- 0.071 mm",), "--into visit.yaml --corner LF"),
    ),
)
