"""The customer's explanation, in plain words: found, meant, ruled out, to do, to verify."""

from __future__ import annotations

from vibecheck.knowledge.model import Spot
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.decide import Try
from vibecheck.report.blocks import Block, Item, Pair, Paragraph, items, section
from vibecheck.report.lines import capital, minutes, time_range
from vibecheck.report.names import (
    PARTS,
    chance_word,
    finding_name,
    ranked_name,
    remedy_name,
    set_name,
)
from vibecheck.report.parts import answer_items, driving_blocks, repair_blocks, turn_drawings
from vibecheck.report.sentences import (
    answer_text,
    bend_place_text,
    conclusion_text,
    reading_text,
)
from vibecheck.report.sheet_parts import complaint_blocks, foot, seen, sheet_head
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording
from vibecheck.session.advice import ConclusionKind
from vibecheck.session.diagnosis import Answer, Diagnosis, RankedCause
from vibecheck.session.ending import remedy_of_the_lead

LEADING = 3
WORTH_NAMING = 0.1
MOST_NAMED = 6
MOST_WAYS = 6
IN_WORDS = {
    Zone.WITHIN: "this is in order",
    Zone.BEYOND: "this is out of order",
    Zone.UNDECIDED: "too close to its limit to say; it has to be measured again",
    None: "there is no limit for this; it was noted",
}
NOT_THIS = (
    "It is no inspection of the car and no promise that the rest of it is safe.",
    "It is no bill and no quote: times are estimates, prices are asked for separately.",
    "A cause counts as proven only where a measurement proves it; until then it is the likeliest "
    "explanation of what is known.",
)


def customer_sheet(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    return (
        *sheet_head(found, "What we found on your car"),
        *driving_blocks(found, wording),
        *complaint_blocks(found, "What you told us", wording),
        *section("What was found", _found(found, wording)),
        *repair_blocks(found, wording),
        *section("What it means", _means(found, wording)),
        *section("What we ruled out by looking or measuring", _ruled_out(found, wording)),
        *section("What it will take, and how to be sure", _takes(found, wording)),
        *section("What this sheet is not", items(NOT_THIS)),
        *foot(found),
    )


def _found(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    rows = (
        *(_reading(found, each, wording) for each in found.readings),
        *answer_items(found, (each.spot for each in seen(found)), wording),
        *turn_drawings(found, wording),
    )
    return rows or (Paragraph("Nothing has been measured or looked at yet."),)


def _reading(found: Diagnosis, answer: Answer, wording: Wording) -> Item:
    name = finding_name(found.library, answer.spot)
    value = reading_text(answer.judged, wording) if answer.judged else ""
    at = bend_place_text(answer.judged, wording) if answer.judged else ""
    under = (Paragraph(f"{at}, {FROM_OUTSIDE}"),) if at else ()
    return Item(f"{name}: {value} - {IN_WORDS[answer.zone]}", under=under)


def _means(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    worth = [cause for cause in found.faults[:LEADING] if cause.probability >= WORTH_NAMING]
    if not found.answers or not worth:
        return (Paragraph("Nothing stands out yet; more has to be found out."),)
    both = [
        Paragraph(f"Both at once explains it best: {set_name(found.library, each.causes)}.")
        for each in found.sets[:1] if len(each.causes) > 1
    ]
    return (*(_cause(found, cause, wording, first=n == 0) for n, cause in enumerate(worth)), *both)


def _cause(found: Diagnosis, cause: RankedCause, wording: Wording, *, first: bool) -> Item:
    lead = "Most likely" if first else "Also possible"
    share = f"about {100.0 * min(0.99, cause.probability):.0f} in 100"
    name = f"{ranked_name(found.library, cause)} ({chance_word(cause.probability)}, {share})"
    best = next((each for each in found.weights(cause.spot) if each.bits > 0), None)
    evidence = (
        Paragraph(f"Evidence for it: {answer_text(found, best.finding, wording)}"),
    ) if best else ()
    return Item(f"{lead}: {name}", under=(Paragraph(cause.rule.says), *evidence))


def _ruled_out(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """Only what a look or a measurement of that part has ruled out, with its result."""
    rows = []
    for text, names in list(by_answer(found, wording).items())[:MOST_WAYS]:
        left = len(names) - MOST_NAMED
        more = f"; and {left} more" if left > 0 else ""
        rows.append(Item(f"{'; '.join(names[:MOST_NAMED])}{more} - by: {text}"))
    return tuple(rows)


def by_answer(found: Diagnosis, wording: Wording) -> dict[str, list[str]]:
    """Names of causes with their corners, under the result that ruled them out."""
    corners: dict[tuple[str, str], list[str]] = {}
    for each in found.ruled_out:
        text = answer_text(found, each.finding, wording)
        at = corners.setdefault((text, each.cause.id), [])
        if each.cause.corner:
            at.append(each.cause.corner.spoken)
    causes: dict[str, list[str]] = {}
    for (text, cause), at in corners.items():
        where = f" ({', '.join(at)})" if at else ""
        causes.setdefault(text, []).append(found.library.causes[cause].name + where)
    return causes


def _takes(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    said, made = found.conclusion, list[Block]()
    if not said.decided:
        made.append(Paragraph(f"Not decided yet. {capital(conclusion_text(found, wording))}"))
        expected = time_range(found.in_the_bay.minutes_expected)
        made.append(Paragraph(f"Time to find the cause in the workshop: {expected}."))
    remedy = next(iter(found.remedies), None) if said.decided else remedy_of_the_lead(found)
    if said.kind is not ConclusionKind.NO_FAULT and found.answers and remedy is not None:
        made += _remedy(found, remedy, decided=said.decided)
    return tuple(made) or (Paragraph(capital(conclusion_text(found, wording))),)


def _remedy(found: Diagnosis, remedy: Try, *, decided: bool) -> tuple[Block, ...]:
    rule = found.library.remedies[remedy.spot.id]
    lead = found.faults[0] if found.faults else None
    alike = not decided and lead is not None and not lead.told_apart
    name = remedy_name(found.library, Spot(remedy.spot.id) if alike else remedy.spot)
    effort = f"({minutes(remedy.effort)}, {PARTS[rule.parts]})"
    return (
        Pair("What to do:" if decided else "If it turns out so:", f"{name} {effort}"),
        Pair("Verify the repair:", capital(rule.verify)),
        Pair("If it comes back:", capital(rule.comeback)),
    )
