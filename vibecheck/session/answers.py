"""From what a person typed to an entry: "bead_radial_inboard@LF=0.49mm +/- 0.02".

Everything is checked before anything is kept: the finding, its corner, and that the value is one
of its states or a possible measured value.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from vibecheck.casebook.case import CornerName
from vibecheck.casebook.journal import Draft
from vibecheck.errors import InputError, ReadingError, VehicleError, did_you_mean
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Measure
from vibecheck.knowledge.words import Corner, Scope
from vibecheck.metrology.units.values import Measured, Quantity, parse, show
from vibecheck.reasoning.rates import fits

UNSURE = "unsure"
_UNSURE_WORDS = {"unsure", "not sure", "?", "unknown", "don't know", "dont know"}
_CORNERS: dict[str, CornerName] = {
    **{corner.value.lower(): corner.value for corner in Corner},
    **{corner.spoken: corner.value for corner in Corner},
    **{corner.spoken.replace(" ", "_"): corner.value for corner in Corner},
}


class Assignment(Struct, frozen=True):
    """One answer as typed; `readings` and `angles` are the single readings behind a value."""

    finding: str
    value: str
    corner: str | None = None
    readings: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()

    @property
    def spoken(self) -> str:
        """The finding as typed, for messages."""
        return f"{self.finding}@{self.corner}" if self.corner else self.finding


def parse_assignment(text: str) -> Assignment:
    """Split FINDING[@CORNER]=VALUE.

    Raises
    ------
    InputError : no "=", or nothing before or after it.
    """
    name, equals, value = text.partition("=")
    finding, _, corner = name.strip().partition("@")
    if not equals or not finding.strip() or not value.strip():
        raise InputError(
            f"'{_short(text)}' is not an answer",
            "",
            "write FINDING=VALUE or FINDING@CORNER=VALUE, for example bead_radial_inboard@LF=0.3mm",
        )
    return Assignment(finding.strip(), value.strip(), corner.strip() or None)


def drafts(
    library: Library,
    facts: Mapping[str, str],
    assignments: Sequence[Assignment],
    check: str = "",
    where: str = "",
) -> tuple[Draft, ...]:
    """Entries for all answers, or a complaint about the first that cannot be used.

    Raises
    ------
    InputError family : unknown finding, corner or state, an impossible value, or two different
        answers to one finding.
    """
    made: dict[tuple[str, str | None], Draft] = {}
    for assignment in assignments:
        draft = draft_of(library, facts, assignment, check, where)
        key = (draft.finding, draft.corner)
        if key in made and made[key].value != draft.value:
            raise InputError(
                f"'{made[key].value}' and '{draft.value}' contradict each other",
                _place(where, assignment.spoken),
                "give one answer to each finding",
            )
        made[key] = draft
    return tuple(made.values())


def draft_of(
    library: Library,
    facts: Mapping[str, str],
    assignment: Assignment,
    check: str = "",
    where: str = "",
) -> Draft:
    """The entry for one answer. See `drafts` for what is raised."""
    finding = finding_named(library, assignment.finding, where)
    at = _place(where, assignment.spoken)
    if not fits(finding.fits, facts):
        raise VehicleError(
            "this vehicle cannot have that finding",
            at,
            "check its facts with 'vibecheck show'",
        )
    corner = corner_of(finding, assignment.corner, at)
    value, measured = read_value(finding, assignment.value, at)
    return Draft(
        kind="reading" if measured else "answer",
        finding=finding.id,
        corner=corner,
        value=value,
        check=check,
        readings=assignment.readings,
        angles=assignment.angles,
    )


def finding_named(library: Library, name: str, where: str = "") -> Finding:
    """The finding with this id.

    Raises
    ------
    InputError : there is none; the nearest ids are named.
    """
    finding = library.findings.get(name)
    if finding is None:
        hint = did_you_mean(name, library.findings, "list them with 'vibecheck findings'")
        raise InputError(f"there is no finding '{_short(name)}'", where, hint)
    return finding


def corner_of(finding: Finding, name: str | None, where: str = "") -> CornerName | None:
    """The corner of an answer, or None for a finding of the whole vehicle.

    Raises
    ------
    VehicleError : a corner is missing, not wanted, or none that a car has.
    """
    if finding.scope is Scope.VEHICLE:
        if name:
            raise VehicleError(
                f"'{finding.id}' belongs to the whole vehicle, not to a corner",
                where,
                f"write {finding.id}=VALUE",
            )
        return None
    if not name:
        raise VehicleError(
            f"'{finding.id}' needs a corner", where, f"write {finding.id}@LF=VALUE, or RF, LR, RR"
        )
    return corner_named(name, where)


def corner_named(name: str, where: str = "") -> CornerName:
    """The corner a person means: LF, RF, LR, RR, or in words.

    Raises
    ------
    VehicleError : no such corner.
    """
    corner = _CORNERS.get(" ".join(name.lower().split()))
    if corner is None:
        raise VehicleError(
            f"the car has no corner '{_short(name)}'",
            where,
            "write LF, RF, LR or RR (left front, right front, left rear, right rear)",
        )
    return corner


def read_value(finding: Finding, typed: str, where: str = "") -> tuple[str, bool]:
    """A state id, "unsure", or a measured value as typed; and whether it is measured.

    Raises
    ------
    InputError : no state of the finding.
    ReadingError : a value that cannot be read or cannot be.
    """
    plain = " ".join(typed.split())
    lowered = plain.lower()
    if lowered in _UNSURE_WORDS:
        return UNSURE, False
    for state, label in finding.states.items():
        if lowered in (state, state.replace("_", " "), label.lower()):
            return state, False
    if finding.measure is not None:
        measured(finding.measure, plain, where)
        return plain, True
    raise InputError(
        f"'{_short(plain)}' is no answer to '{finding.name}'",
        where,
        f"write one of {', '.join(finding.states)} or {UNSURE}",
    )


def measured(measure: Measure, typed: str, where: str = "") -> Measured:
    """A typed value, checked against what is possible for its finding.

    Raises
    ------
    ReadingError : not a value of that quantity, or outside the possible range.
    """
    quantity = Quantity(measure.quantity)
    found = parse(typed, quantity, measure.unit, where)
    low = parse(f"{measure.lowest} {measure.unit}", quantity).value
    high = parse(f"{measure.highest} {measure.unit}", quantity).value
    if not low <= found.value <= high:
        spoken = show(found.value, quantity, measure.unit)
        raise ReadingError(
            f"{spoken} is impossible here",
            where,
            f"write a value from {measure.lowest:g} to {measure.highest:g} {measure.unit}".strip(),
        )
    return found


def _place(where: str, what: str) -> str:
    return f"{where}: {_short(what)}" if where else _short(what)


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
