"""The verdict on a wheel from its bead surfaces, in words."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.wheel import COMPLETE, WheelResult
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.judgement import Open
from vibecheck.metrology.runout.readings import Caveat
from vibecheck.metrology.runout.wheel_verdict import (
    REJECT_MM,
    Pattern,
    Surface,
    SurfaceVerdict,
    Verdict,
    WheelVerdict,
)
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, items, section
from vibecheck.report.calculators.judgements import decides_text, point_text
from vibecheck.report.wording import Wording

VERDICTS = {
    Verdict.SOUND: "sound", Verdict.UNDECIDED: "undecided", Verdict.INCOMPLETE: "incomplete",
    Verdict.OUT_OF_TOLERANCE: "out of tolerance", Verdict.REJECT: "reject",
    Verdict.MEASURE_TIRE_OFF: "measure with the tire off",
}
SURFACES = {surface: surface.value.replace("_", " ") for surface in Surface}
ALL_WITHIN = "all four bead surfaces are proven within"


def verdict_sentences(found: WheelVerdict, wording: Wording) -> tuple[str, ...]:
    """The verdict, its reasons and what to do."""
    return (_main(found, wording), *_pattern(found, wording), *_cautions(found, wording))


def missing_text(missing: Sequence[Surface]) -> str:
    """What is still to be measured."""
    return f"still to measure: {', '.join(SURFACES[surface] for surface in missing)}"


def _main(found: WheelVerdict, wording: Wording) -> str:
    worst = found.surfaces[0]
    size = wording.spread(worst.runout.tir_mm, worst.runout.uncertainty_mm, Quantity.LENGTH)
    reading = f"{size} at the {SURFACES[worst.surface]} surface"
    limit = wording.length(found.tolerance_mm)
    if found.verdict is Verdict.MEASURE_TIRE_OFF:
        return (f"{reading} was read with the tire on and condemns nothing: take the tire off and "
                "measure the four bead surfaces")
    if found.verdict is Verdict.REJECT:
        return (f"{reading} is proven beyond {wording.length(REJECT_MM, 0.01)} (1/8 of an inch), "
                "the reject limit of 49 CFR 570.10(b): do not put this wheel back on the road")
    if found.verdict is Verdict.OUT_OF_TOLERANCE:
        return f"{reading} is proven beyond the tolerance of {limit}"
    if found.verdict is Verdict.UNDECIDED:
        return _undecided(found.surfaces, limit, wording)
    if found.verdict is Verdict.INCOMPLETE:
        return f"what was measured is within {limit}; {missing_text(found.missing)}"
    return f"{ALL_WITHIN} {limit}"


def _undecided(surfaces: tuple[SurfaceVerdict, ...], limit: str, wording: Wording) -> str:
    open_one = next(each for each in surfaces if each.tolerance.zone is Zone.UNDECIDED)
    decision = open_one.tolerance
    value = wording.spread(decision.value, decision.uncertainty, Quantity.LENGTH)
    text = (f"{value} at the {SURFACES[open_one.surface]} surface is neither proven within {limit} "
            "nor beyond it")
    point = open_one.judgement.open[0]
    if point.why is not Open.UNCERTAINTY:
        return f"{text}: {point_text(point, wording)}; {decides_text(point, wording)}"
    if decision.needed_uncertainty <= 0.0:
        return f"{text}: no repeat will decide a reading on the limit itself"
    needed = wording.length(decision.needed_uncertainty, decision.needed_uncertainty)
    return f"{text}: an uncertainty of {needed} would decide it"


def _pattern(found: WheelVerdict, wording: Wording) -> tuple[str, ...]:
    if found.pattern is Pattern.OFFSET:
        return ("the surface is offset or tilted as a whole: check how the wheel was centered "
                "before blaming it",)
    bent = next((each for each in found.surfaces if each.runout.local_bend is not None), None)
    if bent is None or found.pattern in (Pattern.NONE, Pattern.UNKNOWN):
        return ()
    bend, at = bent.runout.local_bend, bent.runout.bend_place
    assert bend is not None and at is not None
    place = f"around {wording.place(at)} at the {SURFACES[bent.surface]} surface"
    if found.pattern is Pattern.DROP:
        return (f"a low spot with a high spot beside it {place}, the other side straight: as after "
                "a drop on a hard floor",)
    size = wording.length(bend.height_mm)
    if found.pattern is Pattern.STRIKE:
        return (f"bent {size} {place}, wide and deep: as after a curb or pothole",)
    return (f"bent {size} {place}",)


def _cautions(found: WheelVerdict, wording: Wording) -> tuple[str, ...]:
    said = []
    if found.carrier_claim:
        said.append(
            "a new wheel with an impact mark and such a reading is a damage claim against the "
            "carrier: keep the packing, take pictures and swap it, even though it might balance out"
        )
    for each in found.surfaces:
        kinds = {note.kind for note in each.runout.notes}
        if Caveat.SCATTER in kinds or Caveat.SPIKE in kinds:
            said.append(f"the {SURFACES[each.surface]} readings jump: move the tip off any knurled "
                        "band, weld or paint run and read again")
    lip = found.lip_tir_mm
    if lip is not None and lip > found.tolerance_mm:
        said.append(f"a lip that runs out by {wording.length(lip)} is cosmetic and condemns "
                    "nothing")
    return tuple(said)


def wheel_blocks(at: str, found: WheelResult, wording: Wording) -> tuple[Block, ...]:
    """The verdict on a whole wheel."""
    title = f"The wheel at {at} so far: {VERDICTS[found.verdict]}"
    return section(title, items(wheel_sentences(found, wording)))


def wheel_sentences(found: WheelResult, wording: Wording) -> tuple[str, ...]:
    """The verdict on a whole wheel, its reasons and what to do."""
    said: list[str] = []
    for each in found.judged:
        sentences = verdict_sentences(each, wording)
        said += sentences[1:] if each.verdict in COMPLETE else sentences
    if found.verdict is Verdict.SOUND:
        said.insert(0, f"{ALL_WITHIN} their limits")
    elif found.missing:
        said.append(missing_text(found.missing))
    return tuple(dict.fromkeys(said))
