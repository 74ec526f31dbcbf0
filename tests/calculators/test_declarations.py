"""What is declared once is the same everywhere: options, forms, units, the page of docs."""

from __future__ import annotations

import ast
import importlib.util
import re
from pathlib import Path

import pytest
from calculator_helpers import said

from vibecheck.calculators.calculator import Calculator
from vibecheck.calculators.fields import Group
from vibecheck.calculators.registry import CALCULATORS
from vibecheck.cli.calculator_commands import example_words, typed_texts
from vibecheck.cli.main import build_parser
from vibecheck.metrology.units.choice import CHOICES, METRIC, US, Units
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import figures_of
from vibecheck.report.calculators.pages import calculator_page
from vibecheck.report.wording import Wording
from vibecheck.tui.calculators.form import CalculatorForm

ROOT = Path(__file__).parents[2]
ROOM = ROOT / "vibecheck" / "calculators"
LOADED = [each.load() for each in CALCULATORS]
NAMES = [each.name for each in LOADED]
NUMBER = r"[-+]?\d+(?:\.\d+)?"


@pytest.mark.parametrize("calculator", LOADED, ids=NAMES)
def test_form_and_command_line_offer_the_same_fields(calculator: Calculator) -> None:
    """A text given to every option comes back under exactly the names of the form's fields."""
    words: list[str] = []
    for entry in calculator.entries:
        if isinstance(entry, Group):
            texts = {each.name: "1" for each in entry.members}
            once = [f"--{entry.name}", entry.joined(texts)] if entry.joined else [
                word for each in entry.members for word in (f"--{each.name}", "1")]
            words += once * entry.most
        elif entry.shape.value == "file":
            words.append("1")
        else:
            option = f"--{entry.name.replace('_', '-')}"
            words += [option] if entry.shape.value == "flag" else [option, "1"]
    if calculator.name == "stack":
        words = [word.replace(", 1:", ":") for word in words]  # "1" says not how it was read
    chosen = build_parser().parse_args([calculator.name, *words])

    texts = typed_texts(calculator, chosen, Wording())

    form = CalculatorForm(calculator.fields)
    assert [field.name for field in form.fields] == list(texts)
    empty = {name for name, text in texts.items() if not text}
    assert all(name.startswith("how") for name in empty)


@pytest.mark.parametrize("calculator", LOADED, ids=NAMES)
def test_every_example_is_the_same_typed_as_options(calculator: Calculator) -> None:
    import shlex

    for example in calculator.examples:
        words = shlex.split(" ".join(example_words(calculator, example)))
        words = words[:len(words) - len(example.into.split())]
        chosen = build_parser().parse_args([calculator.name, *words])
        texts = typed_texts(calculator, chosen, Wording())

        assert {name: text for name, text in texts.items() if text} == dict(example.texts)


def units_shown(text: str) -> set[str]:
    """The units with a choice that stand behind a number."""
    names = {name for choices in CHOICES.values() for name in choices}
    found = re.findall(rf"{NUMBER}(?: high to low)? ?([A-Za-z/-]+)", text)
    return names & set(found)


@pytest.mark.parametrize("calculator", LOADED, ids=NAMES)
def test_a_unit_switch_changes_every_number_of_the_page(calculator: Calculator) -> None:
    for example in calculator.examples:
        if example.texts.get("file") == "drive.csv":
            continue
        result = calculator.run(example.texts)
        metric, us = said(calculator.name, result, METRIC), said(calculator.name, result, US)
        others = {getattr(METRIC, each.value) for each in CHOICES} - {
            getattr(US, each.value) for each in CHOICES}

        assert not units_shown(us) & others, us
        assert not units_shown(metric) - others, metric
        for units in (METRIC, US):
            for drawing in figures_of(calculator_page(calculator.name, result, Wording(units))):
                wrong = {getattr(US if units is METRIC else METRIC, each.value)
                         for each in CHOICES} - {getattr(units, each.value) for each in CHOICES}
                assert drawing.figure.y_label not in wrong


def test_thou_is_a_unit_of_every_length() -> None:
    """0.5 mm is 19.7 thou (NIST SP 811, appendix B: 1 in is 25.4 mm exactly)."""
    runout = LOADED[0]
    text = said("runout", runout.run({"tir": "0.5 mm +/- 0.1", "tolerance": "0.8 mm"}),
                Units(length="thou"))

    assert "19.7 +/- 3.9 thou" in text and " mm" not in text


def test_orders_speaks_mph_where_mph_is_chosen() -> None:
    """65 mph is 104.6 km/h (1 mile is 1.609344 km exactly)."""
    orders = LOADED[NAMES.index("orders")]
    result = orders.run({"tire": "205/55R16", "speed": "65 mph", "axle_ratio": "3.2"})

    assert "At 65.0 mph" in said("orders", result, US)
    assert "km/h" not in said("orders", result, US)
    assert Quantity.SPEED in CHOICES and "mph" not in said("orders", result)


def test_the_page_of_docs_is_current() -> None:
    spec = importlib.util.spec_from_file_location("maker", ROOT / "docs" / "make_calculators.py")
    assert spec is not None and spec.loader is not None
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)

    now = (ROOT / "docs" / "calculators.md").read_text(encoding="utf-8")
    assert maker.page() == now, "run: python docs/make_calculators.py"


def test_no_circle_of_files_inside_the_room() -> None:
    names = {path.stem for path in ROOM.glob("*.py")}
    above: dict[str, set[str]] = {}
    for name in names:
        tree = ast.parse((ROOM / f"{name}.py").read_text(encoding="utf-8"))
        modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        named = [alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
                 and node.module == "vibecheck.calculators" for alias in node.names]
        above[name] = {each.removeprefix("vibecheck.calculators.") for each in [*modules, *named]
                       if each.removeprefix("vibecheck.calculators.") in names}
    done: set[str] = set()
    while len(done) < len(names):
        fresh = {name for name in names - done if above[name] - {name} <= done}
        assert fresh, f"a circle among {sorted(names - done)}"
        done |= fresh


def test_no_sentence_reaches_a_result() -> None:
    """Text constants of four words or more stand only in declarations and in complaints."""
    allowed = ("Field", "Group", "Calculator", "Example", "Listed")
    for path in ROOM.glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        spared: set[int] = set()
        for node in ast.walk(tree):
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            if isinstance(node, ast.Raise) or (named and node.func.id in allowed):
                spared |= {id(each) for each in ast.walk(node)}
            body = getattr(node, "body", None)
            if isinstance(body, list):
                spared |= {id(each.value) for each in body if isinstance(each, ast.Expr)}
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) else None
            if isinstance(text, str) and text.strip().count(" ") > 2 and id(node) not in spared:
                assert text in KNOWN, f"{path.name}: {text!r}"


KNOWN = {  # of complaints, declarations and invented readings, given a name first
    "0 .03 .08 .14 .19 .23 .26 .27 .26 .24 .19 .14 .09 .05 .01 -.02 -.03 -.02",
    "a runout cannot be read as",
    "The weight that the balancing machine asks for there, rounding off.",
    "The same after turning the wheel on the machine's shaft; angles from the valve stem.",
}
