"""The claim sheet of one wheel: what the readings show, for a seller or a shipper.

It states who measured what with what and when, and alleges nothing: what a pattern speaks for is
said as a fact of the trade, not of this wheel's way. It takes plain values and knows no case.
"""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.casebook.photos import Photo
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.runout.wheel_verdict import REJECT_MM, Pattern, Surface, SurfaceVerdict
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import (
    Blank,
    Block,
    Choice,
    Columns,
    Drawing,
    Heading,
    Pair,
    Paragraph,
    Table,
    Tone,
    items,
    section,
)
from vibecheck.report.calculators.judgements import WHY
from vibecheck.report.calculators.wheel import SURFACES
from vibecheck.report.figures import Figure
from vibecheck.report.lines import local_time
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording

TITLE = "Readings of a wheel, for the seller or the shipper"
NOT_READ = "not read"
RESULTS = {
    Zone.WITHIN: "within, proven", Zone.BEYOND: "beyond, proven", Zone.UNDECIDED: "undecided",
}
ALLEGES_NOTHING = (
    "This sheet states what was read and what those readings show. It does not say when, where or "
    "in whose hands a bend came about."
)
HOW = (
    "Tire off. Runout is the highest minus the lowest reading of one full turn of the bare wheel.",
    "Places are degrees and clock places from the valve stem at 12 o'clock, clockwise, seen from "
    "outside the car.",
    "The figure behind +/- is the expanded uncertainty (k = 2, about 95 %). A surface counts as "
    "beyond or within its limit only where the limit lies outside that range (ISO 14253-1).",
)
_SPEAKS_FOR = {
    Pattern.DROP: "Common practice of the trade: a fall on a hard floor leaves this shape, a low "
                  "spot with a high spot beside it over a short arc at one bead, the other side "
                  "straight.",
    Pattern.STRIKE: "Common practice of the trade: a strike by a curb or a pothole leaves this "
                    "shape, wide and deep.",
    Pattern.LOCAL: "A bend at one place; its shape does not speak for one origin.",
    Pattern.OFFSET: "The surface is offset or tilted as a whole, without a bend at one place. A "
                    "wheel that was not centered while it was read shows the same: read it again "
                    "on a clean mount.",
    Pattern.UNKNOWN: "The readings do not show the shape: read round the turn, not high and low "
                     "alone.",
    Pattern.NONE: "No surface that was read stands out.",
}


@dataclass(frozen=True)
class ReadSurface:
    """One of the four surfaces.

    verdict : what was read and what it proves; None where the surface was not read.
    limit_from : where the limit comes from, in words.
    figure : the readings round the turn, where they were taken so.
    """

    surface: Surface
    verdict: SurfaceVerdict | None = None
    limit_from: str = ""
    figure: Figure | None = None


@dataclass(frozen=True)
class Claim:
    """All that a claim sheet says, as plain values.

    wheel, belongs_to : the wheel's own name, and the set, car or order that it is of.
    surfaces : all four, in any order.
    pattern : the kind of shape.
    measured_by, gauge : in words; "" leaves a line to write on.
    first, last : moments of the first and the last reading, as in a case file (ISO 8601, UTC).
    seen : what was seen of the wheel, in words.
    photos : pictures that go with the sheet.
    foot : small print (ids, rules), each a line.
    """

    wheel: str
    belongs_to: str
    surfaces: tuple[ReadSurface, ...]
    pattern: Pattern
    measured_by: str = ""
    gauge: str = ""
    first: str = ""
    last: str = ""
    seen: tuple[str, ...] = ()
    photos: tuple[Photo, ...] = ()
    invented: bool = False
    foot: tuple[str, ...] = ()


