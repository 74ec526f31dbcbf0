"""Proof before parts: the check that has to show a cause before its remedy is paid for.

Answers, and readings that several causes share, can make a cause all but certain. What people say
can be mistaken, though, and parts are dear: so the check that a cause names first for its proof
comes before the remedy, unless the remedy is hardly more work than the check.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from vibecheck.knowledge.model import Check, Spot
from vibecheck.knowledge.words import CheckKind, Scope
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.gather import asks

if TYPE_CHECKING:
    from vibecheck.session.workbench import Workbench

DEARER = 2.0  # a remedy this many times the work of the check waits for the check


@dataclass(frozen=True)
class Proof:
    """How the proof of the cause behind the remedy decided on stands.

    check : the check that has to come before the remedy, or None.
    failed : the check that should have shown the cause speaks against it.
    """

    check: Option | None = None
    failed: bool = False


def proof_of(bench: Workbench) -> Proof:
    """What has to be shown before the remedy that was decided on is done.

    The first check (questions aside) that the likeliest cause names is its proof. Where that one
    speaks against what the remedy cures, the next one it names is asked for.
    """
    remedy = bench.ruling.remedy
    if not bench.ruling.decided or remedy is None:
        return Proof()
    index = bench.network.index
    tried = next(each for each in bench.tries if each.spot == remedy)
    cause = max(tried.cures, key=lambda spot: float(bench.belief.chances[index[spot]]))
    checks = _proofs(bench, cause)
    if not checks:
        return Proof()
    told = _told(bench, checks[0])
    if told:
        if _speaks_for(bench, tried.cures, told):
            return Proof()
        return Proof(_first_open(bench, checks[1:]), failed=True)
    rule, cure = bench.library.checks[checks[0].id], bench.library.remedies[remedy.id]
    work = cure.minutes + bench.library.access.parts_minutes.get(cure.parts, 0.0)
    return Proof(_first_open(bench, checks[:1]) if work >= DEARER * rule.minutes else None)


def _proofs(bench: Workbench, cause: Spot) -> list[Spot]:
    """The checks that prove a cause; not those by corner for a cause of the whole vehicle."""
    found = []
    for name in bench.network.causes[bench.network.index[cause]].rule.confirm_by:
        rule = bench.library.checks[name]
        at = cause.corner if rule.scope is Scope.CORNER else None
        if rule.kind is not CheckKind.QUESTION and (at or rule.scope is Scope.VEHICLE):
            found.append(Spot(name, at))
    return found


def _told(bench: Workbench, check: Spot) -> set[Spot]:
    """What a check, or another that yields the same, has told."""
    asked = asks(bench.library, bench.library.checks[check.id], check.corner)
    return {spot for spot in asked if spot in bench.gathered.evidence}


def _speaks_for(bench: Workbench, causes: tuple[Spot, ...], told: set[Spot]) -> bool:
    """Whether findings, taken together, make the causes that the remedy cures likelier."""
    rest = {spot: row for spot, row in bench.gathered.evidence.items() if spot not in told}
    before = believe(bench.network, rest).chances
    places = [bench.network.index[cause] for cause in causes]
    return float(bench.belief.chances[places].sum()) > float(before[places].sum())


def _first_open(bench: Workbench, checks: list[Spot]) -> Option | None:
    """The first of these checks that is not done, skipped or answered."""
    for check in checks:
        if check in bench.gathered.done:
            continue
        known = next((option for option in bench.weighed if option.spot == check), None)
        option = known or _unweighed(bench, bench.library.checks[check.id], check)
        if option is not None:
            return option
    return None


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
