"""Makes docs/calculators.md from the declared fields.

Run: python docs/make_calculators.py
"""

from __future__ import annotations

from pathlib import Path

from vibecheck.calculators.calculator import Calculator
from vibecheck.calculators.fields import Field, Group, Shape
from vibecheck.calculators.registry import CALCULATORS, Listed
from vibecheck.cli.calculator_commands import option_of

PAGE = Path(__file__).with_name("calculators.md")
HEAD = """# The calculators and their fields

Each is declared once, in `vibecheck/calculators/`; the command line's options, the wizard's forms
and this page are made from it: `python docs/make_calculators.py`.
"""
WRITTEN = {
    Shape.VALUE: "value", Shape.LIST: "list", Shape.SIZE_AT: "size at an angle",
    Shape.EITHER: "size at an angle, or list", Shape.TEXT: "words", Shape.FLAG: "yes or no",
    Shape.CHOICE: "choice", Shape.FILE: "file",
}


def page() -> str:
    """The whole page."""
    return "\n".join([HEAD, *(_section(each) for each in CALCULATORS)])


def _section(each: Listed) -> str:
    calculator = each.load()
    lines = [f"## {each.title} (`vibecheck {each.name}`)", "", f"{calculator.about}", "",
             "| field | option | written as | what it is |", "|---|---|---|---|"]
    return "\n".join([*lines, *_rows(calculator), ""])


def _rows(calculator: Calculator) -> list[str]:
    rows = []
    for entry in calculator.entries:
        if isinstance(entry, Field):
            rows.append(_row(entry, option_of(entry)))
            continue
        for member in entry.members:
            option = f"--{entry.name}" if entry.split else option_of(member)
            rows.append(_row(member, f"{option}, up to {entry.most} times", entry))
    return rows


def _row(field: Field, option: str, group: Group | None = None) -> str:
    lead = f"{group.label}: " if group is not None and group.label else ""
    quantity = f", {field.quantity.value}" if field.quantity else ""
    return f"| {lead}{field.label} | `{option}` | {WRITTEN[field.shape]}{quantity} | {field.help} |"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
