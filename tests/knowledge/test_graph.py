"""The typed graph of the rules, and how it is written for tools that draw graphs."""

from __future__ import annotations

import shutil
from pathlib import Path

import networkx as nx
import pytest

from vibecheck.knowledge import drawing, graph
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load

SMALL = Path(__file__).parent / "small_rules"


@pytest.fixture(scope="module")
def whole(small: Library) -> nx.DiGraph:
    return graph.build(small)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> nx.DiGraph:
    """The small rules with a name that would break out of DOT if it were not escaped."""
    folder = tmp_path_factory.mktemp("hostile") / "rules"
    shutil.copytree(SMALL, folder)
    path = folder / "causes.yaml"
    name = 'name: "</text><script>alert(1)</script> [/bad] \\" \\\\ \\e[31m & ]]> \\n -> {x}"'
    text = path.read_text(encoding="utf-8").replace("name: Bent hoop", name)
    path.write_text(text, encoding="utf-8")
    return graph.build(load(folder))


def edges(of: nx.DiGraph, kind: str) -> set[tuple[str, str]]:
    return {(a[1], b[1]) for a, b, data in of.edges(data=True) if data["kind"] == kind}


def test_nodes_carry_their_kind_and_name(whole: nx.DiGraph) -> None:
    assert {"kind": "cause", "name": "Bent hoop"} == whole.nodes["cause", "bent_hoop"]
    assert {"finding": 5, "cause": 2, "check": 2, "remedy": 2, "caution": 2} == {
        kind: sum(data == kind for _, data in whole.nodes(data="kind"))
        for kind in ("finding", "cause", "check", "remedy", "caution")
    }


def test_edges_of_every_kind(whole: nx.DiGraph) -> None:
    assert {
        ("shake", "bent_hoop"), ("wobble", "bent_hoop"), ("shake", "loose_wheel"),
        ("side", "loose_wheel"), ("loose", "loose_wheel"),
    } == edges(whole, "strength")  # fmt: skip
    assert {("worst_speed", "bent_hoop")} == edges(whole, "computed")
    assert {("bent_hoop", "measure_wobble"), ("loose_wheel", "look_at_wheel")} == edges(
        whole, "confirm_by"
    )
    assert {("look_at_wheel", "loose"), ("measure_wobble", "wobble")} == edges(whole, "yields")
    assert {("look_at_wheel", "measure_wobble")} == edges(whole, "ask_after")
    assert {("bent_hoop", "new_hoop"), ("loose_wheel", "tighten")} == edges(whole, "remedy")
    assert {("loose_wheel", "stop_loose"), ("loose", "stop_loose")} == edges(whole, "caution")


def test_a_strength_edge_carries_its_words_for_each_axle(whole: nx.DiGraph) -> None:
    edge = whole.edges[("finding", "shake"), ("cause", "bent_hoop")]

    assert {"kind": "strength", "word": "usually", "front": "often"} == edge


def test_paths_lead_from_the_finding_over_the_cause_to_its_check(whole: nx.DiGraph) -> None:
    assert [("shake", "bent_hoop", "measure_wobble")] == [
        tuple(name for _, name in path) for path in graph.paths(whole, "bent_hoop", "shake")
    ]
    assert [] == graph.paths(whole, "bent_hoop", "side")
    assert [] == graph.paths(whole, "no_such_cause", "shake")


def test_the_live_part_holds_what_matters_to_the_causes(whole: nx.DiGraph) -> None:
    part = graph.live_part(whole, ["bent_hoop", "no_such_cause"])

    assert {
        ("cause", "bent_hoop"), ("finding", "shake"), ("finding", "wobble"),
        ("finding", "worst_speed"), ("check", "measure_wobble"), ("check", "look_at_wheel"),
        ("remedy", "new_hoop"),
    } == set(part)  # fmt: skip
    assert 0 == len(graph.live_part(whole, []))


def test_the_live_part_keeps_the_cautions(whole: nx.DiGraph) -> None:
    assert ("caution", "stop_loose") in graph.live_part(whole, ["loose_wheel"])


def test_dot_quotes_every_text(hostile: nx.DiGraph) -> None:
    text = drawing.dot(hostile)
    inside = False
    bare = []
    at = 0
    while at < len(text):
        if inside and text[at] == "\\":
            at += 1
        elif text[at] == '"':
            inside = not inside
        elif not inside:
            bare.append(text[at])
        at += 1

    assert not inside
    assert "bad" not in "".join(bare)
    assert 1 == "".join(bare).count("{")
    assert '"cause:bent_hoop" -> "check:measure_wobble" [label="confirm by"];' in text


def test_dot_has_every_node_and_edge_once(whole: nx.DiGraph) -> None:
    lines = [line.strip() for line in drawing.dot(whole).splitlines()]
    joins = [line.split(" [")[0] for line in lines if " -> " in line]
    nodes = [line.split(" [")[0] for line in lines if "shape=" in line]

    assert sorted(f'"{":".join(node)}"' for node in whole) == sorted(nodes)
    assert sorted(f'"{":".join(a)}" -> "{":".join(b)}"' for a, b in whole.edges) == sorted(joins)


def test_an_empty_graph_is_written_too() -> None:
    assert drawing.dot(nx.DiGraph()).endswith("}\n")


def test_what_is_written_does_not_depend_on_the_order_of_building(whole: nx.DiGraph) -> None:
    turned = nx.DiGraph()
    turned.add_nodes_from(reversed(list(whole.nodes(data=True))))
    turned.add_edges_from(reversed(list(whole.edges(data=True))))

    assert drawing.dot(whole) == drawing.dot(turned)
