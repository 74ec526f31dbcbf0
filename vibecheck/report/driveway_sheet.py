"""The driveway's shop request: exactly what to ask for, why, and what was found at home."""

from __future__ import annotations

from vibecheck.report.blocks import Blank, Block, Item, Paragraph, section
from vibecheck.report.lines import percent
from vibecheck.report.parts import (
    cause_line,
    driving_blocks,
    evidence_pairs,
    fact_blocks,
)
from vibecheck.report.sentences import HEADLINES, check_reason, ending_text
from vibecheck.report.sheet_parts import (
    bay_work,
    complaint_blocks,
    foot,
    found_blocks,
    sheet_head,
)
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import ending

MOST_REQUESTS = 4
LEADING = 3
TO_WRITE = (
    "Readings before the work", "Readings after the work", "Limits used, and whose",
    "Road test after the work",
)
MEASURE_FIRST = "Please measure before parts are ordered, and ask me before more is done."


def driveway_sheet(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The whole sheet."""
    return (
        *sheet_head(found, "Request to the shop"),
        *driving_blocks(found, wording),
        *fact_blocks(found),
        *section("Please do exactly this", _requested(found, wording)),
        *complaint_blocks(found, "What I notice", wording),
        *found_blocks(found, "What I measured and saw myself", wording),
        *_standing(found, wording),
        *section("Please write down for me", map(Blank, TO_WRITE)),
        *foot(found),
    )


def requests(found: Diagnosis) -> list[tuple[str, str]]:
    """What to ask for and why: the remedy if it is decided, then the most telling checks."""
    wanted: dict[str, str] = {}
    library = found.library
    if found.conclusion.decided:
        for remedy in found.remedies[:1]:
            request = library.remedies[remedy.spot.id].shop_request
            chance = percent(remedy.chance).strip()
            wanted[request] = f"there is a {chance} chance that this corrects the fault"
    for check in (*(each for each in found.next_checks if not each.option.here), *bay_work(found)):
        wanted.setdefault(check.rule.shop_request, check_reason(library, check))
    wanted.pop("", None)
    return list(wanted.items())[:MOST_REQUESTS]


def _requested(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    wanted = requests(found)
    if wanted:
        return (*(
            Item(request, f"{number}. [ ]", under=(Paragraph(f"why: {why}"),))
            for number, (request, why) in enumerate(wanted, 1)
        ), Paragraph(MEASURE_FIRST))
    end = ending(found)
    return (
        Paragraph(f"There is nothing to ask a shop for now. {HEADLINES[end.kind]}."),
        Paragraph(ending_text(found, end, wording)),
    )


def _standing(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    if not found.answers:
        return ()
    return section("Possible causes, from this", (
        Item(f"{percent(cause.probability)} {cause_line(found.library, cause)}",
             under=evidence_pairs(found, cause.spot, wording, 1)[:1])
        for cause in found.faults[:LEADING]
    ))
