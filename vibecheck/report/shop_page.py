"""A shop's own figures, as a page and as data for programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vibecheck.knowledge.library import Library
from vibecheck.report.blocks import Block, Heading, Pair, Paragraph, Table, Tone, section
from vibecheck.report.learning_page import standing_blocks
from vibecheck.report.lines import capital
from vibecheck.session.shop import LEAST, KindOfComplaint, Shop

MOST_FAULTS = 12
_TOO_FEW = f"too few to say (fewer than {LEAST})"


def shop_page(library: Library, shop: Shop) -> Iterator[Block]:
    """What was behind complaints, whether the first remedy held, minutes, come-backs."""
    yield Heading("The shop's visits", 1)
    yield from standing_blocks(shop.visits)
    yield from section("All complaints", _figures(shop.together))
    for kind in shop.kinds:
        yield from section(capital(_complaint(library, kind)), _kind(library, kind))
    yield Paragraph(
        "Faults and minutes are of confirmed outcomes alone. Minutes are those of the checks "
        "before the first remedy, as the rules count them; from the lowest quarter to the "
        "highest. Nothing leaves this machine.", Tone.QUIET,
    )  # fmt: skip


def _complaint(library: Library, kind: KindOfComplaint) -> str:
    finding = library.findings.get(str(library.complaint))
    name = kind.complaint or ""
    return finding.states.get(name, name) if finding else name


def _kind(library: Library, kind: KindOfComplaint) -> Iterator[Block]:
    yield from _figures(kind)
    if kind.behind:
        yield Table(
            ("Behind it", "Visits", "Of confirmed", "By the rules"),
            tuple(
                (library.causes[each.cause].name, str(each.visits),
                 _share(each.visits, kind.confirmed), f"{100.0 * each.by_the_rules:.1f}%")
                for each in kind.behind[:MOST_FAULTS]
            ),
            frozenset({1, 2, 3}),
        )  # fmt: skip
    if (more := len(kind.behind) - MOST_FAULTS) > 0:
        yield Paragraph(f"{more} more faults, each seldom.")


def _figures(kind: KindOfComplaint) -> Iterator[Block]:
    yield Pair("Visits with a fault found", f"{kind.visits}, {kind.confirmed} confirmed")
    yield Pair("First remedy held", _held(kind))
    minutes = kind.minutes
    yield Pair(
        "Minutes to the right decision",
        _TOO_FEW if minutes is None else
        f"{minutes.median:.0f} ({minutes.low:.0f} to {minutes.high:.0f}) in {minutes.visits} "
        "visits",
    )  # fmt: skip
    yield Pair("Came back", f"{kind.came_back} of {kind.visits}")


def _held(kind: KindOfComplaint) -> str:
    looked = kind.held + kind.not_held
    said = f"{kind.held} of {looked} that were looked at again"
    if kind.share_held is None:
        return f"{said}; {_TOO_FEW}"
    share = kind.share_held
    return f"{said} (95% interval {100.0 * share.low:.0f}% to {100.0 * share.high:.0f}%)"


def _share(count: int, of: int) -> str:
    return f"{100.0 * count / of:.0f}%" if of >= LEAST else ""


def shop_data(shop: Shop) -> dict[str, Any]:
    """The same for programs. Shares are unitless, minutes in [min]."""
    return {
        "visits": shop.visits.every,
        "standings": {name.value: count for name, count in shop.visits.standings.items()},
        "together": _data(shop.together),
        "complaints": [_data(kind) for kind in shop.kinds],
    }


def _data(kind: KindOfComplaint) -> dict[str, Any]:
    minutes, share = kind.minutes, kind.share_held
    return {
        "complaint": kind.complaint, "visits": kind.visits, "confirmed": kind.confirmed,
        "behind": [{"cause": each.cause, "visits": each.visits, "by_the_rules": each.by_the_rules}
                   for each in kind.behind],
        "held": kind.held, "not_held": kind.not_held,
        "share_held": None if share is None else {"low": share.low, "high": share.high},
        "minutes": None if minutes is None else
        {"visits": minutes.visits, "low": minutes.low, "median": minutes.median,
         "high": minutes.high},
        "came_back": kind.came_back,
    }  # fmt: skip
