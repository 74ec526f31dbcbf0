"""Confirmed visits drawn from a world whose rates and strengths differ from the written ones.

The world is the rules' own network with every rate and every strength off by chance; strengths on
the kind of complaint stay, since visits are taken by it. A visit has one fault, drawn by the true
rates, the facts of one of a few cars, and answers drawn from the true strengths.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.evidence import hard
from vibecheck.reasoning.network import FindingNode, Network
from vibecheck.session.inference import network_of
from vibecheck.session.learning import key_of
from vibecheck.session.outcomes import Closed, OutcomeStanding, can_be_put_right

Array = NDArray[np.float64]
CARS: tuple[dict[str, str], ...] = (
    {}, {"drive": "front", "transmission": "automatic"},
    {"drive": "rear", "propulsion": "electric"},
)  # fmt: skip
ASKED, OFF_TOPIC = 14, 4  # answers about the fault of a visit, and others
OFF = 0.7  # spread of a rate or strength about the written one, in log odds [nat]: about one word


@dataclass(frozen=True)
class World:
    """Truth: what the rules' rates are multiplied by, and the seed of its strengths."""

    library: Library
    factors: Mapping[str, float]
    seed: int
    off: float
    _networks: dict[str | None, Network] = field(default_factory=dict)
    _rows: dict[tuple[str | None, int, Spot], Array] = field(default_factory=dict)
    _asked: dict[tuple[str, int], tuple[list[Spot], list[Spot]]] = field(default_factory=dict)

    @cached_property
    def cars(self) -> list[tuple[dict[str, str], list[Spot], Array]]:
        """For each car its facts, its causes at their places, and how often each is there."""
        found = []
        for facts in CARS:
            causes = network_of(self.library, facts).causes
            weights = np.array([
                node.odds * self.factors[node.spot.id] * can_be_put_right(self.library, node.rule)
                for node in causes
            ])
            found.append((facts, [node.spot for node in causes], weights / weights.sum()))
        return found

    def network(self, complaint: str | None = None) -> Network:
        """The rules for any car with this complaint."""
        if complaint not in self._networks:
            self._networks[complaint] = network_of(self.library, {}, complaint)
        return self._networks[complaint]

    def findings(self, network: Network, index: int) -> tuple[list[Spot], list[Spot]]:
        """The findings on which a cause has a word, but for the complaint, and the others."""
        key = (str(network.complaint), index)
        if key not in self._asked:
            kind = self.library.complaint
            self._asked[key] = (
                [spot for spot, node in network.findings.items()
                 if index in node.rows and index not in node.usual and spot.id != kind],
                [spot for spot, node in network.findings.items() if index not in node.rows],
            )  # fmt: skip
        return self._asked[key]

    def row(self, network: Network, index: int, node: FindingNode) -> Array:
        """The true chance of each state with this cause alone, shape (states,)."""
        key = (network.complaint, index, node.spot)
        if key not in self._rows:
            self._rows[key] = self._row(network, index, node)
        return self._rows[key]

    def _row(self, network: Network, index: int, node: FindingNode) -> Array:
        written = node.base * node.rows[index] if node.graded else node.rows[index]
        shares = np.diff(written, prepend=0.0) if node.graded else written
        cause = network.causes[index]
        if index in node.usual or node.rule.id == self.library.complaint or not self.off:
            return np.asarray(shares)
        key = key_of(cause.rule, cause.spot, node.rule.id)
        rng = np.random.default_rng([self.seed, zlib.crc32(repr(key).encode())])
        shares = np.maximum(shares, 1e-9) * np.exp(rng.normal(0.0, self.off, len(shares)))
        return np.asarray(shares / shares.sum())


def world_of(library: Library, seed: int, off: float = OFF) -> World:
    """A world as far off the rules as `off` says [nat]."""
    rng = np.random.default_rng([seed, 1])
    factors = {name: float(np.exp(rng.normal(0.0, off))) for name in library.causes}
    return World(library, factors, seed, off)


def draw(world: World, count: int, prefix: str = "v") -> list[Closed]:
    """Confirmed visits of a world."""
    rng = np.random.default_rng([world.seed, 2])
    return [_visit(world, f"{prefix}{number}", rng) for number in range(count)]


def _visit(world: World, name: str, rng: np.random.Generator) -> Closed:
    library = world.library
    facts, places, chances = world.cars[int(rng.integers(len(CARS)))]
    spot = places[int(rng.choice(len(places), p=chances))]
    whole = world.network()
    index = whole.index[spot]
    kind = Spot(str(library.complaint))
    complaint = _state(world, whole, index, whole.findings[kind], rng)
    network = world.network(complaint)
    named, others = world.findings(network, index)
    asked = [named[i] for i in rng.permutation(len(named))[:ASKED]]
    asked += [others[i] for i in rng.permutation(len(others))[:OFF_TOPIC]]
    evidence = {kind: hard(network.findings[kind], complaint)}
    for finding in asked:
        node = network.findings[finding]
        evidence[finding] = hard(node, _state(world, network, index, node, rng))
    return Closed(name, OutcomeStanding.CONFIRMED, complaint, spot, facts, evidence)


def _state(
    world: World, network: Network, index: int, node: FindingNode, rng: np.random.Generator
) -> str:
    if index in node.rows:
        shares = world.row(network, index, node)
    else:
        shares = np.diff(node.base, prepend=0.0) if node.graded else node.base
    shares = np.maximum(shares, 0.0)
    return node.states[int(rng.choice(len(shares), p=shares / shares.sum()))]
