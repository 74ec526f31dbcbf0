"""The runout bench: high minus low over one turn, its shape, and what it proves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.runout import readings as runout
from vibecheck.metrology.runout.harmonics import Harmonic
from vibecheck.metrology.runout.hub_carry import CarriedRunout, face_at_bead, pilot_at_bead
from vibecheck.metrology.runout.local_bend import FEWEST, LocalBend, Spike
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.runout.turn_list import check_division
from vibecheck.metrology.runout.wheel_verdict import DEEP_MM, SMALL_ARC_DEG
from vibecheck.metrology.units.values import Measured, Quantity
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields
from vibecheck.session.benches.result import BenchView, Plot, Section
from vibecheck.session.benches.told import Lengths

BEAD = "bead_"  # surfaces at which the shape of the readings tells of the wheel
BEAD_RADIAL = "bead_radial"


class RunoutTyped(Struct, frozen=True, kw_only=True):
    """What a person types: `readings` round one turn, or `high` and `low`, or `tir`.

    `angles` : where each reading was taken (else evenly). `ignore` : angles of weld or paint.
    `division` : one division of the gauge. `uncertainty` : of high minus low, k = 2.
    `tolerance` : the limit to judge against. `unit` : of bare numbers. `told_in` : of the lengths
    in the result's texts. For a hub face read at `face_radius`: what it does at a bead of
    `bead_radius`, `bead_offset` from the mounting face. For a hub pilot: the `clearance` of the
    wheel's bore on it.
    """

    readings: str = ""
    angles: str = ""
    high: str = ""
    low: str = ""
    tir: str = ""
    ignore: str = ""
    division: str = ""
    uncertainty: str = ""
    tolerance: str = ""
    face_radius: str = ""
    bead_radius: str = ""
    bead_offset: str = ""
    clearance: str = ""
    unit: str = "mm"
    told_in: str = "mm"


class RunoutView(BenchView, frozen=True, kw_only=True):
    """A runout as `vibecheck.metrology.runout.readings.Runout` has it, with what it proves."""

    calculator: ClassVar[str] = "runout"

    tir_mm: float
    uncertainty_mm: float
    count: int
    high_mm: float
    low_mm: float
    high_deg: float | None
    low_deg: float | None
    eccentricity_mm: float | None
    harmonics: tuple[Harmonic, ...]
    scatter_mm: float | None
    curve_tir_mm: float | None
    curve_uncertainty_mm: float | None
    local_bend: LocalBend | None
    spikes: tuple[Spike, ...]
    tir_without_spikes_mm: float | None
    unseen_mm: float
    judged_mm: tuple[float, float]
    decision: Decision | None
    carried: CarriedRunout | None
    unit: str
    readings: tuple[str, ...]
    angles: tuple[str, ...]

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The surface's runout; at a bead seat also its oval share and the shape of a bend."""
        if not surface:
            raise ReadingError(
                "a runout alone does not say where it was read", "surface",
                "write the finding, for example bead_radial_inboard or assembly_radial",
            )
        found = [(surface, self._spoken(*self.judged_mm))]
        if surface.startswith(BEAD_RADIAL) and len(self.harmonics) > 1:
            oval = self.harmonics[1]
            found.append((
                "bead_oval", self._spoken(2.0 * oval.amplitude_mm, 2.0 * oval.uncertainty_mm)
            ))
        if surface.startswith(BEAD) and (shape := self.bend_shape):
            found.append(("local_bend_shape", shape))
        return tuple(
            Assignment(finding, typed, corner, self.readings, self.angles)
            for finding, typed in found
        )

    @property
    def bend_shape(self) -> str:
        """State of the finding `local_bend_shape`; "" where the readings do not tell."""
        bend = self.local_bend
        if bend is None:
            return "none" if len(self.readings) >= FEWEST and not self.spikes else ""
        if bend.width_deg <= SMALL_ARC_DEG and bend.dip_and_bulge:
            return "dip_and_bulge"
        wide = bend.width_deg > SMALL_ARC_DEG and bend.height_mm >= DEEP_MM
        return "wide_and_deep" if wide else ""

    def _spoken(self, size_mm: float, spread_mm: float) -> str:
        return fields.spoken(size_mm, spread_mm, Quantity.LENGTH, self.unit)