def claim_sheet(claim: Claim, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    invented = "THIS WHEEL IS INVENTED. It is here to try the program with."
    return (
        Heading(TITLE.upper(), 1),
        *((Paragraph(invented, Tone.STRONG),) if claim.invented else ()),
        Pair("Wheel", claim.wheel),
        Pair("Of", claim.belongs_to),
        *_taken(claim),
        *section("What the readings show", (
            Paragraph(summary_text(claim, wording), Tone.STRONG), surface_table(claim, wording),
            *_open(claim), *_limits(claim))),
        *_pattern(claim, wording),
        *section("What was seen", items(claim.seen)),
        *_photos(claim),
        *_to_fill_in(claim),
        Paragraph(ALLEGES_NOTHING),
        *(Paragraph(line, Tone.QUIET) for line in claim.foot),
    )


def _taken(claim: Claim) -> tuple[Block, ...]:
    """Who measured with what and when."""
    moments = tuple(dict.fromkeys(filter(None, (claim.first, claim.last))))
    made: list[Block] = []
    if moments:
        made.append(Pair("Measured", " to ".join(dict.fromkeys(map(local_time, moments)))))
    if claim.measured_by:
        made.append(Pair("Measured by", claim.measured_by))
    if claim.gauge:
        made.append(Pair("Gauge", claim.gauge))
    made += [Blank(label) for label, known in (
        ("Measured on", moments), ("Measured by", claim.measured_by),
        ("Gauge, with its division", claim.gauge)) if not known]
    return tuple(made)


def read_ones(claim: Claim) -> list[SurfaceVerdict]:
    """The surfaces that were read, the worst first."""
    found = [each.verdict for each in claim.surfaces if each.verdict is not None]
    return sorted(found, key=lambda each: -each.runout.tir_mm)


def summary_text(claim: Claim, wording: Wording) -> str:
    """The readings in one or two sentences."""
    read = read_ones(claim)
    if not read:
        return "No surface of this wheel was read."
    beyond = [each for each in read if each.tolerance.zone is Zone.BEYOND]
    unsure = [each for each in read if each.tolerance.zone is Zone.UNDECIDED]
    said = []
    if beyond:
        said.append(f"{_count(len(beyond))} proven beyond the limit: {_sizes(beyond, wording)}.")
    if any(each.reject.zone is Zone.BEYOND for each in beyond):
        reject = wording.length(REJECT_MM, 0.01)
        said.append(f"That is beyond {reject} (1/8 in) as well, from which on 49 CFR 570.10(b) "
                    "rejects a wheel in vehicle inspection.")
    if unsure:
        said.append(f"{_count(len(unsure))} too close to the limit to say: "
                    f"{_sizes(unsure, wording)}.")
    if not beyond and not unsure:
        said.append(f"{_count(len(read))} proven within the limit.")
    left = len(Surface) - len(read)
    if left:
        said.append(f"{_count(left)} not read.")
    return " ".join(said)


def _count(number: int) -> str:
    if number == len(Surface):
        return "All four surfaces are"
    return "One surface is" if number == 1 else f"{('Two', 'Three')[number - 2]} surfaces are"


def _sizes(found: list[SurfaceVerdict], wording: Wording) -> str:
    return ", ".join(f"{SURFACES[each.surface]} {_size(each, wording)}" for each in found)


def _size(found: SurfaceVerdict, wording: Wording) -> str:
    """The runout as it is judged: with what may lie between the readings."""
    numbers = found.tolerance
    return wording.spread(numbers.value, numbers.uncertainty, Quantity.LENGTH)


def surface_table(claim: Claim, wording: Wording) -> Table:
    """The four surfaces: what was read, the limit, what that proves, and where."""
    by_surface = {each.surface: each for each in claim.surfaces}
    return Table(
        ("Surface", "High minus low", "Limit", "Result", "Where"),
        tuple(_row(by_surface.get(each, ReadSurface(each)), wording) for each in Surface),
    )


def _row(read: ReadSurface, wording: Wording) -> tuple[str, ...]:
    name, found = SURFACES[read.surface], read.verdict
    if found is None:
        return (name, NOT_READ, "", "", "")
    return (name, _size(found, wording), wording.length(found.tolerance.limit),
            RESULTS[found.tolerance.zone], where_text(found.runout))


def where_text(runout: Runout) -> str:
    """The bend's place, or the high place; "" where no turn was read."""
    bend, high = runout.bend_place, runout.high_place
    if bend is not None:
        return f"bend {bend.angle_deg:.0f} deg"
    return f"high {high.angle_deg:.0f} deg" if high is not None and not runout.still else ""


def _open(claim: Claim) -> tuple[Block, ...]:
    """Why a surface is undecided, where it is not only close to its limit."""
    return tuple(
        Paragraph(f"{SURFACES[each.surface]}: {WHY[each.judgement.open[0].why]}")
        for each in read_ones(claim) if each.judgement.open
    )


def _limits(claim: Claim) -> tuple[Block, ...]:
    told = dict.fromkeys(each.limit_from for each in claim.surfaces if each.limit_from)
    return (Paragraph(f"Limits from: {'; '.join(told)}", Tone.QUIET),) if told else ()


def _pattern(claim: Claim, wording: Wording) -> tuple[Block, ...]:
    """The shape, what it speaks for, and the picture of the worst surface read round a turn."""
    words: tuple[Block, ...] = (*(
        Paragraph(text) for text in bends_text(claim, wording)
    ), Paragraph(_SPEAKS_FOR[claim.pattern]))
    worst = next(
        (each for found in read_ones(claim) for each in claim.surfaces
         if each.verdict is found and each.figure is not None), None)
    how = section("How it was measured", items(HOW))
    if worst is None or worst.figure is None:
        return (*section("The pattern", words), *how)
    drawing = Drawing(worst.figure, f"{SURFACES[worst.surface]}, {FROM_OUTSIDE}; the dashed "
                                    "circles are as far apart as the limit")
    return (Heading("The pattern"), Columns(((drawing,), (*words, *how))))


def bends_text(claim: Claim, wording: Wording) -> list[str]:
    """Every bend that the readings show, with its place, size and width."""
    said = []
    for each in read_ones(claim):
        bend, place = each.runout.local_bend, each.runout.bend_place
        if bend is None or place is None:
            continue
        shape = "a low spot with a high spot beside it" if bend.dip_and_bulge else (
            "to one side alone")
        said.append(
            f"{SURFACES[each.surface]}: {shape}, {wording.length(bend.height_mm)} from the round "
            f"shape, at {wording.angle(place.angle_deg)}, {bend.width_deg:.0f} deg wide.")
    return said


def _photos(claim: Claim) -> tuple[Block, ...]:
    if not claim.photos:
        return section("Photos", (Blank("Photos, by file name"),))
    return section("Photos", (
        Table(("File", "Bytes", "SHA-256"), tuple(
            (each.name, str(each.size), each.sha256) for each in claim.photos
        ), frozenset({1})),
        Paragraph("The SHA-256 tells whether a file is the one listed here.", Tone.QUIET),
    ))


def _to_fill_in(claim: Claim) -> tuple[Block, ...]:
    """What the readings cannot tell, to be written in by whoever sends the sheet."""
    return section("To fill in", (
        Blank("Order or delivery no."), Blank("Received on"), Blank("Part no. on wheel"),
        Blank("Carrier"),
        Choice("Packing", ("kept", "damaged when it came", "not kept")),
        Choice("Wheel", ("never mounted", "mounted, not driven", "driven")),
        Blank("Name, date and signature"),
    ))
