"""The rule graph in the DOT language, for any tool that draws graphs; every text is escaped."""

from __future__ import annotations

from typing import Any

import networkx as nx

from vibecheck.knowledge.graph import Node

_SHAPES = {
    "finding": "box", "cause": "ellipse", "check": "box", "remedy": "box", "caution": "octagon",
}


def dot(graph: nx.DiGraph) -> str:
    """The graph in the DOT language, ranked from left to right."""
    lines = ["digraph rules {", "  rankdir=LR;", '  node [fontname="sans-serif"];']
    for node in sorted(graph):
        label, shape = graph.nodes[node]["name"], _SHAPES[node[0]]
        lines.append(f"  {_dot_id(node)} [label={_dot_text(label)}, shape={shape}];")
    for start, end, data in sorted(graph.edges(data=True), key=lambda edge: edge[:2]):
        label = _dot_text(_edge_words(data))
        lines.append(f"  {_dot_id(start)} -> {_dot_id(end)} [label={label}];")
    return "\n".join([*lines, "}", ""])


def _edge_words(data: dict[str, Any]) -> str:
    kind: str = data["kind"].replace("_", " ")
    words = [
        data[axle] + (f" ({axle})" if axle != "word" else "")
        for axle in ("word", "front", "rear")
        if axle in data
    ]
    return f"{kind}: {'; '.join(words)}" if words else kind


def _dot_id(node: Node) -> str:
    return _dot_text(":".join(node))


def _dot_text(text: str) -> str:
    plain = "".join(ch if ch.isprintable() else " " for ch in text)
    escaped = plain.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
