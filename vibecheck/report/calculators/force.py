"""The page of force variation from runout."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.force import ForceResult
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_ORDINALS = {1: "1st", 2: "2nd", 3: "3rd"}


def page(result: ForceResult, wording: Wording) -> tuple[Block, ...]:
    """Force by order, stiffness, loaded radius."""
    rows = tuple(
        (f"{_ORDINALS.get(each.order, f'{each.order}th')} order",
         wording.spread(each.force_n, each.uncertainty_n, Quantity.FORCE))
        for each in result.harmonics
    )
    table = (Table(("order", "force, high to low, at most"), rows, frozenset((1,))),)
    return result_page(
        _headline(result, wording),
        (*section("From the runout", table if rows else ()),
         *titled("Tire", _tire(result, wording))),
        mind=_mind(result),
        next_steps=("correct the runout before a tire is condemned for its force",)
        if rows else (),
    )


def _radius(result: ForceResult, wording: Wording) -> str:
    assert result.loaded_radius_mm is not None
    return f"loaded radius {wording.spread(*result.loaded_radius_mm, Quantity.LENGTH)}"


def _headline(result: ForceResult, wording: Wording) -> str:
    if not result.harmonics:
        return _radius(result, wording)
    first = result.harmonics[0]
    size = wording.spread(first.force_n, first.uncertainty_n, Quantity.FORCE)
    return f"the runout varies the force by up to {size} once per turn"


def _tire(result: ForceResult, wording: Wording) -> Iterable[str]:
    force, length = wording.unit(Quantity.FORCE), wording.unit(Quantity.LENGTH)
    scale = to_unit(1.0, Quantity.FORCE, force) / to_unit(1.0, Quantity.LENGTH, length)
    stiffness = wording.spread(result.stiffness_n_mm * scale, result.stiffness_uncertainty * scale,
                               Quantity.NUMBER)
    yield f"radial stiffness {stiffness}, in {force} for each {length}"
    if result.loaded_radius_mm is not None:
        yield _radius(result, wording)


def _mind(result: ForceResult) -> Iterable[str]:
    if result.harmonics:
        yield ("the most that this runout can do: a soft carcass evens some of it out, and a stiff "
               "spot adds force that no runout shows")
    if not result.stiffness_known:
        yield ("stiffness taken as a usual car's; handbooks give 150 to 300 N for each millimeter, "
               "and it rises with pressure")
