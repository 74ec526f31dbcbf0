"""The page of a runout."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.runout import RunoutResult
from vibecheck.metrology.places import WheelTurn
from vibecheck.metrology.runout.hub_carry import CarriedRunout
from vibecheck.metrology.runout.judgement import Judgement, Open
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.judgements import decides_text, point_text
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.figures import Figure, FigureKind, FigureMark
from vibecheck.report.wording import Wording

_LENGTH = Quantity.LENGTH
CONVENTION = "Angles: seen from outside the car, clockwise from the valve stem at 12 o'clock."
_TURNED = {
    WheelTurn.GAUGE_MOVED: "the list counts clockwise",
    WheelTurn.CLOCKWISE: "the wheel was turned clockwise, so the list counts counterclockwise",
    WheelTurn.COUNTERCLOCKWISE: "the wheel was turned counterclockwise, so the list counts "
                                "clockwise",
}


def page(result: RunoutResult, wording: Wording) -> tuple[Block, ...]:
    """Headline, shape, decision, what a hub does at the bead, the turn."""
    found = result.runout
    counted = "one reading" if found.count == 1 else f"{found.count} readings"
    size = wording.spread(found.tir_mm, found.uncertainty_mm, _LENGTH)
    return result_page(
        f"runout {size}, from {counted}",
        (*titled("", _shape(found, wording)), *titled("", _taken(result, wording)),
         *_judged(result.judgement, wording), *_carried(result.carried, wording)),
        turn_figure(result, wording) if result.turn else None,
        f"Readings round the turn, from the valve stem. {CONVENTION}",
        (note_text(note, wording) for note in found.notes),
        _next(result.judgement, wording),
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
            FigureMark(angle, f"{word} {wording.length(size, _division(result))} at "
                       f"{wording.angle(angle)}",
                       to_unit(size, _LENGTH, unit)) for word, (angle, size) in marks.items()),
        limit=None if limit is None else to_unit(limit, _LENGTH, unit),
    )


def bend_text(found: Runout, wording: Wording) -> str:
    """A sharp bend in words, with its place; "" where the readings show none."""
    bend, place = found.local_bend, found.bend_place
    if bend is None or place is None:
        return ""
    shape = "a dip with a bulge beside it" if bend.dip_and_bulge else "to one side"
    return (f"a sharp bend of {wording.length(bend.height_mm)} at "
            f"{wording.angle(place.angle_deg)}, {bend.width_deg:.0f} deg wide, {shape}")


def _division(result: RunoutResult) -> float:
    """An uncertainty whose digits are those of the single readings [mm]."""
    return max(result.runout.uncertainty_mm, 0.1)


def _shape(found: Runout, wording: Wording) -> Iterable[str]:
    if found.high_deg is not None and found.low_deg is not None:
        high = wording.size(found.high_mm, _LENGTH, sign="+")
        low = wording.size(found.low_mm, _LENGTH, sign="+" if found.low_mm else "")
        yield (f"high {high} at {wording.angle(found.high_deg)}, low {low} at "
               f"{wording.angle(found.low_deg)}")
    for each in found.harmonics:
        size = wording.spread(each.amplitude_mm, each.uncertainty_mm, _LENGTH)
        yield f"{each.order} x per turn: {size}, high spot at {wording.angle(each.angle_deg)}"
    if found.local_bend is not None:
        yield bend_text(found, wording)
    if found.unseen_mm:
        yield ("with what may lie between the readings: "
               f"{wording.spread(*found.judged_mm, _LENGTH)}")


def _taken(result: RunoutResult, wording: Wording) -> Iterable[str]:
    """How the turn was read: its sense, its closing reading, the slow turn beside it."""
    if not result.turn:
        return
    side = f", {result.side.value} side of the car" if result.side else ""
    yield f"{CONVENTION} Here {_TURNED[result.turned]}{side}."
    drift = result.runout.drift
    if drift is not None:
        back = wording.size(drift.closing_mm, _LENGTH, sign="+")
        said = "the gauge slipped or crept" if drift.slipped else "as good as back where it began"
        yield f"closing reading {back} from the first: {said}; it is taken off along the turn"
    if result.slow_turn_excess_mm:
        yield ("the readings reach farther than the slow turn by "
               f"{wording.length(result.slow_turn_excess_mm)}: one of them is wrong; read again")


def _judged(judged: Judgement | None, wording: Wording) -> tuple[Block, ...]:
    if judged is None:
        return ()
    numbers = judged.numbers
    spread = wording.length(numbers.uncertainty, numbers.uncertainty)
    texts = [f"proven with an uncertainty of {spread}"]
    if judged.open:
        texts = [_open(judged, place, wording) for place in range(len(judged.open))]
    return titled(f"Against {wording.length(numbers.limit)}: {judged.zone.value}", texts)


def _open(judged: Judgement, place: int, wording: Wording) -> str:
    point, numbers = judged.open[place], judged.numbers
    if point.why is not Open.UNCERTAINTY:
        return point_text(point, wording)
    distance = wording.length(numbers.needed_uncertainty, numbers.uncertainty)
    spread = wording.length(numbers.uncertainty, numbers.uncertainty)
    return f"the distance to the limit is {distance}, the uncertainty {spread}"


def _carried(carried: CarriedRunout | None, wording: Wording) -> tuple[Block, ...]:
    if carried is None:
        return ()
    ways = [("radial", carried.radial_mm, carried.radial_uncertainty_mm),
            ("lateral", carried.lateral_mm, carried.lateral_uncertainty_mm)]
    return titled("What the hub alone does at the bead, high to low", (
        f"{way} {wording.spread(size, spread, _LENGTH)}" for way, size, spread in ways
        if size or spread))


def _next(judged: Judgement | None, wording: Wording) -> Iterable[str]:
    if judged is None:
        return
    needed = judged.numbers.needed_uncertainty
    for point in judged.open:
        if point.why is not Open.UNCERTAINTY:
            yield decides_text(point, wording)
        elif needed <= 0.0:
            yield "seat the gauge afresh and measure again: the reading lies on the limit itself"
        else:
            text = f"measure with an uncertainty of {wording.length(needed, needed)} or less"
            if point.repeats is not None:
                text += f", or take the mean of {point.repeats} whole measurements"
            yield text
