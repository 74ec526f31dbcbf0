"""docs/physics.md names what exists: modules, functions, classes, constants, fields, files."""

from __future__ import annotations

import dataclasses
import inspect
import re
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "docs" / "physics.md").read_text(encoding="utf-8")
METROLOGY, CALCULATORS = TEXT.split("## Uncertainties that a calculator assumes")
NAME = re.compile(r"`([a-z_.]+)\.([A-Za-z_0-9]+)`((?: `[a-z_]+`(?:, )?)*)")
PUBLIC_FORMULA_MODULES = {
    "balance.limits", "balance.trial_weight", "balance.two_planes", "balance.weights", "decision",
    "orders.resonance", "orders.rotating_parts", "orders.tire_size",
    "record.baseband", "record.car_orders", "record.even", "record.fine", "record.humps",
    "record.judge", "record.lag", "record.lines", "record.scale", "record.visible",
    "record.order_tracking", "record.peaks", "record.regrid", "record.resonance_bias",
    "record.severity", "record.spectrum", "runout.harmonics", "runout.hub_carry",
    "runout.local_bend", "runout.readings", "runout.tir_uncertainty", "runout.wheel_verdict",
    "stack.fit", "stack.matching", "stack.separation", "vectors", "virtual.balancer",
    "virtual.dial", "virtual.quarter_car", "virtual.shake",
}


def module_of(room: str, module: str) -> str:
    """The module behind a name of the page; the invented world stands beside the rooms."""
    beside = module.startswith("virtual.")
    return f"vibecheck.{module}" if beside else f"{room}.{module}"


def named(text: str, room: str) -> list[tuple[str, str, str]]:
    """Room and module, name in it, and the field words that follow."""
    return [(module_of(room, module), name, fields) for module, name, fields in NAME.findall(text)
            if name != "py"]


NAMED = [*named(METROLOGY, "vibecheck.metrology"), *named(CALCULATORS, "vibecheck.calculators")]


def fields_of(kind: Any) -> set[str]:
    """Fields, properties and parameters of a class or function."""
    found = set(dir(kind))
    if dataclasses.is_dataclass(kind):
        found |= {each.name for each in dataclasses.fields(kind)}
    if callable(kind):
        found |= set(inspect.signature(kind).parameters)
    return found


@pytest.mark.parametrize(("module", "name", "fields"), NAMED)
def test_every_name_exists(module: str, name: str, fields: str) -> None:
    found = getattr(import_module(module), name)

    for field in re.findall(r"`([a-z_]+)`", fields):
        assert field in fields_of(found), f"{module}.{name} has no {field}"


def words_of(module: ModuleType) -> set[str]:
    """Every identifier in a module's source."""
    return set(re.findall(r"[A-Za-z_][A-Za-z_0-9]*", inspect.getsource(module)))


def test_every_symbol_is_a_word_of_the_code() -> None:
    known: set[str] = set()
    for module in PUBLIC_FORMULA_MODULES:
        known |= words_of(import_module(module_of("vibecheck.metrology", module)))
    tables = re.findall(r"\| symbol \| name in code \| unit \|\n\|---\|---\|---\|\n((?:\|.*\n)+)",
                        METROLOGY)

    assert len(tables) >= 5
    for row in "".join(tables).splitlines():
        cells = row.split("|")
        for word in re.findall(r"`([a-z_]+)`", cells[2]):
            assert word in known, word


def test_every_module_with_a_formula_is_on_the_page() -> None:
    assert PUBLIC_FORMULA_MODULES == {
        module.removeprefix("vibecheck.").removeprefix("metrology.")
        for module, _, _ in NAMED if not module.startswith("vibecheck.calculators")
    }


def test_every_formula_has_a_unit_and_a_source() -> None:
    rows = [row for row in METROLOGY.splitlines()
            if row.startswith("|") and not row.startswith(("|---", "| symbol", "| formula"))]
    formulas = [row.strip("|").split(" | ") for row in rows if row.count(" | ") == 3]

    assert len(formulas) >= 50
    assert all(cell.strip() for row in formulas for cell in row)


def test_the_printed_misprint_is_what_the_transfer_function_says() -> None:
    """ISO 2631-1 prints Wd 0.212 at 10 Hz; the transfer function of ISO 8041 gives 0.202."""
    import numpy as np

    from vibecheck.metrology.record.severity import Curve, transfer

    assert 0.202 == pytest.approx(
        float(np.abs(transfer(np.array([10.0]), Curve.HORIZONTAL))[0]), abs=5e-4)
