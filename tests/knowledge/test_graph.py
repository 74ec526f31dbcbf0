"""The typed graph of the rules and its pictures."""

from __future__ import annotations

import shutil
from pathlib import Path
from xml.etree import ElementTree

import networkx as nx
import pytest

from vibecheck.knowledge import drawing, graph
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load

SMALL = Path(__file__).parent / "small_rules"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def whole(small: Library) -> nx.DiGraph:
    return graph.build(small)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> nx.DiGraph:
    """The small rules with a name that would break out of SVG or DOT if it were not escaped."""
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


def test_the_picture_shows_every_node_and_edge_once(whole: nx.DiGraph) -> None:
    root = ElementTree.fromstring(drawing.svg(whole))

    assert {"-".join(node) for node in whole} == {g.get("id") for g in root.iter(f"{SVG}g")}
    assert whole.number_of_edges() == len(list(root.iter(f"{SVG}path")))


def test_boxes_lie_inside_the_picture_and_apart(whole: nx.DiGraph) -> None:
    root = ElementTree.fromstring(drawing.svg(whole))
    boxes = [box for group in root.iter(f"{SVG}g") for box in group.iter(f"{SVG}rect")]
    spots = [(float(box.get("x", 0)), float(box.get("y", 0))) for box in boxes]

    assert all(x + drawing.BOX_WIDTH <= float(root.get("width", 0)) for x, _ in spots)
    assert all(y + drawing.BOX_HEIGHT <= float(root.get("height", 0)) for _, y in spots)
    apart = [
        abs(ax - bx) >= drawing.BOX_WIDTH or abs(ay - by) >= drawing.BOX_HEIGHT
        for a, (ax, ay) in enumerate(spots)
        for bx, by in spots[:a]
    ]
    assert all(apart)


def test_hostile_names_stay_text_in_the_picture(hostile: nx.DiGraph) -> None:
    text = drawing.svg(hostile, title="<b>&")
    root = ElementTree.fromstring(text)

    assert [] == list(root.iter(f"{SVG}script"))
    assert "\x1b" not in text
    titles = [title.text or "" for title in root.iter(f"{SVG}title")]
    assert "<b>&" == titles[0]
    assert any("<script>alert(1)</script> [/bad]" in title for title in titles)


def test_the_picture_needs_nothing_from_outside(hostile: nx.DiGraph) -> None:
    root = ElementTree.fromstring(drawing.svg(hostile))
    names = {name.rpartition("}")[2] for each in root.iter() for name in each.attrib}

    assert not names & {"href", "src", "onload", "onclick", "style"}


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


def test_an_empty_graph_has_pictures_too() -> None:
    empty = nx.DiGraph()

    assert "svg" in ElementTree.fromstring(drawing.svg(empty)).tag
    assert drawing.dot(empty).endswith("}\n")


def test_the_pictures_do_not_depend_on_the_order_of_building(whole: nx.DiGraph) -> None:
    turned = nx.DiGraph()
    turned.add_nodes_from(reversed(list(whole.nodes(data=True))))
    turned.add_edges_from(reversed(list(whole.edges(data=True))))

    assert drawing.dot(whole) == drawing.dot(turned)
