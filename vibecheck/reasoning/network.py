"""The rule graph of one vehicle as numbers: causes with odds, findings with strengths.

Causes and findings of corner scope stand at every corner they fit. A finding's node holds, for
each cause that names it, a row over its states: cumulative for `graded` findings (noisy-max
multiplies cumulative rows), plain for `which` findings (they mix).

Of a core finding every cause has a row. One that has no word on it takes the usual row: the mean
over the causes that have, each as heavy as it is likely before anything is said, and among the
complaints of this kind if the kind is known. So such a cause is as likely after the answer as the
causes of the complaint are on the whole: silence is no evidence. The rows make the network; how
sets are weighed does not know of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import accumulate

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Check, Finding, Spot, Strength
from vibecheck.knowledge.profile import parts_of, shares
from vibecheck.knowledge.words import Corner, Danger, Scale, Scope, Where
from vibecheck.reasoning.rates import fits, rate

Array = NDArray[np.float64]

_LEAST_WEIGHT = 1e-12
LEAST_CUMULATIVE = 1e-6  # keeps a strength from being a certainty


class CauseNode(Struct, frozen=True):
    """A cause at its corner with its prior odds, unitless."""

    spot: Spot
    rule: Cause
    odds: float


class FindingNode(Struct, frozen=True, dict=True):
    """A finding at its corner.

    `base`, shape (states,): cumulative leak (graded) or background (which).
    `rows`: cause index -> shape (states,), cumulative (graded) or plain (which).
    `usual`: causes that have the usual row, for want of a word.
    """

    spot: Spot
    rule: Finding
    graded: bool
    base: Array
    rows: dict[int, Array]
    usual: set[int] = field(default_factory=set)

    @property
    def states(self) -> tuple[str, ...]:
        """State ids in order."""
        return tuple(self.rule.states)

    @cached_property
    def named_by(self) -> NDArray[np.intp]:
        """Indices of the causes that name the finding, shape (m,)."""
        return np.array(list(self.rows), dtype=np.intp)

    @cached_property
    def table(self) -> Array:
        """Their rows, shape (m, states)."""
        return np.array(list(self.rows.values())).reshape(len(self.rows), len(self.base))


class Network(Struct, frozen=True, dict=True):
    """All causes and findings that this vehicle can have.

    `complaint` is the kind of complaint for which the usual rows hold, None while not known.
    """

    library: Library
    facts: Mapping[str, str]
    causes: tuple[CauseNode, ...]
    index: dict[Spot, int]
    findings: dict[Spot, FindingNode]
    complaint: str | None = None

    @cached_property
    def checks(self) -> dict[str, tuple[Spot, ...]]:
        """Where each check stands on this vehicle, by its id."""
        rules = self.library.checks.values()
        return {rule.id: spots(rule, self.facts) for rule in rules}

    @cached_property
    def asks(self) -> dict[Spot, tuple[Spot, ...]]:
        """For every check where it stands, the findings it yields on this vehicle."""
        library = self.library
        return {
            spot: tuple(
                each
                for finding in rule.yields
                for each in finding_spots(library.findings[finding], spot.corner)
                if each in self.findings
            )
            for rule in library.checks.values()
            for spot in self.checks[rule.id]
        }

    @cached_property
    def askers(self) -> dict[Spot, list[Spot]]:
        """For every finding at its place, the checks that yield it, where they stand."""
        found: dict[Spot, list[Spot]] = {}
        for check, seen in self.asks.items():
            for spot in seen:
                found.setdefault(spot, []).append(check)
        return found

    @cached_property
    def confirmed_by(self) -> dict[str, list[CauseNode]]:
        """For every check, the causes that it confirms."""
        found: dict[str, list[CauseNode]] = {}
        for node in self.causes:
            for check in node.rule.confirm_by:
                found.setdefault(check, []).append(node)
        return found

    @cached_property
    def dangers(self) -> dict[Danger, dict[str, list[Spot]]]:
        """The causes of each danger, with their places."""
        found: dict[Danger, dict[str, list[Spot]]] = {}
        for node in self.causes:
            found.setdefault(node.rule.danger, {}).setdefault(node.spot.id, []).append(node.spot)
        return found

    @property
    def odds(self) -> Array:
        """Prior odds of every cause, shape (causes,), unitless."""
        return np.array([node.odds for node in self.causes])


def corners(scope: Scope, where: Where, facts: Mapping[str, str]) -> Iterator[Corner | None]:
    """The corners at which a thing stands; None alone for the whole vehicle."""
    if scope is Scope.VEHICLE:
        yield None
        return
    drive = facts.get("drive", "all")
    for corner in Corner:
        at_front = (
            where is Where.ALL
            or where is Where.FRONT
            or (where is Where.DRIVEN and drive in ("front", "all"))
        )
        at_rear = (
            where is Where.ALL
            or where is Where.REAR
            or (where is Where.DRIVEN and drive in ("rear", "all"))
        )
        if at_front if corner.front else at_rear:
            yield corner


def spots(rule: Cause | Check, facts: Mapping[str, str]) -> tuple[Spot, ...]:
    """Where a cause or check stands on this vehicle; none where a known fact excludes it."""
    return tuple(
        Spot(rule.id, corner)
        for corner in corners(rule.scope, rule.where, facts)
        if fits(rule.fits, facts, corner)
    )


def finding_spots(finding: Finding, corner: Corner | None) -> tuple[Spot, ...]:
    """The spots of a finding as seen from a cause or check at `corner`."""
    if finding.scope is Scope.VEHICLE:
        return (Spot(finding.id),)
    if corner is not None:
        return (Spot(finding.id, corner),)
    return tuple(Spot(finding.id, each) for each in Corner)


def build(
    library: Library,
    facts: Mapping[str, str],
    computed: Mapping[tuple[str, str], Array] | None = None,
    complaint: str | None = None,
) -> Network:
    """Expand the library for one vehicle.

    Parameters
    ----------
    library : checked rules.
    facts : known vehicle facts; an unknown fact removes nothing.
    computed : rows that follow from physics, (cause id, finding id) -> shape (states,), summing
        to 1 [unitless].
    complaint : state of the finding that tells the kind of complaint, if it is known.
    """
    causes = tuple(
        CauseNode(spot, cause, _odds(rate(library, cause, facts, spot.corner)))
        for cause in library.causes.values()
        for spot in spots(cause, facts)
    )
    findings = {
        spot: FindingNode(spot, finding, finding.scale is Scale.GRADED, base, {})
        for finding in library.findings.values()
        for base in (_base(library, finding),)
        for spot in finding_spots(finding, None)
        if fits(finding.fits, facts, spot.corner)
    }
    writer = _RowWriter(library, findings, computed or {})
    for position, node in enumerate(causes):
        writer.write(position, node)
    _fill_core(library, causes, findings, complaint)
    index = {node.spot: position for position, node in enumerate(causes)}
    return Network(library, dict(facts), causes, index, findings, complaint)


def _fill_core(
    library: Library, causes: tuple[CauseNode, ...], findings: Mapping[Spot, FindingNode],
    complaint: str | None,
) -> None:  # fmt: skip
    """Give every cause a row of every core finding."""
    weights = np.array([node.odds for node in causes])
    if library.complaint is not None:
        kinds = findings[Spot(library.complaint)]
        _fill(kinds, weights)
        if complaint is not None and causes:
            state = kinds.states.index(complaint)
            weights = weights * [kinds.rows[cause][state] for cause in range(len(causes))]
    for name in library.core:
        for spot in finding_spots(library.findings[name], None):
            if spot in findings and name != library.complaint:
                _fill(findings[spot], weights)


def _fill(finding: FindingNode, weights: Array) -> None:
    """Give the causes without a row the mean of the others, of these weights (causes,)."""
    if not finding.rows:
        return
    # The node keeps no table yet: its rows are still being written.
    heavy = np.maximum(weights[list(finding.rows)], _LEAST_WEIGHT)
    usual: Array = heavy @ np.array(list(finding.rows.values())) / heavy.sum()
    finding.usual.update(set(range(len(weights))) - finding.rows.keys())
    finding.rows.update(dict.fromkeys(sorted(finding.usual), usual))


class _RowWriter:
    """Writes each cause's rows into the finding nodes; equal words share one array."""

    def __init__(
        self,
        library: Library,
        findings: dict[Spot, FindingNode],
        computed: Mapping[tuple[str, str], Array],
    ) -> None:
        self.library = library
        self.findings = findings
        self._arrays: dict[tuple[str, str | tuple[tuple[str, str], ...]], Array] = {}
        self._parts: dict[int, dict[str, Array]] = {}
        self._places: dict[tuple[str, Corner | None], tuple[dict[int, Array], ...]] = {}
        self._physics: dict[str, dict[str, Array]] = {}
        for (cause, finding), row in computed.items():
            self._physics.setdefault(cause, {})[finding] = row

    def write(self, position: int, node: CauseNode) -> None:
        corner = node.spot.corner
        for finding_id, row in self._says(node).items():
            key = (finding_id, corner)
            places = self._places.get(key)
            if places is None:
                places = self._places[key] = self._placed(finding_id, corner)
            for rows in places:
                rows[position] = row

    def _placed(self, finding_id: str, corner: Corner | None) -> tuple[dict[int, Array], ...]:
        """The rows of a finding as seen from a cause at `corner`."""
        spots = finding_spots(self.library.findings[finding_id], corner)
        return tuple(self.findings[spot].rows for spot in spots if spot in self.findings)

    def _says(self, node: CauseNode) -> dict[str, Array]:
        """What a cause shows where it stands, finding by finding."""
        rule, corner = node.rule, node.spot.corner
        rows: dict[str, Array] = {}
        for part in parts_of(rule, corner):
            rows |= self._rows_of(part)
        return rows | self._physics.get(rule.id, {})

    def _rows_of(self, part: Mapping[str, Strength]) -> dict[str, Array]:
        """The rows of words that a cause has in common at several corners."""
        key = id(part)  # the library, and with it the part, outlives the writer
        if key not in self._parts:
            self._parts[key] = {name: self._row(name, word) for name, word in part.items()}
        return self._parts[key]

    def _row(self, finding_id: str, strength: Strength) -> Array:
        key = (finding_id, strength if isinstance(strength, str) else tuple(strength.items()))
        row = self._arrays.get(key)
        if row is None:
            finding = self.library.findings[finding_id]
            row = self._arrays[key] = _row_of(self.library, finding, strength)
        return row


def _base(library: Library, finding: Finding) -> Array:
    if finding.scale is Scale.GRADED:
        return _row_of(library, finding, finding.leak)
    if finding.background:
        return _row_of(library, finding, finding.background)
    return np.full(len(finding.states), 1.0 / len(finding.states))


def _row_of(library: Library, finding: Finding, strength: Strength) -> Array:
    """The row of a strength: cumulative for a graded finding, plain for a `which` finding."""
    row = shares(list(finding.states), strength, library.strengths)
    if finding.scale is Scale.GRADED:
        row = [min(max(each, LEAST_CUMULATIVE), 1.0) for each in accumulate(row[:-1])]
        row.append(1.0)
    return np.array(row)


def _odds(probability: float) -> float:
    return probability / (1.0 - probability)
