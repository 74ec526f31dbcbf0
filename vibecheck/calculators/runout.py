"""Runout: high minus low over one turn, its shape, and what it proves against a limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from vibecheck.calculators.calculator import Answer, Calculator, Example, Tell
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field, single
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, decide
from vibecheck.metrology.runout import readings as runout
from vibecheck.metrology.runout.hub_carry import CarriedRunout, face_at_bead, pilot_at_bead
from vibecheck.metrology.runout.local_bend import FEWEST
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.runout.turn_list import check_division
from vibecheck.metrology.runout.wheel_verdict import DEEP_MM, SMALL_ARC_DEG
from vibecheck.metrology.units.values import Measured, Quantity

BEAD = "bead_"  # surfaces at which the shape of the readings tells of the wheel
BEAD_RADIAL = "bead_radial"
_LENGTH = Quantity.LENGTH


@dataclass(frozen=True)
class RunoutResult:
    """A runout, what it proves, and what a hub that runs out so does at the bead.

    Attributes
    ----------
    runout : as worked out.
    decision : against the limit, if one was given.
    carried : to the bead, if radii or a clearance were given.
    unit : the one that was typed.
    readings, angles : single readings as typed, and where each was taken [deg].
    turn : (angle, reading) by angle [deg, mm]; empty without readings round the turn.
    """

    runout: Runout
    decision: Decision | None
    carried: CarriedRunout | None
    unit: str
    readings: tuple[str, ...]
    angles: tuple[str, ...] = ()
    turn: tuple[tuple[float, float], ...] = ()

    @property
    def bend_shape(self) -> str:
        """State of the finding `local_bend_shape`; "" where the readings do not tell."""
        bend = self.runout.local_bend
        if bend is None:
            return "none" if len(self.readings) >= FEWEST and not self.runout.spikes else ""
        if bend.width_deg <= SMALL_ARC_DEG and bend.dip_and_bulge:
            return "dip_and_bulge"
        wide = bend.width_deg > SMALL_ARC_DEG and bend.height_mm >= DEEP_MM
        return "wide_and_deep" if wide else ""


def run(texts: Texts, tell: Tell | None = None) -> RunoutResult:
    """Work out and judge a runout.

    Raises
    ------
    ReadingError : not exactly one kind of input, or readings that cannot be.
    """
    typed = Typed(texts)
    found = measure(texts)
    readings = typed.values("readings", _LENGTH)
    angles = _angles(typed, len(readings))
    single_ones = [*readings, *(each for name in ("high", "low", "tir")
                                if (each := typed.value(name, _LENGTH)) is not None)]
    return RunoutResult(
        found, _decision(typed, found), _carried(typed, found), single_ones[0].unit,
        single(single_ones), tuple(f"{angle:g}" for angle in angles),
        tuple(sorted(zip(angles, (each.value for each in readings), strict=True))),
    )


def measure(texts: Texts) -> Runout:
    """The runout alone. See `run` for what is raised."""
    typed = Typed(texts)
    _one_kind(typed)
    found = _found(typed, typed.values("readings", _LENGTH), _division(typed))
    spread = typed.uncertainty("uncertainty", _LENGTH)
    return found if spread is None else replace(found, uncertainty_mm=spread)


def answers(result: RunoutResult, surface: str) -> tuple[Answer, ...]:
    """The surface's runout; at a bead seat also its oval share and the shape of a bend."""

    def sized(finding: str, value: float, uncertainty: float) -> Answer:
        return Answer(finding, "", value, uncertainty, _LENGTH, result.unit, result.readings,
                      result.angles)

    found = [sized(surface, *result.runout.judged_mm)]
    if surface.startswith(BEAD_RADIAL) and len(result.runout.harmonics) > 1:
        oval = result.runout.harmonics[1]
        found.append(sized("bead_oval", 2.0 * oval.amplitude_mm, 2.0 * oval.uncertainty_mm))
    if surface.startswith(BEAD) and (shape := result.bend_shape):
        found.append(Answer("local_bend_shape", shape, readings=result.readings,
                            angles=result.angles))
    return tuple(found)


def _one_kind(typed: Typed) -> None:
    high, low = bool(typed.text("high")), bool(typed.text("low"))
    if high != low:
        given, missing = ("high", "low") if high else ("low", "high")
        raise ReadingError(f"a {given} needs a {missing}", missing, "give both")
    if sum([bool(typed.text("readings")), high, bool(typed.text("tir"))]) != 1:
        raise ReadingError(
            "give one kind of input", "readings",
            "write readings round one turn, or a high and a low, or high minus low",
        )


def _division(typed: Typed) -> float:
    found = typed.size("division", _LENGTH)
    if found is None:
        return runout.USUAL_DIVISION_MM
    with at_field("division"):
        check_division(found)
    return found


def _angles(typed: Typed, count: int) -> list[float]:
    angles = typed.angles("angles")
    return [360.0 * place / count for place in range(count)] if angles is None else angles


