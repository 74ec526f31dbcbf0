"""Before, remedy, after: what a repair changed, held against the same readings and drives.

A remedy is an entry of its own. What is answered after the first remedy in force stands for the
car as repaired: the ranking stays as it was found, and what was found before is asked again. A
reading is compared with its uncertainty, a drive or a look by its state:

    fixed      proven within its limit where it was not before; or good where it was not
    better     less than before by more than both uncertainties; or a milder state
    worse      more than before by as much; or a graver state
    unchanged  anything else

References
----------
1. ISO 14253-1:2017: proven within a limit. 2. JCGM 100:2008 (GUM), 5.1.2: the uncertainty of a
   difference.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct, structs

from vibecheck.calculators.wheel import SURFACES
from vibecheck.casebook.case import Case, Entry
from vibecheck.casebook.journal import active_entries, retracted_ids
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Spot
from vibecheck.knowledge.words import Corner, FindingKind, Scale
from vibecheck.metrology.decision import Zone
from vibecheck.session.answers import UNSURE
from vibecheck.session.judge import Judged, judge

# What readings round a bead surface tell by the way: a surface that is right has no bad shape.
SHAPES = ("local_bend_shape", "bead_oval")


class Change(StrEnum):
    """What became of a finding, or of the whole complaint, by the remedy."""

    FIXED = "fixed"
    BETTER = "better"
    UNCHANGED = "unchanged"
    WORSE = "worse"


class Compared(Struct, frozen=True):
    """One finding before and after; readings as judged, None where a state was told."""

    finding: Spot
    before: Entry
    after: Entry
    change: Change
    judged_before: Judged | None = None
    judged_after: Judged | None = None


class Repair(Struct, frozen=True):
    """The remedies done and what they changed.

    remedies : entries of remedies in force, oldest first.
    compared : findings that were looked at again.
    wanted : findings that were not as they should be and were not looked at again yet.
    """

    remedies: tuple[Entry, ...]
    compared: tuple[Compared, ...]
    wanted: tuple[Spot, ...]

    @property
    def change(self) -> Change | None:
        """What became of the complaint; None while nothing was looked at again.

        Fixed needs all of it fixed and nothing left to look at; one that is worse is worse.
        """
        changes = {each.change for each in self.compared}
        if not changes:
            return None
        if Change.WORSE in changes:
            return Change.WORSE
        if changes == {Change.FIXED}:
            return Change.BETTER if self.wanted else Change.FIXED
        return Change.UNCHANGED if changes == {Change.UNCHANGED} else Change.BETTER


def remedies_done(case: Case) -> tuple[Entry, ...]:
    """The remedies in force, oldest first."""
    gone = retracted_ids(case)
    return tuple(
        entry for entry in case.in_order
        if entry.kind == "remedy" and entry.id not in gone
    )


def as_found(case: Case) -> Case:
    """The case without what came after its first remedy: the car as it was brought.

    Retractions count wherever they stand, since they correct what was written.
    """
    done = remedies_done(case)
    if not done:
        return case
    entries = case.in_order
    first = entries.index(done[0])
    kept = [
        entry for place, entry in enumerate(entries)
        if place < first or entry.kind == "retraction"
    ]
    return structs.replace(case, entries=kept)


def as_repaired(case: Case) -> Case | None:
    """The case with what came after its newest remedy alone; None before any remedy."""
    done = remedies_done(case)
    if not done:
        return None
    entries = case.in_order
    newest = entries.index(done[-1])
    kept = [
        entry for place, entry in enumerate(entries)
        if place > newest or entry.kind == "retraction"
    ]
    return structs.replace(case, entries=kept)


def repair_of(library: Library, case: Case, facts: Mapping[str, str]) -> Repair | None:
    """What the remedies of a case changed; None before any remedy."""
    after_case = as_repaired(case)
    if after_case is None:
        return None
    before = _answers(as_found(case))
    after = _answers(after_case)
    compared, wanted = [], []
    for spot, entry in before.items():
        rule = library.findings.get(entry.finding)
        if rule is None or not _can_change(rule):
            continue
        judged = _judged(library, case, facts, rule, entry)
        if spot in after:
            now = _judged(library, case, facts, rule, after[spot])
            change = _change(rule, entry, after[spot], judged, now)
            if change is not None:
                compared.append(Compared(spot, entry, after[spot], change, judged, now))
        elif _is_wrong(rule, entry, judged):
            wanted.append(spot)
    right = {each.finding.corner for each in compared
             if each.finding.id in SURFACES and each.change is Change.FIXED}
    wanted = [spot for spot in wanted if spot.id not in SHAPES or spot.corner not in right]
    return Repair(remedies_done(case), tuple(compared), tuple(wanted))


def _answers(case: Case) -> dict[Spot, Entry]:
    return {
        Spot(entry.finding, Corner(entry.corner) if entry.corner else None): entry
        for entry in active_entries(case) if entry.value != UNSURE
    }


def _can_change(rule: Finding) -> bool:
    """What was said of the past, and at which speed it came, does not change by a repair."""
    if rule.kind is FindingKind.HISTORY:
        return False
    return rule.scale is Scale.GRADED and (
        rule.measure is None or bool(rule.measure.tolerance)
    )


def _judged(
    library: Library, case: Case, facts: Mapping[str, str], rule: Finding, entry: Entry
) -> Judged | None:
    if entry.value in rule.states:
        return None
    return judge(library, case.limits, facts, rule, entry.value)


def _is_wrong(rule: Finding, entry: Entry, judged: Judged | None) -> bool:
    if judged is not None:
        return judged.zone in (Zone.BEYOND, Zone.UNDECIDED)
    return entry.value != next(iter(rule.states))


def _change(
    rule: Finding, before: Entry, after: Entry, was: Judged | None, now: Judged | None
) -> Change | None:
    if was is not None and now is not None:
        return _change_of_readings(was, now)
    if was is not None or now is not None:
        return None  # a state and a number of one surface are not compared
    states = list(rule.states)
    old, new = states.index(before.value), states.index(after.value)
    if old == 0 and new == 0:
        return None  # nothing was wrong, and nothing is
    if new == 0:
        return Change.FIXED
    if new == old:
        return Change.UNCHANGED
    return Change.BETTER if new < old else Change.WORSE


def _change_of_readings(was: Judged, now: Judged) -> Change | None:
    """Fixed if proven within and not so before; else by the difference against both spreads."""
    if was.zone is Zone.WITHIN and now.zone is Zone.WITHIN:
        return None
    if now.zone is Zone.WITHIN:
        return Change.FIXED
    less = was.measured.value - now.measured.value
    spread = math.hypot(was.expanded, now.expanded)
    if abs(less) <= spread:
        return Change.WORSE if was.zone is Zone.WITHIN and now.zone is Zone.BEYOND else (
            Change.UNCHANGED)
    return Change.BETTER if less > 0.0 else Change.WORSE
