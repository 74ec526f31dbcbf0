"""The rule graph of one vehicle as numbers: causes with odds, findings with strengths.

Causes and findings of corner scope stand at every corner they fit. A finding's node holds, for
each cause that names it, a row over its states: cumulative for `graded` findings (noisy-max
multiplies cumulative rows), plain for `which` findings (they mix).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Check, Finding, Fits, Spot, Strength
from vibecheck.knowledge.words import Corner, Scale, Scope, Where

Array = NDArray[np.float64]

UNNAMED_SHARE = 0.01  # weight of a state that a map of words does not name
LEAST_CUMULATIVE = 1e-6  # keeps a strength from being a certainty


@dataclass(frozen=True)
class CauseNode:
    """A cause at its corner with its prior odds, unitless."""

    spot: Spot
    rule: Cause
    odds: float


@dataclass(frozen=True)
class FindingNode:
    """A finding at its corner.

    `base`, shape (states,): cumulative leak (graded) or background (which).
    `rows`: cause index -> shape (states,), cumulative (graded) or plain (which).
    """

    spot: Spot
    rule: Finding
    graded: bool
    base: Array
    rows: dict[int, Array]

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


@dataclass(frozen=True)
class Network:
    """All causes and findings that this vehicle can have."""

    library: Library
    facts: Mapping[str, str]
    causes: tuple[CauseNode, ...]
    index: dict[Spot, int]
    findings: dict[Spot, FindingNode]

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
            for spot in spots(rule, self.facts)
        }

    @property
    def odds(self) -> Array:
        """Prior odds of every cause, shape (causes,), unitless."""
        return np.array([node.odds for node in self.causes])


def fits(needs: Fits, facts: Mapping[str, str], corner: Corner | None = None) -> bool:
    """False only where a known fact excludes the thing.

    At a corner, a fact of the other axle ("rear_brake" at the front) says nothing.
    """
    other = {None: None, True: "rear_", False: "front_"}[corner.front if corner else None]
    return all(
        fact not in facts or facts[fact] in values
        for fact, values in needs.items()
        if other is None or not fact.startswith(other)
    )


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
) -> Network:
    """Expand the library for one vehicle.

    Parameters
    ----------
    library : checked rules.
    facts : known vehicle facts; an unknown fact removes nothing.
    computed : rows that follow from physics, (cause id, finding id) -> shape (states,), summing
        to 1 [unitless].
    """
    causes = tuple(
        CauseNode(spot, cause, _odds(library.rate(cause.rate)))
        for cause in library.causes.values()
        for spot in spots(cause, facts)
    )
    findings = {
        spot: FindingNode(spot, finding, finding.scale is Scale.GRADED, _base(library, finding), {})
        for finding in library.findings.values()
        for spot in finding_spots(finding, None)
        if fits(finding.fits, facts, spot.corner)
    }
    writer = _RowWriter(library, findings, computed or {})
    for position, node in enumerate(causes):
        writer.write(position, node)
    index = {node.spot: position for position, node in enumerate(causes)}
    return Network(library, dict(facts), causes, index, findings)


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
        self.computed = computed
        self.cache: dict[tuple[str, str], Array] = {}
        self.physics: dict[str, list[tuple[str, Array]]] = {}
        for (cause, finding), row in computed.items():
            self.physics.setdefault(cause, []).append((finding, row))

    def write(self, position: int, node: CauseNode) -> None:
        corner = node.spot.corner
        shows: dict[str, Strength] = dict(node.rule.shows)
        if corner is not None:
            shows.update(node.rule.shows_front if corner.front else node.rule.shows_rear)
        for finding_id, strength in shows.items():
            row = self._row(finding_id, strength)
            self._place(position, finding_id, corner, row)
        for finding_id, row in self.physics.get(node.rule.id, []):
            self._place(position, finding_id, corner, row)

    def _place(self, position: int, finding_id: str, corner: Corner | None, row: Array) -> None:
        finding = self.library.findings[finding_id]
        for spot in finding_spots(finding, corner):
            if spot in self.findings:
                self.findings[spot].rows[position] = row

    def _row(self, finding_id: str, strength: Strength) -> Array:
        key = (finding_id, repr(strength))
        if key not in self.cache:
            finding = self.library.findings[finding_id]
            shares = distribution(self.library, finding, strength)
            graded = finding.scale is Scale.GRADED
            self.cache[key] = _cumulative(shares) if graded else shares
        return self.cache[key]


def distribution(library: Library, finding: Finding, strength: Strength) -> Array:
    """Chance of each state given the cause alone, shape (states,), summing to 1 [unitless].

    A single word is the chance of "not normal", shared equally by the states that are not
    normal. A map gives each named state its word as a weight.
    """
    states = list(finding.states)
    if isinstance(strength, str):
        chance = library.strength(strength)
        rest = chance / (len(states) - 1)
        return np.array([1.0 - chance] + [rest] * (len(states) - 1))
    weights = np.array(
        [
            library.strength(strength[state]) if state in strength else UNNAMED_SHARE
            for state in states
        ]
    )
    shares: Array = weights / weights.sum()
    return shares


def _base(library: Library, finding: Finding) -> Array:
    if finding.scale is Scale.GRADED:
        return _cumulative(distribution(library, finding, finding.leak))
    if finding.background:
        return distribution(library, finding, finding.background)
    return np.full(len(finding.states), 1.0 / len(finding.states))


def _cumulative(shares: Array) -> Array:
    sums = np.maximum(np.cumsum(shares), LEAST_CUMULATIVE)
    sums[-1] = 1.0
    return np.minimum(sums, 1.0)


def _odds(probability: float) -> float:
    return probability / (1.0 - probability)
