"""What leaves a runout undecided, and what decides it, in words."""

from __future__ import annotations

from vibecheck.metrology.runout.judgement import Decides, Open, OpenPoint
from vibecheck.metrology.runout.repeats import NextReading, Repeat, Repeats
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.wording import Wording

WHY = {
    Open.STILL_POINTER: "the pointer never moved",
    Open.SPIKE: "one reading stands out alone and may be weld, paint or dirt",
    Open.PASSED_ZERO: "the pointer may have run past the zero of its dial",
    Open.SLIPPED: "the pointer did not come back to where it began",
    Open.BETWEEN_READINGS: "a bend may lie between the readings",
    Open.BESIDE_BEND: "the highest or lowest place of the bend may lie beside the readings",
    Open.REPEATS_DISAGREE: "the readings of this surface do not repeat",
    Open.UNCERTAINTY: "the limit lies inside the uncertainty",
}
DECIDES = {
    Decides.LIFT_THE_TIP: "lift the tip and let it down: see the pointer move, then read again",
    Decides.LOOK_AT_THE_SPOT: "look at the spot, clean it, and read again beside it",
    Decides.COUNT_THE_TURNS: "watch the pointer all the way round and count its passes of zero",
    Decides.CLAMP_AND_READ_AGAIN: "clamp the gauge firmly and read the turn again",
    Decides.HIGH_LOW_TURN: "turn the wheel once, slowly, and read the high and the low",
    Decides.HIGH_LOW_PAST_THE_BEND: "turn slowly past the bend and read its high and its low",
    Decides.THIRD_READING: "set the gauge up afresh and read a third time",
    Decides.REPEAT: "set the gauge up afresh and read again",
    Decides.FINER: "use a finer gauge or a firmer stand",
}
NEXT = {
    NextReading.NONE: "",
    NextReading.REPEAT: "set the gauge up afresh and read it once more",
    NextReading.THIRD: DECIDES[Decides.THIRD_READING],
    NextReading.FIND_THE_CAUSE: "find out why it does not repeat: seating, play, the stand",
}


def point_text(point: OpenPoint, wording: Wording) -> str:
    """One reason with its places, and how far the runout may lie."""
    at = "; ".join(wording.place(place) for place in point.places)
    low, high = (wording.length(size) for size in (point.low_mm, point.high_mm))
    where = f" at {at}" if at else ""
    if point.why is Open.STILL_POINTER:
        return f"{WHY[point.why]}: a tip that does not touch reads so"
    return f"{WHY[point.why]}{where}: it may be anything from {low} to {high}"


def decides_text(point: OpenPoint, wording: Wording) -> str:
    """What would settle one reason."""
    text = DECIDES[point.decides]
    if point.repeats is not None:
        text += f"; the mean of {point.repeats} whole measurements would do"
    at = "; ".join(wording.place(place) for place in point.places)
    return f"{text} ({at})" if at else text


def repeats_text(found: Repeats, quantity: Quantity, wording: Wording) -> str:
    """What several readings of one surface say together."""
    both = wording.spread(found.value, found.uncertainty, quantity)
    if found.repeat is Repeat.SINGLE:
        return "one reading"
    if found.repeat is Repeat.AGREE:
        return f"{len(found.used)} readings agree: together {both}"
    if found.repeat is Repeat.ONE_STANDS_OUT:
        return f"{len(found.used)} readings agree, one stands out: together {both}"
    return f"the readings do not repeat: {NEXT[found.upcoming]}"
