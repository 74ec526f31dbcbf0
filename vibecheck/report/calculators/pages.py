"""The page of any calculator, for front ends: found by name, its headline, how texts were read."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from vibecheck.calculators.echo import ReadAs
from vibecheck.metrology.units.values import to_unit
from vibecheck.report.blocks import Block, Paragraph, items, section
from vibecheck.report.wording import Wording


def calculator_page(name: str, result: Any, wording: Wording) -> tuple[Block, ...]:
    """The page of a calculator's result; its first block is the headline."""
    module = import_module(f"vibecheck.report.calculators.{name}")
    found: tuple[Block, ...] = module.page(result, wording)
    return found


def headline_of(page: tuple[Block, ...]) -> str:
    """The one sentence that stands for a page."""
    first = page[0]
    return first.text if isinstance(first, Paragraph) else ""


def read_as_blocks(found: tuple[ReadAs, ...]) -> tuple[Block, ...]:
    """How texts were read that do not say it by themselves."""
    return section("Read as", items(_read_as(each) for each in found))


def _read_as(each: ReadAs) -> str:
    first = each.readings[0]
    if each.heading:
        return (f"{each.label}: {len(each.readings)} readings in {first.unit}, under the heading "
                f"'{each.heading}'")
    if len(each.readings) > 2:
        return f"{each.label}: {len(each.readings)} readings in {first.unit}"
    words = [f"{to_unit(one.value, each.quantity, one.unit):.6g} {one.unit}"
             for one in each.readings]
    if len(words) > 1:
        return f"{each.label}: '{each.typed}' read as high {words[0]}, low {words[1]}"
    return f"{each.label}: '{each.typed}' read as {words[0]}"
