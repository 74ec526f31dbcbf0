"""The page of the orders at a speed."""

from __future__ import annotations

import math
from collections.abc import Iterable

from vibecheck.calculators.orders import OrdersResult
from vibecheck.metrology.orders.rotating_parts import Pair, PartedBy
from vibecheck.metrology.record.scale import OPEN_SIZE_SHARE, SizeSource, SpeedSource
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.blocks import Block, Heading, Table, items, section
from vibecheck.report.calculators.parts import name_of, result_page
from vibecheck.report.wording import Wording


def page(result: OrdersResult, wording: Wording) -> tuple[Block, ...]:
    """Tire, order table, fits of a measured shake, what cannot be told apart."""
    size, rolling = result.tire, result.tire.rolling
    turn, low, high = (wording.length(1000.0 * each, 10.0)
                       for each in (rolling.circumference_m, rolling.low_m, rolling.high_m))
    speed = _speed(result, wording)
    rows = tuple((f"{line.hz:.2f} +/- {line.uncertainty_hz:.2f} Hz", name_of(line))
                 for line in result.orders)
    measured = () if result.measured is None else section(
        f"Measured {result.measured.hz:.2f} Hz +/- {result.measured.uncertainty_hz:.2f}",
        items(_fits(result)))
    return result_page(
        f"{size.designation}: diameter {wording.length(size.diameter_mm, 10.0)}, new it rolls "
        f"{turn} a turn ({low} to {high})",
        (Heading(f"At {speed}"),
         Table(("frequency", "order"), rows, frozenset((0,))), *measured),
        next_steps=(*(advice(pair, wording) for pair in result.inseparable),
                    *_before_recording(result, wording)),
    )


def _speed(result: OrdersResult, wording: Wording) -> str:
    """The speed that was read, and the true one where a dash let another be expected."""
    shown = wording.size(result.shown_kmh, Quantity.SPEED, max(result.speed_uncertainty_kmh, 1.0))
    if result.source is not SpeedSource.DASH:
        return shown
    true = wording.spread(result.speed_kmh, result.speed_uncertainty_kmh, Quantity.SPEED)
    return f"{shown} on the dash, which reads high: {true} true"


def _before_recording(result: OrdersResult, wording: Wording) -> Iterable[str]:
    if result.measured is not None and result.source is SpeedSource.UNKNOWN:
        yield ("say whether the speed was read from the dash or by GPS: a dash reads 2 to 8 % "
               "high, never low")
    if result.size_from is not SizeSource.TIRE:
        yield ("read the tire size off the side of the tire that is fitted and say so (size read "
               "from: tire); until then the table holds a size up to "
               f"{100.0 * OPEN_SIZE_SHARE:.0f} % off")
    yield (f"to record this: {result.rate.advised_hz:.0f} samples a second or more show every "
           f"order above up to {wording.speed(result.speed_kmh)}")


def _fits(result: OrdersResult) -> Iterable[str]:
    fitting = [f"{name_of(fit.line)} fits: {fit.gap_hz:+.2f} Hz off, {fit.allowed_hz:.2f} allowed"
               for fit in result.fits if fit.fits]
    if fitting:
        return fitting
    nearest = result.fits[0]
    share = 100.0 * nearest.gap_hz / nearest.line.hz
    allowed = 100.0 * nearest.allowed_hz / nearest.line.hz
    off = f"{abs(share):.1f} % {'high' if share > 0.0 else 'low'}"
    return (f"fits none within its uncertainty; nearest is {name_of(nearest.line)}, {off} where "
            f"{allowed:.1f} % is allowed; are all orders {off}? Then check tire size or speed",)


def advice(pair: Pair, wording: Wording) -> str:
    """How two orders are told apart."""
    names = f"{name_of(pair.first)} and {name_of(pair.second)}"
    if pair.parted_by is PartedBy.NAMED_GEAR:
        return f"{names} part in {' or '.join(pair.parting_gears)} gear at the same road speed"
    if pair.parted_by is PartedBy.OTHER_GEAR:
        return f"{names} part in another gear at the same road speed"
    if pair.parted_by is PartedBy.SPEED and pair.parts_at_kmh is not None:
        unit = wording.unit(Quantity.SPEED)
        speed = math.ceil(to_unit(pair.parts_at_kmh, Quantity.SPEED, unit))
        return f"{names} part at {speed} {unit} or faster"
    if pair.parted_by is PartedBy.LOAD:
        return f"{names} part by load: a joint shakes under drive and is quiet when coasting"
    return f"{names} do not part by frequency at a lawful speed: use a trial or an inspection"
