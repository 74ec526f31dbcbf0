"""Below the report no sentence is made: results hold values, reasons are enum members.

A text counts as a sentence if it has a space and letters on both sides of it. Docstrings, and what
is said when something typed is refused (the arguments of an exception, and texts handed back as
complaints), may stand anywhere; so may a list of words that is split at once.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "vibecheck"
ROOMS = {
    "reasoning": ROOT / "reasoning",
    "session": ROOT / "session",
}
ELSEWHERE = ("benches",)  # folders of a room that are on their way out of it
_SENTENCE = re.compile(r"[A-Za-z]{2,}[,;:.]? [A-Za-z]{2,}")
# What refuses something typed: its texts are complaints.
_REFUSING = re.compile(r"(Error|^_place|^_short|error|issue)$")


def files(room: str) -> list[Path]:
    return [
        path for path in sorted(ROOMS[room].rglob("*.py"))
        if not set(path.relative_to(ROOMS[room]).parts) & set(ELSEWHERE)
    ]


def sentences(tree: ast.AST) -> Iterator[str]:
    """Texts with words in them that can reach a result."""
    excused: set[ast.AST] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):  # docstrings, of attributes as well
            excused |= {
                each.value for each in body
                if isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant)
            }
        if isinstance(node, ast.Call) and _REFUSING.search(_name(node.func)):
            excused |= set(ast.walk(node))
        if isinstance(node, ast.Raise):
            excused |= set(ast.walk(node))
        if isinstance(node, ast.Attribute) and node.attr == "split":  # a list of single words
            excused.add(node.value)
        if isinstance(node, ast.Assign | ast.AnnAssign) and _is_hint(node):
            excused |= set(ast.walk(node))
    for node in ast.walk(tree):
        if node not in excused and isinstance(node, ast.Constant) and isinstance(node.value, str):
            if _SENTENCE.search(node.value):
                yield node.value


def _name(func: ast.expr) -> str:
    return func.attr if isinstance(func, ast.Attribute) else getattr(func, "id", "")


def _is_hint(node: ast.Assign | ast.AnnAssign) -> bool:
    """`hint` and `_EXAMPLE` say what to write instead of what was refused."""
    targets = node.targets if isinstance(node, ast.Assign) else [node.target]
    return any(getattr(each, "id", "") in ("hint", "_EXAMPLE", "_UNSURE_WORDS") for each in targets)


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_is_made_below_the_report(room: str) -> None:
    found = {
        path.name: list(sentences(ast.parse(path.read_text(encoding="utf-8"))))
        for path in files(room)
    }

    assert len(found) > 5
    assert {} == {name: texts for name, texts in found.items() if texts}


@pytest.mark.parametrize("room", ROOMS)
def test_values_of_enums_are_ids(room: str) -> None:
    """An enum member stands for itself; its words are in the report."""
    for path in files(room):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            bases = node.bases if isinstance(node, ast.ClassDef) else []
            if isinstance(node, ast.ClassDef) and "StrEnum" in map(_name, bases):
                values = [
                    each.value.value for each in node.body
                    if isinstance(each, ast.Assign) and isinstance(each.value, ast.Constant)
                ]
                assert all(re.fullmatch(r"[a-z][a-z0-9_]*", str(value)) for value in values), path


def test_the_search_is_not_blind() -> None:
    code = 'def f():\n    """A docstring here."""\n    return f"the wheel is {1} bent wheel"\n'
    complaint = 'raise InputError("there is no wheel", "", "write one")\n'

    assert ["the wheel is "] == [text for text in sentences(ast.parse(code)) if "the" in text]
    assert [] == list(sentences(ast.parse(complaint)))
