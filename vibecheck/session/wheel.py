"""The wheel so far: what the bead surfaces in a case say of one wheel together.

A bead surface is read with the tire off, so whatever a case holds of one was. Where radial and
lateral have different limits in force, each kind is judged against its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from vibecheck.calculators.runout import measure
from vibecheck.calculators.wheel import SURFACES, WheelResult, joined
from vibecheck.casebook.case import CornerName, Entry
from vibecheck.casebook.journal import active_entries
from vibecheck.errors import InputError
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.runout.wheel_verdict import REJECT_MM, Surface, judge_wheel
from vibecheck.metrology.units.values import Quantity, parse, show
from vibecheck.session.limits import limit_in_force
from vibecheck.session.open_case import OpenCase


def wheel_so_far(desk: OpenCase, corner: CornerName) -> WheelResult | None:
    """What may be said of the wheel at a corner; None without a bead reading there."""
    entries = {each.finding: each for each in active_entries(desk.case) if each.corner == corner}
    read = {name: entries[name] for name in SURFACES
            if name in entries and entries[name].kind == "reading"}
    if not read:
        return None
    new, mark = _seen(desk, entries)
    judged = [judge_wheel(group, limit, tire_off=True, new_wheel=new, impact_mark=mark)
              for limit, group in _by_limit(desk, read).items()]
    return joined(judged, [SURFACES[name] for name in read])


def _by_limit(desk: OpenCase, read: Mapping[str, Entry]) -> dict[float, dict[Surface, Runout]]:
    """Runouts by the limit in force for them [mm]; a limit is never looser than the reject one."""
    groups: dict[float, dict[Surface, Runout]] = {}
    for name, entry in read.items():
        rule = desk.library.findings[name].measure
        assert rule is not None
        limit = limit_in_force(desk.library, desk.case.limits, desk.diagnosis.facts, rule,
                               Quantity.LENGTH)
        value = REJECT_MM if limit is None else min(limit.value, REJECT_MM)
        groups.setdefault(value, {})[SURFACES[name]] = _runout(entry)
    return groups


def _runout(entry: Entry) -> Runout:
    """The runout behind an entry: from its single readings if it has them, else from its value.

    The value and uncertainty of an entry are those judged, with what readings may have missed.
    """
    value = parse(entry.value, Quantity.LENGTH)
    spread = "" if value.uncertainty is None else show(value.uncertainty, Quantity.LENGTH)
    if len(entry.readings) > 2 and len(entry.readings) == len(entry.angles):
        try:
            found = measure({"readings": ";".join(entry.readings),
                             "angles": " ".join(entry.angles)})
        except InputError:  # readings written by hand into the file; the value itself is checked
            pass
        else:
            if value.uncertainty is None:
                return found
            own = max(value.uncertainty - found.unseen_mm / 2.0, 0.0)
            return replace(found, uncertainty_mm=own)
    return measure({"tir": entry.value, "uncertainty": spread})


def _seen(desk: OpenCase, entries: Mapping[str, Entry]) -> tuple[bool, bool]:
    """Whether the wheel is new by carrier, and bears a mark that is more than a scuffed lip."""
    said = {each.finding: each.value for each in active_entries(desk.case)}
    new = said.get("new_wheels") == "yes" and said.get("wheel_shipped") == "yes"
    mark = entries.get("impact_mark")
    return new, mark is not None and mark.value == "dent"
