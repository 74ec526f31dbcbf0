"""Below the report no sentence is made: results hold values, reasons are enum members.

A text counts as a sentence if it has a space and letters on both sides of it. Docstrings, and what
is said when something typed is refused (the arguments of an exception, and texts handed back as
complaints), may stand anywhere; so may a list of words that is split at once. Calculators declare
the labels and the help of what is typed into them, and the physics below names what it refuses: in
these two rooms a sentence counts where it can reach a result, in what a function gives back and in
what a class is made with.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "vibecheck"
ROOMS = ("reasoning", "session")
DECLARING = ("calculators", "metrology")
_SENTENCE = re.compile(r"[A-Za-z]{2,}[,;:.]? [A-Za-z]{2,}")
# What refuses something typed: its texts are complaints.
_DECLARED = re.compile(r"(Field|Group|Example|Calculator|Unit)$")
_REFUSING = re.compile(r"(Error|^_place|^_short|error|issue)$")


def files(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


def sentences(tree: ast.AST) -> list[str]:
    """Texts with words in them."""
    return [node.value for node in said(tree)]


def reaching_results(tree: ast.AST) -> list[str]:
    """Those of them that a function gives back, or that a class is made with."""
    inside: set[ast.AST] = set()
    asked: set[ast.AST] = set()  # arguments of functions, and what is declared
    for node in ast.walk(tree):
        if isinstance(node, ast.Return):
            inside |= set(ast.walk(node))
        elif isinstance(node, ast.FunctionDef) and node.name == "fault_of":
            asked |= set(ast.walk(node))  # the end of a complaint
        elif isinstance(node, ast.Call):
            name = _name(node.func)
            made = name[:1].isupper() and not _DECLARED.search(name)
            within = {each for one in (*node.args, *node.keywords) for each in ast.walk(one)}
            (inside if made else asked).update(within)
    return [node.value for node in said(tree) if node in inside - asked]


def said(tree: ast.AST) -> Iterator[ast.Constant]:
    """The nodes of texts with words in them, but for docstrings and complaints."""
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
                yield node


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


@pytest.mark.parametrize("room", DECLARING)
def test_no_sentence_reaches_a_result(room: str) -> None:
    found = {
        path.name: reaching_results(ast.parse(path.read_text(encoding="utf-8")))
        for path in files(room)
    }

    assert len(found) > 20
    assert {} == {name: texts for name, texts in found.items() if texts}


@pytest.mark.parametrize("room", (*ROOMS, *DECLARING, "casebook"))
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
    assert [] == sentences(ast.parse(complaint))


@pytest.mark.parametrize(("code", "found"), [
    ('def f():\n    return "the wheel is bent"\n', True),
    ('def f(x):\n    return Result(x, f"{x} is too much")\n', True),
    ('def f(x):\n    found = Result(x, why="too much of it")\n', True),
    ('FIELD = Field("tir", help="High minus low over a turn.")\n', False),
    ('def f(x):\n    return Result(positive(x, "a rotor mass"))\n', False),
    ('def f(x):\n    raise ReadingError("no such wheel")\n', False),
])
def test_the_search_for_results_is_not_blind(code: str, found: bool) -> None:
    assert found == bool(reaching_results(ast.parse(code)))
