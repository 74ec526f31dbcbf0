"""No circle of files inside any room: whoever reads a file can read what it rests on first."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parents[1] / "vibecheck"
ROOMS = sorted(path.name for path in ROOT.iterdir() if (path / "__init__.py").exists())
MENDED_LATER = {"tui"}  # screens import the app, and the app imports screens


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)


def imported(path: Path, known: set[str]) -> Iterator[str]:
    """Modules that a file names in any import, also inside functions and for types only."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names if each.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            whole = [f"{node.module}.{each.name}" for each in node.names]
            yield from (name for name in [node.module, *whole] if name in known)


def circles(folder: Path) -> list[list[str]]:
    files = {module_of(path): path for path in folder.rglob("*.py")}
    graph = nx.DiGraph()
    for name, path in files.items():
        graph.add_edges_from((name, other) for other in imported(path, set(files)))
    found = [sorted(each) for each in nx.strongly_connected_components(graph) if len(each) > 1]
    return sorted([*found, *([name] for name in nx.nodes_with_selfloops(graph))])


@pytest.mark.parametrize("room", ROOMS)
def test_no_circle_of_files_in_a_room(room: str) -> None:
    found = circles(ROOT / room)

    if room in MENDED_LATER:
        assert found, f"{room} is mended: hold it like the others"
    else:
        assert [] == found


def test_the_search_sees_a_circle(tmp_path: Path) -> None:
    """Two files of which one imports the other inside a function, and a third beside them."""
    (tmp_path / "one.py").write_text("def f():\n    from vibecheck.x import two\n")
    (tmp_path / "two.py").write_text("import vibecheck.x.one\n")
    (tmp_path / "three.py").write_text("import vibecheck.x.one\n")
    names = {"vibecheck.x.one", "vibecheck.x.two", "vibecheck.x.three"}

    assert ["vibecheck.x.two"] == list(imported(tmp_path / "one.py", names))
    assert ["vibecheck.x.one"] == list(imported(tmp_path / "two.py", names))