def _found(typed: Typed, readings: Sequence[Measured], division: float) -> Runout:
    if readings:
        values = [reading.value for reading in readings]
        return runout.from_readings(
            values, typed.angles("angles"), division, ignore_deg=typed.angles("ignore") or [],
            where="readings")
    tir = typed.value("tir", _LENGTH)
    if tir is not None:
        return runout.from_tir(tir, division, "tir")
    high, low = typed.size("high", _LENGTH), typed.size("low", _LENGTH)
    assert high is not None and low is not None
    return runout.from_high_low(high, low, division, where="high")


def _decision(typed: Typed, found: Runout) -> Decision | None:
    limit = typed.size("tolerance", _LENGTH)
    if limit is None:
        return None
    with at_field("tolerance"):
        return decide(*found.judged_mm, limit)


def _carried(typed: Typed, found: Runout) -> CarriedRunout | None:
    """What a hub face or pilot that runs out so does at the bead."""
    face, bead, offset, clearance = (
        typed.size(name, _LENGTH)
        for name in ("face_radius", "bead_radius", "bead_offset", "clearance"))
    if clearance is not None:
        if face is not None or bead is not None:
            raise ReadingError("a pilot has no face radius", "clearance", "give one of them")
        with at_field("clearance"):
            return pilot_at_bead(*found.judged_mm, clearance)
    if face is None and bead is None:
        return None
    if face is None or bead is None:
        missing = "face_radius" if face is None else "bead_radius"
        raise ReadingError("a radius is missing", missing, "give both, for example 60 and 203 mm")
    with at_field("face_radius"):
        return face_at_bead(*found.judged_mm, face, bead, offset or 0.0)


CALCULATOR = Calculator(
    name="runout",
    about=(
        "Runout is high minus low over one full turn. Type the high and the low of the pointer, "
        "or high minus low alone, or a list of readings round the turn; a column can be pasted. "
        "A bare number counts in the unit shown; 18 thou or 0.46 mm work as well. With a limit "
        "it says whether the runout is proven within it, proven beyond it, or undecided. For a "
        "hub, the radii say what it does at the bead."
    ),
    empty=(
        "Type the high and the low of the pointer over one turn, or high minus low, or a list of "
        "readings."
    ),
    entries=(
        Field("high", "High", "0.18 {unit}", "The highest pointer position.", _LENGTH),
        Field("low", "Low", "-0.06 {unit}", "The lowest pointer position.", _LENGTH),
        Field("tir", "Or high minus low", "0.24 {unit}", "If only the difference was noted.",
              _LENGTH),
        Field("readings", "Or a list", "0 .05 .13 .21 ... {unit}",
              "Readings round one turn, in order, the first at the valve stem.", _LENGTH,
              Shape.LIST),
        Field("tolerance", "Limit", "0.5 {unit}",
              "What the runout is judged by: the vehicle maker's figure.", _LENGTH),
        Field("angles", "Angles", "0 20 40 ... deg",
              "Where each reading of the list was taken; else evenly spaced.", Quantity.ANGLE,
              Shape.LIST, folded=True),
        Field("ignore", "Leave out at", "140 deg",
              "Angles of readings at weld, paint or a scratch.", Quantity.ANGLE, Shape.LIST,
              folded=True),
        Field("division", "Gauge division", "0.01 {unit}", "One division of the gauge.", _LENGTH,
              folded=True),
        Field("uncertainty", "Uncertainty", "0.02 {unit}",
              "Of high minus low, at about 95 %, if it is known.", _LENGTH, folded=True),
        Field("face_radius", "Hub face read at", "60 {unit}",
              "For a hub face: the radius at which it was read; says what it does at the bead.",
              _LENGTH, heading="For a hub", folded=True),
        Field("bead_radius", "Bead radius", "203 {unit}",
              "Of the wheel's bead seat, with the radius of the hub face.", _LENGTH, folded=True),
        Field("bead_offset", "Bead offset", "40 {unit}",
              "Of the bead from the mounting face, along the axle.", _LENGTH, folded=True),
        Field("clearance", "Pilot clearance", "0.05 {unit}",
              "For a hub pilot: of the wheel's bore on it.", _LENGTH, folded=True),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"readings": "0 .05 .13 .21 .24 .22 .15 .06 mm", "tolerance": "0.5 mm"},
                "Eight readings, evenly round the wheel, start at the valve stem.",
                ("high +0.24 mm at 180 deg, low 0.00 mm at 0 deg",)),
        Example({"high": "7 thou", "low": "-2.5 thou", "tolerance": "0.5 mm"},
                "From -2.5 to +7 thou is 9.5 thou, well within 0.5 mm.",
                ("runout 0.2413 +/- 0.0082 mm, from 2 readings", "Against 0.50 mm: within")),
        Example({"tir": "0.12 mm +/- 0.01", "face_radius": "60 mm", "bead_radius": "203 mm"},
                "A hub face read 60 mm from its axis tilts the whole wheel.",
                ("lateral 0.406 +/- 0.034 mm",)),
        Example({"tir": "0.49 mm +/- 0.02"}, "The reading goes into a case.",
                ("runout 0.490 +/- 0.020 mm, from one reading",),
                "--into visit.yaml --corner LF --surface bead_radial_inboard"),
    ),
    takes_surface=True,
)
