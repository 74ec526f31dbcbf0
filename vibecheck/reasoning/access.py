"""What it costs to get to an access state: the cheapest way through the access graph.

A position is an access state, at a corner if the state is of corner scope. Opening up one corner
from another leads back through the state they share, so putting back is counted.
"""

from __future__ import annotations

import heapq
from functools import lru_cache
from typing import NamedTuple

from msgspec import Struct

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Access
from vibecheck.knowledge.words import Corner, Place, Scope


class Position(NamedTuple):
    """How far the car is opened up, and where."""

    state: str
    corner: Corner | None = None


class Way(Struct, frozen=True):
    """The minutes to a position, and whether it can be reached at this place."""

    minutes: float
    here: bool


class Ways:
    """Cheapest ways from one position at one place; elsewhere means a visit to the bay."""

    def __init__(self, library: Library, place: Place, position: Position | None = None) -> None:
        self._access = library.access
        start = Position(self._access.places[place].start)
        self.place = place
        self.position = position or start
        self._scopes = {state.id: state.scope for state in self._access.states}
        key = _Key(library.digest, self._access)
        self._here = _lengths(key, place, self.position)
        bay = Position(self._access.places[Place.BAY].start)
        self._bay = _lengths(key, Place.BAY, bay)
        self._visit = self._access.shop_visit_minutes if place is Place.DRIVEWAY else 0.0

    def to(self, state: str, corner: Corner | None, *, here: bool = True) -> Way:
        """The way to a state at a corner (any corner if None is given for a corner state)."""
        targets = self._targets(state, corner)
        near = min((self._here[spot] for spot in targets if spot in self._here), default=None)
        if here and near is not None:
            return Way(near, True)
        far = min((self._bay[spot] for spot in targets if spot in self._bay), default=0.0)
        return Way(far + self._visit, False)

    def _targets(self, state: str, corner: Corner | None) -> list[Position]:
        if self._scopes.get(state) is not Scope.CORNER:
            return [Position(state)]
        if corner is not None:
            return [Position(state, corner)]
        return [Position(state, each) for each in Corner]


class _Key:
    """Lets the access graph be cached by the library's digest."""

    def __init__(self, digest: str, access: Access) -> None:
        self.digest = digest
        self.access = access

    def __hash__(self) -> int:
        return hash(self.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.digest == other.digest


@lru_cache(maxsize=16)
def _place_graph(key: _Key, place: Place) -> dict[Position, dict[Position, float]]:
    """For every position the neighbors that can be reached from it, with the minutes."""
    access = key.access
    scopes = {state.id: state.scope for state in access.states}
    graph: dict[Position, dict[Position, float]] = {}
    for move in access.places[place].moves:
        for corner in Corner:
            start = _at(move.start, corner, scopes)
            to = _at(move.to, corner, scopes)
            graph.setdefault(start, {})[to] = move.minutes
            graph.setdefault(to, {})[start] = move.back
    return graph


@lru_cache(maxsize=256)
def _lengths(key: _Key, place: Place, start: Position) -> dict[Position, float]:
    """Minutes from a position to every other that can be reached (Dijkstra's shortest paths)."""
    graph = _place_graph(key, place)
    lengths: dict[Position, float] = {}
    found = 0  # keeps the order of equals, so that positions are never compared
    waiting = [(0.0, found, start)]
    while waiting:
        minutes, _, here = heapq.heappop(waiting)
        if here in lengths:
            continue
        lengths[here] = minutes
        for near, more in graph.get(here, {}).items():
            if near not in lengths:
                found += 1
                heapq.heappush(waiting, (minutes + more, found, near))
    return lengths


def _at(state: str, corner: Corner, scopes: dict[str, Scope]) -> Position:
    return Position(state, corner if scopes[state] is Scope.CORNER else None)
