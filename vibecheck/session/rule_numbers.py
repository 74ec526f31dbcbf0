"""Numbers that the rules amount to: what is behind each kind of complaint, and how far a part that
is seen bad is believed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Spot
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.evidence import hard
from vibecheck.reasoning.network import Network
from vibecheck.reasoning.rates import fits
from vibecheck.session.inference import network_of

LOUD = "vibration"  # the finding whose worst state is "one strong complaint" beside the kind


@dataclass(frozen=True)
class Behind:
    """The share of one kind of complaint that each cause is behind [unitless], largest first."""

    complaint: str
    shares: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class SeenPart:
    """A finding in a state that is its cause, and the probability of that cause when seen.

    `complaint` is the kind of complaint that the cause brings most often; `first` is the cause
    that leads.
    """

    cause: str
    finding: str
    state: str
    complaint: str
    probability: float
    first: str


def behind(library: Library, facts: Mapping[str, str]) -> tuple[Behind, ...]:
    """For each kind of complaint, how often each cause is behind it on cars with these facts.

    A cause counts over all its corners: rate times the chance that it brings such a complaint,
    over the sum of all. Empty for a library without a kind of complaint.
    """
    if library.complaint is None:
        return ()
    network = network_of(library, facts)
    node = network.findings[Spot(library.complaint)]
    table = np.array([node.rows[index] for index in range(len(network.causes))])
    odds = network.odds
    rates = odds / (1.0 + odds)
    found = []
    for column, state in enumerate(node.states):
        shares: dict[str, float] = {}
        for cause, part in zip(network.causes, rates * table[:, column], strict=True):
            shares[cause.spot.id] = shares.get(cause.spot.id, 0.0) + float(part)
        total = sum(shares.values()) or 1.0
        ordered = sorted(shares.items(), key=lambda item: (-item[1], item[0]))
        found.append(Behind(state, tuple((name, part / total) for name, part in ordered)))
    return tuple(found)


def seen_parts(library: Library) -> tuple[SeenPart, ...]:
    """Every part that was seen bad, with one strong complaint, and how far it is believed."""
    return tuple(
        found for cause in library.causes.values() for found in _seen_parts(library, cause)
    )


def _seen_parts(library: Library, cause: Cause) -> Iterator[SeenPart]:
    facts = {fact: values[0] for fact, values in cause.fits.items()}
    plain = network_of(library, facts)
    spots = [spot for spot in plain.index if spot.id == cause.id]
    if not spots or not cause.seen_as:
        return
    spot = spots[0]
    complaint = _usual_complaint(library, plain, spot)
    network = network_of(library, facts, complaint)
    evidence = {}
    if complaint is not None:
        node = network.findings[Spot(str(library.complaint))]
        evidence[node.spot] = hard(node, complaint)
    if Spot(LOUD) in network.findings:
        node = network.findings[Spot(LOUD)]
        evidence[node.spot] = hard(node, node.states[-1])
    for finding, states in cause.seen_as.items():
        at = Spot(finding, spot.corner) if Spot(finding) not in network.findings else Spot(finding)
        if at not in network.findings or not fits(library.findings[finding].fits, facts):
            continue
        for state in states:
            belief = believe(network, {**evidence, at: hard(network.findings[at], state)})
            first = network.causes[int(np.argmax(belief.chances))].spot.id
            chance = float(belief.chances[network.index[spot]])
            yield SeenPart(cause.id, finding, state, complaint or "", chance, first)


def _usual_complaint(library: Library, network: Network, spot: Spot) -> str | None:
    """The kind of complaint that a cause brings most often, but for none at all."""
    if library.complaint is None:
        return None
    node = network.findings[Spot(library.complaint)]
    row = node.rows[network.index[spot]]
    brought = [state for state in range(len(row)) if row[state] and node.base[state] < 0.5]  # noqa: PLR2004
    return node.states[max(brought, key=lambda state: row[state])] if brought else None
