"""The wheel so far: what the bead surfaces in a case say of one wheel together.

A bead surface is read with the tire off, so whatever a case holds of one was. Where radial and
lateral have different limits in force, each kind is judged against its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from vibecheck.calculators.wheel import SURFACES, WheelResult, joined
from vibecheck.casebook.case import CornerName, Entry
from vibecheck.casebook.journal import active_entries, readings_together
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Measure
from vibecheck.metrology.runout.wheel_verdict import REJECT_MM, judge_wheel
from vibecheck.metrology.units.values import Quantity
from vibecheck.session.judge import contact_seen, runout_of, smear_of
from vibecheck.session.limits import Limit, limit_in_force
from vibecheck.session.open_case import OpenCase


@dataclass(frozen=True)
class WheelRules:
    """What wheels are judged by: the rules, own limits, facts of the car."""

    library: Library
    limits: Mapping[str, str]
    facts: Mapping[str, str]

    def measure(self, surface: str) -> Measure:
        """How the rules measure a surface."""
        rule = self.library.findings[surface].measure
        assert rule is not None
        return rule

    def limit(self, surface: str) -> Limit | None:
        """The limit in force at a surface."""
        return limit_in_force(self.library, self.limits, self.facts, self.measure(surface),
                              Quantity.LENGTH)

    def limit_mm(self, surface: str) -> float:
        """The same [mm]; never looser than the reject limit."""
        limit = self.limit(surface)
        return REJECT_MM if limit is None else min(limit.value, REJECT_MM)


def wheel_so_far(opened: OpenCase, corner: CornerName) -> WheelResult | None:
    """What may be said of the wheel at a corner; None without a bead reading there."""
    entries = {each.finding: each for each in active_entries(opened.case) if each.corner == corner}
    together = readings_together(opened.case)
    read = {name: together[name, corner] for name in SURFACES if (name, corner) in together}
    rules = WheelRules(opened.library, opened.case.limits, opened.diagnosis.facts)
    return judged_wheel(rules, read, *_seen(opened, entries))


def judged_wheel(
    rules: WheelRules, read: Mapping[str, Sequence[Entry]], new: bool, mark: bool
) -> WheelResult | None:
    """What may be said of one wheel; None without a bead reading.

    Parameters
    ----------
    read : the readings that count of each bead surface, by its finding.
    new, mark : a new wheel that came by carrier; a mark of impact that is more than a scuffed lip.
    """
    if not read:
        return None
    judged = []
    for limit, names in _by_limit(rules, read).items():
        found = {SURFACES[name]: [runout_of(each, smear_of(rules.measure(name)))
                                  for each in read[name]] for name in names}
        judged.append(judge_wheel(
            {surface: runouts[0] for surface, runouts in found.items()}, limit, tire_off=True,
            new_wheel=new, impact_mark=mark,
            repeats={surface: runouts[1:] for surface, runouts in found.items()},
            contact_seen=[SURFACES[name] for name in names
                          if any(contact_seen(each) for each in read[name])],
        ))
    return joined(judged, [SURFACES[name] for name in read])


def _by_limit(rules: WheelRules, read: Iterable[str]) -> dict[float, list[str]]:
    """Surfaces by the limit in force [mm]."""
    groups: dict[float, list[str]] = {}
    for name in read:
        groups.setdefault(rules.limit_mm(name), []).append(name)
    return groups


def _seen(opened: OpenCase, entries: Mapping[str, Entry]) -> tuple[bool, bool]:
    """Whether the wheel is new by carrier, and bears a mark that is more than a scuffed lip."""
    said = {each.finding: each.value for each in active_entries(opened.case)}
    new = said.get("new_wheels") == "yes" and said.get("wheel_shipped") == "yes"
    mark = entries.get("impact_mark")
    return new, mark is not None and mark.value == "dent"