def run(typed: RunoutTyped) -> RunoutView:
    """Work out and judge a runout.

    Raises
    ------
    ReadingError : not exactly one kind of input, or readings that cannot be.
    """
    found = measure(typed)
    readings = fields.values(typed.readings, Quantity.LENGTH, "readings", typed.unit)
    angles = _angles(typed, len(readings))
    single, unit = _as_typed(typed, readings)
    decision = _decision(typed, found)
    carried = _carried(typed, found)
    told = Lengths(typed.told_in)
    return RunoutView(
        headline=_headline(found, told),
        sections=_sections(found, decision, carried, told),
        notes=tuple(_note(note, found, told) for note in found.notes),
        next=_next(decision, found, told),
        plot=_plot(readings, angles) if readings else None,
        tir_mm=found.tir_mm, uncertainty_mm=found.uncertainty_mm, count=found.count,
        high_mm=found.high_mm, low_mm=found.low_mm, high_deg=found.high_deg,
        low_deg=found.low_deg, eccentricity_mm=found.eccentricity_mm,
        harmonics=found.harmonics, scatter_mm=found.scatter_mm,
        curve_tir_mm=found.curve_tir_mm, curve_uncertainty_mm=found.curve_uncertainty_mm,
        local_bend=found.local_bend, spikes=found.spikes,
        tir_without_spikes_mm=found.tir_without_spikes_mm, unseen_mm=found.unseen_mm,
        judged_mm=found.judged_mm, decision=decision, carried=carried, unit=unit, readings=single,
        angles=tuple(f"{angle:g}" for angle in angles),
    )


def measure(typed: RunoutTyped) -> Runout:
    """The runout alone, as the measuring room has it. See `run` for what is raised."""
    _one_kind(typed)
    readings = fields.values(typed.readings, Quantity.LENGTH, "readings", typed.unit)
    found = _found(typed, readings, _division(typed))
    spread = fields.uncertainty(typed.uncertainty, Quantity.LENGTH, "uncertainty", typed.unit)
    return found if spread is None else replace(found, uncertainty_mm=spread)


def _headline(found: Runout, told: Lengths) -> str:
    other = Lengths("in" if told.unit == "mm" else "mm")
    inches = other.unit == "in"
    return (f"runout {told.spread(found.tir_mm, found.uncertainty_mm, 3)} "
            f"({other.size(found.tir_mm, 2 if inches else 3)}), from {_counted(found.count)}")


def _note(note: runout.Note, found: Runout, told: Lengths) -> str:
    """A caution of the measuring room, its length in the unit chosen."""
    if note.kind is runout.Caveat.SCATTER and found.scatter_mm is not None:
        return note.text.replace(f"{found.scatter_mm:.2f} mm", told.size(found.scatter_mm, 2))
    if note.kind is runout.Caveat.BETWEEN_READINGS:
        return note.text.replace(f"{found.unseen_mm:.2f} mm", told.size(found.unseen_mm, 2))
    return note.text


def _counted(count: int) -> str:
    return "one reading" if count == 1 else f"{count} readings"


def _one_kind(typed: RunoutTyped) -> None:
    high, low = bool(typed.high.strip()), bool(typed.low.strip())
    if high != low:
        given, missing = ("high", "low") if high else ("low", "high")
        raise ReadingError(f"a {given} needs a {missing}", missing, "give both")
    if sum([bool(typed.readings.strip()), high, bool(typed.tir.strip())]) != 1:
        raise ReadingError(
            "give one kind of input", "readings",
            "write readings round one turn, or a high and a low, or high minus low",
        )


def _division(typed: RunoutTyped) -> float:
    found = fields.value(typed.division, Quantity.LENGTH, "division", typed.unit)
    if found is None:
        return runout.USUAL_DIVISION_MM
    with fields.at_field("division"):
        check_division(found.value)
    return found.value


def _angles(typed: RunoutTyped, count: int) -> list[float]:
    angles = fields.angles(typed.angles, "angles")
    return [360.0 * place / count for place in range(count)] if angles is None else angles


def _found(typed: RunoutTyped, readings: Sequence[Measured], division: float) -> Runout:
    if readings:
        ignored = fields.angles(typed.ignore, "ignore") or []
        given = fields.angles(typed.angles, "angles")
        values = [reading.value for reading in readings]
        return runout.from_readings(values, given, division, ignore_deg=ignored, where="readings")
    tir = fields.value(typed.tir, Quantity.LENGTH, "tir", typed.unit)
    if tir is not None:
        return runout.from_tir(tir, division, "tir")
    high = fields.value(typed.high, Quantity.LENGTH, "high", typed.unit)
    low = fields.value(typed.low, Quantity.LENGTH, "low", typed.unit)
    assert high is not None and low is not None
    return runout.from_high_low(high.value, low.value, division, where="high")


def _as_typed(typed: RunoutTyped, readings: Sequence[Measured]) -> tuple[tuple[str, ...], str]:
    """The single readings with their units, and the unit to speak in."""
    single = list(readings)
    for name in ("high", "low", "tir"):
        found = fields.value(getattr(typed, name), Quantity.LENGTH, name, typed.unit)
        single += [found] if found is not None else []
    return fields.single(single), single[0].unit


