"""The page of a runout."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.runout import RunoutResult
from vibecheck.metrology.decision import Decision, Zone
from vibecheck.metrology.runout.hub_carry import CarriedRunout
from vibecheck.metrology.runout.local_bend import LocalBend
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.notes import PAST_THE_BEND, note_text
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.figures import Figure, FigureKind, Mark
from vibecheck.report.wording import Wording

_LENGTH = Quantity.LENGTH


def page(result: RunoutResult, wording: Wording) -> tuple[Block, ...]:
    """Headline, shape, decision, what a hub does at the bead, the turn."""
    found = result.runout
    counted = "one reading" if found.count == 1 else f"{found.count} readings"
    size = wording.spread(found.tir_mm, found.uncertainty_mm, _LENGTH)
    return result_page(
        f"runout {size}, from {counted}",
        (*titled("", _shape(found, wording)), *_decision(result.decision, wording),
         *_carried(result.carried, wording)),
        turn_figure(result, wording) if result.turn else None,
        "Readings round the turn, from the valve stem.",
        (note_text(note, wording) for note in found.notes),
        _next(result.decision, found, wording),
    )


def turn_figure(result: RunoutResult, wording: Wording) -> Figure:
    """The readings round the turn, the highest and the lowest marked."""
    unit = wording.unit(_LENGTH)
    limit = result.decision.limit if result.decision else None
    marks = {"high": max(result.turn, key=lambda each: each[1]),
             "low": min(result.turn, key=lambda each: each[1])}
    same = marks["high"][1] == marks["low"][1]
    return Figure(
        FigureKind.ROUND, "Readings round the turn", "deg", unit,
        tuple(angle for angle, _ in result.turn),
        tuple(to_unit(size, _LENGTH, unit) for _, size in result.turn),
        marks=() if same else tuple(
            Mark(angle, f"{word} {wording.length(size, _division(result))} at {angle:.0f} deg",
                 to_unit(size, _LENGTH, unit)) for word, (angle, size) in marks.items()),
        limit=None if limit is None else to_unit(limit, _LENGTH, unit),
    )


def bend_text(bend: LocalBend, wording: Wording) -> str:
    """A sharp bend in words."""
    shape = "a dip with a bulge beside it" if bend.dip_and_bulge else "to one side"
    return (f"a sharp bend of {wording.length(bend.height_mm)} at {bend.center_deg:.0f} deg, "
            f"{bend.width_deg:.0f} deg wide, {shape}")


def _division(result: RunoutResult) -> float:
    """An uncertainty whose digits are those of the single readings [mm]."""
    return max(result.runout.uncertainty_mm, 0.1)


def _shape(found: Runout, wording: Wording) -> Iterable[str]:
    if found.high_deg is not None and found.low_deg is not None:
        high = wording.size(found.high_mm, _LENGTH, sign="+")
        low = wording.size(found.low_mm, _LENGTH, sign="+" if found.low_mm else "")
        yield f"high {high} at {found.high_deg:.0f} deg, low {low} at {found.low_deg:.0f} deg"
    for each in found.harmonics:
        size = wording.spread(each.amplitude_mm, each.uncertainty_mm, _LENGTH)
        yield f"{each.order} x per turn: {size}, high spot at {each.angle_deg:.0f} deg"
    if found.local_bend is not None:
        yield bend_text(found.local_bend, wording)
    if found.unseen_mm:
        yield ("with what may lie between the readings: "
               f"{wording.spread(*found.judged_mm, _LENGTH)}")


def _decision(decision: Decision | None, wording: Wording) -> tuple[Block, ...]:
    if decision is None:
        return ()
    spread = wording.length(decision.uncertainty, decision.uncertainty)
    text = f"proven with an uncertainty of {spread}"
    if decision.zone is Zone.UNDECIDED:
        distance = wording.length(decision.needed_uncertainty, decision.uncertainty)
        text = f"the distance to the limit is {distance}, the uncertainty {spread}"
    return titled(f"Against {wording.length(decision.limit)}: {decision.zone.value}", (text,))


def _carried(carried: CarriedRunout | None, wording: Wording) -> tuple[Block, ...]:
    if carried is None:
        return ()
    ways = [("radial", carried.radial_mm, carried.radial_uncertainty_mm),
            ("lateral", carried.lateral_mm, carried.lateral_uncertainty_mm)]
    return titled("What the hub alone does at the bead, high to low", (
        f"{way} {wording.spread(size, spread, _LENGTH)}" for way, size, spread in ways
        if size or spread))


def _next(decision: Decision | None, found: Runout, wording: Wording) -> tuple[str, ...]:
    if decision is None or decision.zone is not Zone.UNDECIDED:
        return ()
    if found.unseen_mm:
        return (PAST_THE_BEND,)
    needed = decision.needed_uncertainty
    if needed <= 0.0:
        return ("seat the gauge afresh and measure again: the reading lies on the limit itself",)
    text = f"measure with an uncertainty of {wording.length(needed, needed)} or less"
    if decision.repeats_needed is not None:
        text += f", or take the mean of {decision.repeats_needed} whole measurements"
    return (text,)
