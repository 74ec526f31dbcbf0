"""What a person typed for a value: how it was read, and whether another unit makes more sense.

A bare number counts in the unit shown beside the field, or in that of the rules on the command
line. Where another unit makes more sense of it, the person is asked or told both readings.
"""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.written_units import with_unit
from vibecheck.errors import ReadingError
from vibecheck.metrology.units.doubt import doubt, finest_step, usual_runout
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.answers import Assignment
from vibecheck.session.inference import Inference
from vibecheck.session.limits import Limit, limit_in_force


def doubts(inference: Inference, finding: str, typed: str, unit: str) -> tuple[str, ...]:
    """Other readings of a bare length that make more sense than the one in `unit`.

    Gives the typed text with each such unit; nothing where there is no cause for doubt.
    """
    measure = inference.library.findings[finding].measure
    if measure is None or measure.quantity != Quantity.LENGTH.value:
        return ()
    limit = _limit(inference, finding)
    try:
        read = parse(typed, Quantity.LENGTH, unit)
    except ReadingError:
        return ()
    if limit is None:
        return ()
    found = doubt(read, Quantity.LENGTH, usual_runout(limit.value), unit,
                  finest_step(limit.value))
    if found is None:
        return ()
    return tuple(with_unit(typed, Quantity.LENGTH, each.unit) for each in found.otherwise)


def refuse_doubtful(inference: Inference, answers: Sequence[Assignment]) -> None:
    """Refuse a bare length that makes more sense in another unit; both readings are named.

    Raises
    ------
    ReadingError : for the first of them.
    """
    for each in answers:
        rule = inference.library.findings.get(each.finding)
        if rule is None or rule.measure is None or each.value.lower() in rule.states:
            continue
        others = doubts(inference, each.finding, each.value, rule.measure.unit)
        if others:
            as_read = with_unit(each.value, Quantity(rule.measure.quantity), rule.measure.unit)
            raise ReadingError(
                f"'{each.value[:60]}' has no unit, and {others[0]} makes more sense than {as_read}",
                each.spoken, f"write {' or '.join([*others, as_read])}",
            )


def _limit(inference: Inference, finding: str) -> Limit | None:
    measure = inference.library.findings[finding].measure
    if measure is None:
        return None
    quantity = Quantity(measure.quantity)
    return limit_in_force(
        inference.library, inference.case.limits, inference.facts, measure, quantity
    )
