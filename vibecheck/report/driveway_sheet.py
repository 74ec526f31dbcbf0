"""The driveway's shop request: exactly what to ask for, at which corner, and what was found."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.report.blocks import Blank, Block, Item, Listing, Paragraph, section
from vibecheck.report.car_figure import car_drawing
from vibecheck.report.lines import capital, percent
from vibecheck.report.parts import cause_line, driving_blocks
from vibecheck.report.sentences import HEADLINES, check_reason, ending_text
from vibecheck.report.sheet_parts import (
    MADE_GOOD,
    Sheet,
    bay_work,
    complaint_blocks,
    customer_blanks,
    done_blocks,
    fact_blocks,
    foot,
    former_blocks,
    found_blocks,
    made_good,
    outcome_blocks,
    sheet_head,
    to_verify_blocks,
)
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.ending import decided_remedy, ending

MOST_REQUESTS = 4
LEADING = 3
TO_WRITE = (
    "Readings before the work", "Readings after the work", "Limits used, and whose",
    "Road test after the work",
)
MEASURE_FIRST = "Please measure before parts are ordered, and ask me before more is done."


class Request(Struct, frozen=True):
    """One thing to ask a shop for, where it is to be done, and why."""

    text: str
    corners: tuple[Corner, ...]
    why: str

    @property
    def line(self) -> str:
        """The request with its corners in front."""
        named = [corner for corner in Corner if corner in self.corners]
        where = "every wheel" if len(named) == len(Corner) else ", ".join(
            corner.spoken for corner in named)
        return f"{capital(where)}: {self.text}" if where else self.text


def driveway_sheet(sheet: Sheet) -> tuple[Block, ...]:
    """The whole sheet."""
    found, wording = sheet.found, sheet.wording
    return (
        *sheet_head(sheet, "Request to the shop"),
        *customer_blanks(found),
        *driving_blocks(found, wording),
        *former_blocks(sheet),
        *section("Please do exactly this", _requested(found, wording)),
        *complaint_blocks(found, "What I notice", wording),
        *found_blocks(found, "What I measured and saw myself", wording),
        *car_drawing(found, wording),
        *done_blocks(found, wording),
        *to_verify_blocks(found, wording),
        *outcome_blocks(found),
        *_standing(found),
        *fact_blocks(found),
        *(() if made_good(found) else section("Please write down for me", map(Blank, TO_WRITE))),
        *foot(found),
    )


def requests(found: Diagnosis) -> list[Request]:
    """What to ask for and why: the remedy if it is decided, then the most telling checks.

    The same words at several corners are one request, and so are corners at which a check is worth
    nearly the same: none of them is named alone.
    """
    library = found.library
    wanted: dict[str, Request] = {}

    def add(text: str, corners: Iterable[Corner | None], why: str) -> None:
        before = wanted.get(text, Request(text, (), why))
        named = dict.fromkeys(each for each in (*before.corners, *corners) if each is not None)
        if text:
            wanted[text] = Request(text, tuple(named), before.why)

    remedy = decided_remedy(found)
    if remedy is not None:
        chance = percent(remedy.chance).strip()
        add(library.remedies[remedy.spot.id].shop_request, [remedy.spot.corner],
            f"there is a {chance} chance that this corrects the fault")
    for check in (*(each for each in found.next_checks if not each.option.here), *bay_work(found)):
        if len(wanted) >= MOST_REQUESTS and check.rule.shop_request not in wanted:
            continue
        alike = replace(check, causes=tuple(dict.fromkeys(Spot(each.id) for each in check.causes)))
        add(check.rule.shop_request, [check.corner, *check.also_at],
            check_reason(library, alike if check.also_at else check))
    return list(wanted.values())


def _requested(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    if made_good(found):
        return (Paragraph(f"There is nothing to ask a shop for now. {MADE_GOOD}"),)
    wanted = requests(found)
    if wanted:
        return (*(
            Item(each.line, f"{number}. [ ]", under=(Paragraph(f"why: {each.why}"),))
            for number, each in enumerate(wanted, 1)
        ), Paragraph(MEASURE_FIRST))
    end = ending(found)
    return (
        Paragraph(f"There is nothing to ask a shop for now. {HEADLINES[end.kind]}."),
        Paragraph(ending_text(found, end, wording)),
    )


def _standing(found: Diagnosis) -> tuple[Block, ...]:
    if not found.answers or made_good(found):
        return ()
    return section("Possible causes, from this", (Listing(tuple(
        f"{percent(cause.probability).strip()} {cause_line(found.library, cause)}"
        for cause in found.faults[:LEADING]
    )),))
