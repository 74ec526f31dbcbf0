"""What a person typed into a field for a value: its unit, and whether the unit can be meant.

A bare number counts in the unit shown beside the field. Where that makes it far too small or far
too large for the limit in force, and another unit of length would not, the person is asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.reading_sheet import PLAUSIBLE_ABOVE, PLAUSIBLE_BELOW
from vibecheck.calculators.written_units import is_bare, with_unit
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.inference import Inference
from vibecheck.session.limits import Limit, limit_in_force

_LENGTH_UNITS = ("mm", "in", "thou")


def doubts(inference: Inference, finding: str, typed: str, unit: str) -> tuple[str, ...]:
    """Other units in which a bare length would be plausible where `unit` is not.

    Gives the typed text with each such unit; nothing where there is no cause for doubt.
    """
    measure = inference.library.findings[finding].measure
    if measure is None or measure.quantity != Quantity.LENGTH.value:
        return ()
    limit = _limit(inference, finding)
    if limit is None or not is_bare(typed, Quantity.LENGTH):
        return ()
    if _plausible(typed, unit, limit):
        return ()
    others: Sequence[str] = [name for name in _LENGTH_UNITS if name != unit]
    return tuple(
        with_unit(typed, Quantity.LENGTH, name)
        for name in others
        if _plausible(typed, name, limit)
    )


def _limit(inference: Inference, finding: str) -> Limit | None:
    measure = inference.library.findings[finding].measure
    if measure is None:
        return None
    quantity = Quantity(measure.quantity)
    return limit_in_force(
        inference.library, inference.case.limits, inference.facts, measure, quantity
    )


def _plausible(typed: str, unit: str, limit: Limit) -> bool:
    size = abs(parse(typed, Quantity.LENGTH, unit).value)
    return size == 0.0 or (
        PLAUSIBLE_BELOW * limit.value <= size <= PLAUSIBLE_ABOVE * limit.value
    )
