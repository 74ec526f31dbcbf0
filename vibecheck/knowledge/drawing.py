"""The rule graph as DOT text and as an SVG picture that needs nothing else.

Five columns from left to right: findings, causes, checks, remedies, cautions. Within a column
the nodes are spread over the whole height, ordered so that linked ones lie near each other.
Every text is escaped.
"""

from __future__ import annotations

from typing import Any
from xml.sax.saxutils import escape, quoteattr

import networkx as nx

from vibecheck.knowledge.graph import KINDS, Node

COLUMN_WIDTH = 330  # px
BOX_WIDTH = 230  # px
BOX_HEIGHT = 22  # px
ROW_HEIGHT = 30  # px
MARGIN = 40  # px
LONGEST_NAME = 34  # characters shown in a box; the whole name is its tooltip
SWEEPS = 6  # passes of ordering by neighbours

# Kinds differ by column, heading and outline, not by shade alone.
_LOOK = {
    "finding": ("Findings", "#eef4fb", "", "box"),
    "cause": ("Causes", "#fdf3e1", "", "ellipse"),
    "check": ("Checks", "#edf7ee", "6 2", "box"),
    "remedy": ("Remedies", "#f4effa", "2 2", "box"),
    "caution": ("Cautions", "#fbeaea", "10 3", "octagon"),
}
_DASHES = {"strength": "", "computed": "2 3", "ask_after": "8 3", "caution": "4 2"}


def dot(graph: nx.DiGraph) -> str:
    """The graph in the DOT language, ranked from left to right."""
    lines = ["digraph rules {", "  rankdir=LR;", '  node [fontname="sans-serif"];']
    for node in sorted(graph):
        label, shape = graph.nodes[node]["name"], _LOOK[node[0]][3]
        lines.append(f"  {_dot_id(node)} [label={_dot_text(label)}, shape={shape}];")
    for start, end, data in sorted(graph.edges(data=True), key=lambda edge: edge[:2]):
        label = _dot_text(_edge_words(data))
        lines.append(f"  {_dot_id(start)} -> {_dot_id(end)} [label={label}];")
    return "\n".join([*lines, "}", ""])


def svg(graph: nx.DiGraph, title: str = "Rule graph") -> str:
    """The graph as one SVG document without scripts or outside parts."""
    columns = _columns(graph)
    tall = ROW_HEIGHT * max((len(column) for column in columns.values()), default=0)
    spots = {
        node: (MARGIN + COLUMN_WIDTH * x, 2 * MARGIN + round(tall * share) - ROW_HEIGHT // 2)
        for x, column in enumerate(columns.values())
        for node, share in _spread(column).items()
    }
    width = 2 * MARGIN + COLUMN_WIDTH * (len(columns) - 1) + BOX_WIDTH if columns else 2 * MARGIN
    height = 3 * MARGIN + tall
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="11">',
        f"<title>{_xml(title)}</title>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
        *(
            f'<text x="{MARGIN + COLUMN_WIDTH * x}" y="{MARGIN + 8}" font-size="15">'
            f"{_LOOK[kind][0]}</text>"
            for x, kind in enumerate(columns)
        ),
        *(_edge(spots, *edge) for edge in graph.edges(data=True)),
        *(_box(graph, node, *spots[node]) for node in spots),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _columns(graph: nx.DiGraph) -> dict[str, list[Node]]:
    """The nodes of each kind that occurs, ordered to lie near what they are linked to."""
    columns = {kind: sorted(node for node in graph if node[0] == kind) for kind in KINDS}
    columns = {kind: nodes for kind, nodes in columns.items() if nodes}
    heights: dict[Node, float] = {}
    for nodes in columns.values():
        heights.update(_spread(nodes))
    linked = {node: [*graph.predecessors(node), *graph.successors(node)] for node in graph}
    for _ in range(SWEEPS):
        for kind, nodes in columns.items():
            wanted = [
                (_mean([heights[near] for near in linked[node]] or [heights[node]]), node)
                for node in nodes
            ]
            columns[kind] = [node for _, node in sorted(wanted)]
            heights.update(_spread(columns[kind]))
    return columns


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def _spread(nodes: list[Node]) -> dict[Node, float]:
    """Heights from 0 to 1 for a column, whatever its length."""
    return {node: (place + 0.5) / len(nodes) for place, node in enumerate(nodes)}


def _edge(spots: dict[Node, tuple[int, int]], start: Node, end: Node, data: dict[str, Any]) -> str:
    (x1, y1), (x2, y2) = spots[start], spots[end]
    y1, y2 = y1 + BOX_HEIGHT // 2, y2 + BOX_HEIGHT // 2
    if x1 == x2:
        x1 = x2 = x1 + BOX_WIDTH
        bend1 = bend2 = x1 + 50
    else:
        x1, x2 = (x1 + BOX_WIDTH, x2) if x1 < x2 else (x1, x2 + BOX_WIDTH)
        bend1, bend2 = (2 * x1 + x2) // 3, (x1 + 2 * x2) // 3
    dashes = _DASHES.get(data["kind"], "")
    style = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<path d="M{x1} {y1} C{bend1} {y1} {bend2} {y2} {x2} {y2}" fill="none" '
        f'stroke="#777777" stroke-opacity="0.5"{style}>'
        f"<title>{_xml(_edge_words(data))}</title></path>"
    )


def _box(graph: nx.DiGraph, node: Node, x: int, y: int) -> str:
    _, fill, dashes, _ = _LOOK[node[0]]
    name = graph.nodes[node]["name"]
    shown = name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 3] + "..."
    style = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f"<g id={quoteattr('-'.join(node))}><title>{_xml(f'{node[0]} {node[1]}: {name}')}</title>"
        f'<rect x="{x}" y="{y}" width="{BOX_WIDTH}" height="{BOX_HEIGHT}" rx="4" fill="{fill}" '
        f'stroke="#333333"{style}/><text x="{x + 6}" y="{y + 15}">{_xml(shown)}</text></g>'
    )


def _edge_words(data: dict[str, Any]) -> str:
    kind: str = data["kind"].replace("_", " ")
    words = [
        data[axle] + (f" ({axle})" if axle != "word" else "")
        for axle in ("word", "front", "rear")
        if axle in data
    ]
    return f"{kind}: {'; '.join(words)}" if words else kind


def _xml(text: str) -> str:
    """Text for XML: escaped, and characters that XML cannot hold shown as their code."""
    return escape("".join(ch if ch.isprintable() else repr(ch)[1:-1] for ch in text))


def _dot_id(node: Node) -> str:
    return _dot_text(":".join(node))


def _dot_text(text: str) -> str:
    plain = "".join(ch if ch.isprintable() else " " for ch in text)
    escaped = plain.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
