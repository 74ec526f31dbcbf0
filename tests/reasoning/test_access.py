"""Cheapest ways, against sums by hand over the invented access graph of `garage`."""

from __future__ import annotations

import garage
import networkx as nx
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.knowledge.words import Corner, Place
from vibecheck.reasoning import access
from vibecheck.reasoning.access import Position, Ways


@pytest.fixture(scope="module")
def rules() -> Library:
    return garage.library([garage.finding("f")], [garage.cause("c", {"f": "often"})])


@pytest.mark.parametrize(
    ("state", "corner", "minutes"),
    [
        ("parked", None, 0),
        ("rolling", None, 10),
        ("raised", None, 4),
        ("wheel_off", Corner.LF, 4 + 3),
        ("tire_off", Corner.RR, 4 + 3 + 7),
        ("tire_off", None, 4 + 3 + 7),
    ],
)
def test_from_parked_in_the_bay(
    rules: Library, state: str, corner: Corner | None, minutes: float
) -> None:
    way = Ways(rules, Place.BAY).to(state, corner)

    assert (way.minutes, way.here) == (minutes, True)


@pytest.mark.parametrize(
    ("state", "corner", "minutes"),
    [
        ("tire_off", Corner.LF, 0),
        ("wheel_off", Corner.LF, 9),
        ("raised", None, 9 + 5),
        ("parked", None, 9 + 5 + 3),
        ("rolling", None, 9 + 5 + 3 + 10),
        ("tire_off", Corner.RF, 9 + 5 + 3 + 7),  # put back one corner, then open the other
        ("tire_off", None, 0),  # any corner will do
    ],
)
def test_from_tire_off_putting_back_is_counted(
    rules: Library, state: str, corner: Corner | None, minutes: float
) -> None:
    way = Ways(rules, Place.BAY, Position("tire_off", Corner.LF)).to(state, corner)

    assert (way.minutes, way.here) == (minutes, True)


def test_a_driveway_takes_longer_and_ends_at_the_wheel(rules: Library) -> None:
    ways = Ways(rules, Place.DRIVEWAY)

    assert ways.to("wheel_off", Corner.LF).minutes == 2 * (4 + 3)
    far = ways.to("tire_off", Corner.LF)
    assert (far.minutes, far.here) == (90 + 4 + 3 + 7, False)


def test_what_may_not_be_done_here_costs_a_shop_visit(rules: Library) -> None:
    way = Ways(rules, Place.DRIVEWAY).to("raised", None, here=False)

    assert (way.minutes, way.here) == (90 + 4, False)


def test_the_counter_hands_over_to_the_bay_without_a_visit(rules: Library) -> None:
    ways = Ways(rules, Place.COUNTER)

    assert ways.to("parked", None).here
    assert not ways.to("raised", None).here
    assert ways.to("raised", None).minutes == 4


def test_ways_of_another_library_are_not_mixed_up(rules: Library) -> None:
    other = garage.library([garage.finding("g")], [garage.cause("c", {"g": "often"})])

    assert other.digest != rules.digest
    assert Ways(other, Place.BAY).to("raised", None) == Ways(rules, Place.BAY).to("raised", None)


@pytest.mark.parametrize("place", list(Place))
def test_cheapest_ways_are_those_of_networkx(place: Place) -> None:
    """From every position of the project's access graph, against Dijkstra of networkx."""
    library = load(find_rules())
    key = access._Key(library.digest, library.access)
    graph = nx.DiGraph()
    for start, near in access._place_graph(key, place).items():
        graph.add_weighted_edges_from((start, to, minutes) for to, minutes in near.items())

    for start in graph:
        wanted = nx.single_source_dijkstra_path_length(graph, start)
        assert access._lengths(key, place, start) == pytest.approx(wanted)