def _decision(typed: RunoutTyped, found: Runout) -> Decision | None:
    limit = fields.value(typed.tolerance, Quantity.LENGTH, "tolerance", typed.unit)
    if limit is None:
        return None
    with fields.at_field("tolerance"):
        return decide(*found.judged_mm, limit.value)


def _carried(typed: RunoutTyped, found: Runout) -> CarriedRunout | None:
    """What a hub face or pilot that runs out so does at the bead."""
    lengths = {name: fields.value(getattr(typed, name), Quantity.LENGTH, name)
               for name in ("face_radius", "bead_radius", "bead_offset", "clearance")}
    face, bead, offset, clearance = (None if each is None else each.value
                                     for each in lengths.values())
    if clearance is not None:
        if face is not None or bead is not None:
            raise ReadingError("a pilot has no face radius", "clearance", "give one of them")
        with fields.at_field("clearance"):
            return pilot_at_bead(*found.judged_mm, clearance)
    if face is None and bead is None:
        return None
    if face is None or bead is None:
        missing = "face_radius" if face is None else "bead_radius"
        raise ReadingError("a radius is missing", missing, "give both, for example 60 and 203 mm")
    with fields.at_field("face_radius"):
        return face_at_bead(*found.judged_mm, face, bead, offset or 0.0)


def _carried_section(carried: CarriedRunout, told: Lengths) -> Section:
    lines = [f"radial {told.spread(carried.radial_mm, carried.radial_uncertainty_mm, 2)}"]
    if carried.lateral_mm or carried.lateral_uncertainty_mm:
        lines.append(
            f"lateral {told.spread(carried.lateral_mm, carried.lateral_uncertainty_mm, 2)}")
    return Section(title="What the hub alone does at the bead, high to low", lines=tuple(lines))


def _sections(
    found: Runout, decision: Decision | None, carried: CarriedRunout | None, told: Lengths
) -> tuple[Section, ...]:
    lines = []
    if found.high_deg is not None and found.low_deg is not None:
        lines.append(f"high {told.size(found.high_mm, 3, '+')} at {found.high_deg:.0f} deg, "
                     f"low {told.size(found.low_mm, 3, '+')} at {found.low_deg:.0f} deg")
    lines += [
        f"{each.order} x per turn: {told.spread(each.amplitude_mm, each.uncertainty_mm, 3)}, "
        f"high spot at {each.angle_deg:.0f} deg" for each in found.harmonics
    ]
    if found.local_bend is not None:
        lines.append(bend_text(found.local_bend, told))
    if found.unseen_mm:
        lines.append(f"with what may lie between the readings: {told.spread(*found.judged_mm, 2)}")
    sections = [Section(title="", lines=tuple(lines))] if lines else []
    if decision is not None:
        title = f"Against {told.size(decision.limit, 3)}: {decision.zone.value}"
        sections.append(Section(title=title, lines=(_proof(decision, told),)))
    if carried is not None:
        sections.append(_carried_section(carried, told))
    return tuple(sections)


def bend_text(bend: LocalBend, told: Lengths) -> str:
    """A sharp bend in words."""
    shape = "a dip with a bulge beside it" if bend.dip_and_bulge else "to one side"
    return (f"a sharp bend of {told.size(bend.height_mm, 2)} at {bend.center_deg:.0f} deg, "
            f"{bend.width_deg:.0f} deg wide, {shape}")


def _proof(decision: Decision, told: Lengths) -> str:
    spread = told.size(decision.uncertainty, 3)
    if decision.zone is not Zone.UNDECIDED:
        return f"proven with an uncertainty of {spread}"
    return (f"the distance to the limit is {told.size(decision.needed_uncertainty, 3)}, the "
            f"uncertainty {spread}")


def _next(decision: Decision | None, found: Runout, told: Lengths) -> tuple[str, ...]:
    if decision is None or decision.zone is not Zone.UNDECIDED:
        return ()
    if found.unseen_mm:
        return (runout.PAST_THE_BEND,)
    if decision.needed_uncertainty <= 0.0:
        return ("seat the gauge afresh and measure again: the reading lies on the limit itself",)
    text = f"measure with an uncertainty of {told.size(decision.needed_uncertainty, 3)} or less"
    if decision.repeats_needed is not None:
        text += f", or take the mean of {decision.repeats_needed} whole measurements"
    return (text,)


def _plot(readings: Sequence[Measured], angles: Sequence[float]) -> Plot:
    turn = sorted(zip(angles, (reading.value for reading in readings), strict=True))
    return Plot(
        kind="round", title="Readings round the turn", x_label="deg", y_label="mm",
        x=tuple(angle for angle, _ in turn), y=tuple(reading for _, reading in turn),
    )
