"""Proof before parts: the check that has to show a cause before its remedy is paid for.

Answers, and readings that several causes share, can make a cause all but certain. What people say
can be mistaken, though, and parts are dear: so the check that a cause names first for its proof
comes before the remedy, unless the remedy is hardly more work than the check.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Scope
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.gather import asks

if TYPE_CHECKING:
    from vibecheck.session.workbench import Workbench

DEARER = 2.0  # a remedy this many times the work of the check waits for the check


def proof_wanted(bench: Workbench) -> Option | None:
    """The check that has to come before the remedy that was decided on, or None.

    It is the first check (questions aside) that the likeliest cause names for its proof.
    """
    remedy = bench.ruling.remedy
    if not bench.ruling.decided or remedy is None:
        return None
    index = bench.network.index
    tried = next(each for each in bench.tries if each.spot == remedy)
    cause = max(tried.cures, key=lambda spot: float(bench.belief.chances[index[spot]]))
    check = _proof_of(bench, cause)
    if check is None or check in bench.gathered.done or _told(bench, check):
        return None
    rule, cure = bench.library.checks[check.id], bench.library.remedies[remedy.id]
    work = cure.minutes + bench.library.access.parts_minutes.get(cure.parts, 0.0)
    if work < DEARER * rule.minutes:
        return None
    known = next((option for option in bench.weighed if option.spot == check), None)
    return known or _unweighed(bench, rule, check)


def _proof_of(bench: Workbench, cause: Spot) -> Spot | None:
    """The check that proves a cause; none for a vehicle's cause that is measured by corner."""
    for name in bench.network.causes[bench.network.index[cause]].rule.confirm_by:
        rule = bench.library.checks[name]
        at = cause.corner if rule.scope is Scope.CORNER else None
        if rule.kind is not CheckKind.QUESTION and (at or rule.scope is Scope.VEHICLE):
            return Spot(name, at)
    return None


def _told(bench: Workbench, check: Spot) -> bool:
    """Whether a check, or another that yields the same, has told something."""
    told = asks(bench.library, bench.library.checks[check.id], check.corner)
    return any(spot in bench.gathered.evidence for spot in told)


def _unweighed(bench: Workbench, rule: Check, spot: Spot) -> Option | None:
    """A check that is expected to tell nothing new, as an option."""
    open_ones = tuple(
        each
        for each in asks(bench.library, rule, spot.corner)
        if each in bench.network.findings and each not in bench.gathered.closed
    )
    if not open_ones:
        return None
    tools = bench.situation.tools
    here = bench.place in rule.places and (
        tools is None or all(tool in tools for tool in rule.tools)
    )
    way = bench.ways.to(rule.access, spot.corner, here=here)
    return Option(
        spot, rule, open_ones, (), rule.minutes, way.minutes, way.here, 0.0, 0.0, 0.0
    )
