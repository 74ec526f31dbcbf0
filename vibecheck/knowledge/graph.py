"""The rule library as a typed directed graph.

Nodes are (kind, id) pairs with the attributes `kind` (finding, cause, check, remedy, caution)
and `name`. Edges carry `kind`:

strength    finding -> cause, with `word`, or `front` and `rear` where the axles differ
computed    finding -> cause, for speed evidence that follows from what the cause excites
confirm_by  cause -> check
yields      check -> finding
remedy      cause -> remedy, with `word`
ask_after   earlier check -> later check
caution     cause, check, remedy or finding -> caution

Corners are not drawn: a cause or check of corner scope is one node.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import networkx as nx

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Strength, Trigger
from vibecheck.knowledge.profile import PARTS, follows_resonance

Node = tuple[str, str]
KINDS = {
    "finding": "findings", "cause": "causes", "check": "checks", "remedy": "remedies",
    "caution": "cautions",
}  # fmt: skip


def build(library: Library) -> nx.DiGraph:
    """The graph of a whole library."""
    graph = nx.DiGraph()
    for kind, rules in KINDS.items():
        for name, rule in getattr(library, rules).items():
            graph.add_node((kind, name), kind=kind, name=getattr(rule, "name", name))
    for cause in library.causes.values():
        _add_cause(graph, library, cause)
    for check in library.checks.values():
        here = ("check", check.id)
        _link(graph, "yields", ((here, ("finding", name)) for name in check.yields))
        _link(graph, "ask_after", ((("check", name), here) for name in check.ask_after))
        _link(graph, "caution", ((here, ("caution", name)) for name in check.cautions))
    for remedy in library.remedies.values():
        here = ("remedy", remedy.id)
        _link(graph, "caution", ((here, ("caution", name)) for name in remedy.cautions))
    for caution in library.cautions.values():
        for trigger in caution.triggers:
            pairs = ((node, ("caution", caution.id)) for node in _raised_by(trigger))
            _link(graph, "caution", pairs)
    return graph


def paths(graph: nx.DiGraph, cause: str, finding: str) -> list[tuple[Node, ...]]:
    """The ways a finding speaks to a cause and the cause leads on to what confirms it.

    Each is (finding, cause), or (finding, cause, check) for every confirming check; none if the
    finding does not speak to the cause.
    """
    start, middle = ("finding", finding), ("cause", cause)
    if not graph.has_edge(start, middle):
        return []
    leads = graph.adj[middle].items()
    confirming = [node for node, edge in leads if edge["kind"] == "confirm_by"]
    return [(start, middle, check) for check in confirming] or [(start, middle)]


def live_part(graph: nx.DiGraph, causes: Iterable[str]) -> nx.DiGraph:
    """The part of the graph that matters to these causes, as a copy.

    It holds the causes, the findings that speak to them, their confirming checks, remedies and
    cautions, and the checks that those wait for.
    """
    kept = {("cause", name) for name in causes if ("cause", name) in graph}
    for node in list(kept):
        kept |= {*graph.predecessors(node), *graph.successors(node)}
    checks = [node for node in kept if node[0] == "check"]
    while checks:
        earlier = {node for node in graph.predecessors(checks.pop()) if node[0] == "check"} - kept
        kept |= earlier
        checks += earlier
    for node in list(kept):
        kept |= {after for after in graph.successors(node) if after[0] == "caution"}
    part: nx.DiGraph = graph.subgraph(kept).copy()
    return part


def _add_cause(graph: nx.DiGraph, library: Library, cause: Cause) -> None:
    here = ("cause", cause.id)
    for part in PARTS:
        label = part.removeprefix("shows_") if part != "shows" else "word"
        for name, strength in getattr(cause, part).items():
            graph.add_edge(("finding", name), here, kind="strength")
            graph.edges[("finding", name), here][label] = _spoken(strength)
    if follows_resonance(cause):
        computed = [name for name, rule in library.findings.items() if rule.computed is not None]
        _link(graph, "computed", ((("finding", name), here) for name in computed))
    _link(graph, "confirm_by", ((here, ("check", name)) for name in cause.confirm_by))
    _link(graph, "caution", ((here, ("caution", name)) for name in cause.cautions))
    for name, word in cause.remedies.items():
        graph.add_edge(here, ("remedy", name), kind="remedy", word=word)


def _link(graph: nx.DiGraph, kind: str, pairs: Iterable[tuple[Node, Node]]) -> None:
    graph.add_edges_from(pairs, kind=kind)


def _spoken(strength: Strength) -> str:
    if isinstance(strength, str):
        return strength
    return ", ".join(f"{state}: {word}" for state, word in strength.items())


def _raised_by(trigger: Trigger) -> Iterator[Node]:
    for kind in ("finding", "cause", "check", "remedy"):
        name: Any = getattr(trigger, kind)
        if name is not None:
            yield kind, name
    for seen in trigger.all_of:
        yield "finding", seen.finding
