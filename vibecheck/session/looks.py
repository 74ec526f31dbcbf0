"""Looks that clear a danger: an answer that looked at the very part, later, and found it good."""

from __future__ import annotations

from vibecheck.casebook.case import Entry
from vibecheck.casebook.journal import ordered
from vibecheck.knowledge.model import Spot
from vibecheck.session.inference import Inference
from vibecheck.session.repair import remedies_done


def repaired(plan: Inference) -> set[Spot]:
    """Causes whose remedy was done, and whose part was looked at since and found good."""
    return {
        node.spot
        for entry in remedies_done(plan.case)
        for node in plan.network.causes
        if entry.remedy in node.rule.remedies and entry.corner in (None, node.spot.corner)
        and look_that_lifts(plan, node.spot, entry) is not None
    }


def look_that_lifts(plan: Inference, danger: Spot, since: Entry) -> Entry | None:
    """The newest answer after an entry that looked at the very part and speaks against it."""
    cause = plan.library.causes[danger.id]
    looked = {finding for name in cause.confirm_by for finding in plan.library.checks[name].yields}
    found = None
    for spot, standing in plan.case_evidence.standing.items():
        entry = standing.entry
        later = _after(entry, since)
        here = spot.corner in (None, danger.corner) or danger.corner is None
        if later and here and spot.id in looked and spot.id in cause.shows:
            states = list(plan.library.findings[spot.id].states)
            if standing.state == states[0] and (found is None or _after(entry, found)):
                found = entry
    return found


def _after(one: Entry, other: Entry) -> bool:
    """Whether an entry stands after another."""
    return ordered([one, other])[0] is other and one is not other
