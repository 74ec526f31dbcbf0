"""No circle of files inside any room: whoever reads a file can read what it rests on first."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parents[1] / "vibecheck"
ROOMS = sorted(path.name for path in ROOT.iterdir() if (path / "__init__.py").exists())


def module_of(path: Path, above: Path = ROOT.parent) -> str:
    return ".".join(path.relative_to(above).with_suffix("").parts).removesuffix(".__init__")


def imported(path: Path, known: set[str]) -> Iterator[str]:
    """Modules that a file names in any import, also inside functions and for types only."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names if each.name in known)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{path}: imports are written whole, so that this test sees them"
            whole = [f"{node.module}.{each.name}" for each in node.names]
            yield from (name for name in [node.module or "", *whole] if name in known)


def circles(folder: Path, above: Path = ROOT.parent) -> list[list[str]]:
    files = {module_of(path, above): path for path in folder.rglob("*.py")}
    graph = nx.DiGraph()
    for name, path in files.items():
        graph.add_edges_from((name, other) for other in imported(path, set(files)))
    found = [sorted(each) for each in nx.strongly_connected_components(graph) if len(each) > 1]
    return sorted([*found, *([name] for name in nx.nodes_with_selfloops(graph))])


@pytest.mark.parametrize("room", ROOMS)
def test_no_circle_of_files_in_a_room(room: str) -> None:
    assert [] == circles(ROOT / room)


@pytest.mark.parametrize("back", [
    "import house.room.one\n",
    "def f():\n    from house.room import one\n",
    "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from house.room.one import One\n",
    "class C:\n    def f(self):\n        from house.room import inner\n",
])
def test_the_search_sees_a_circle(tmp_path: Path, back: str) -> None:
    """Three files in a row, and a way back: at once, inside a function, or for types only."""
    room = tmp_path / "house" / "room"
    (room / "inner").mkdir(parents=True)
    (room / "one.py").write_text("import house.room.inner.two\n")
    (room / "inner" / "__init__.py").write_text("from house.room import one\n")
    (room / "inner" / "two.py").write_text("from house.room.three import f\n")
    (room / "three.py").write_text("def f():\n    return 1\n")
    assert [] == circles(room, tmp_path)

    (room / "three.py").write_text(back)

    [circle] = circles(room, tmp_path)
    assert {"house.room.one", "house.room.inner.two", "house.room.three"} <= set(circle)
