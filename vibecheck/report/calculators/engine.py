"""The page of what engine, accessories and motor excite."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.engine import EngineResult, Named
from vibecheck.metrology.orders.engine import Excitation, Source
from vibecheck.metrology.units.values import Quantity
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_SOURCES = {
    Source.CRANK: "crank, with balancer, flexplate and converter",
    Source.MISFIRE: "half order, as of one dead cylinder",
    Source.FIRING: "firing of all cylinders",
    Source.ACCESSORY: "an accessory on the belt",
    Source.MOTOR: "electric motor, once per turn",
    Source.MOTOR_POLES: "magnetic pull of the motor's poles",
    Source.MOTOR_RIPPLE: "torque ripple of the motor",
    Source.GEAR_MESH: "gear mesh at the motor's pinion",
}


def page(result: EngineResult, wording: Wording) -> tuple[Block, ...]:
    """Every source with its frequency, the ratio, and what a measured one fits."""
    heads = (("Engine", "per crank turn", result.engine), ("Motor", "per motor turn", result.motor))
    tables = tuple(
        block for title, per, lines in heads
        for block in section(title, (_table(lines, per),) if lines else ())
    )
    return result_page(
        _headline(result),
        (*tables, *titled("Ratios", _ratios(result, wording)), *titled("Measured", _fits(result))),
        mind=_mind(result), next_steps=_next(result),
    )


def _table(lines: tuple[Excitation, ...], per: str) -> Table:
    rows = tuple((f"{each.hz:.1f} Hz", f"{each.order:.4g}", _SOURCES[each.source])
                 for each in lines)
    return Table(("frequency", per, "source"), rows, frozenset((0, 1)))


def _headline(result: EngineResult) -> str:
    if result.measured_hz is not None:
        lead = f"{result.measured_hz:.1f} Hz measured"
        names = " or ".join(_SOURCES[each.line.source] for each in result.fitting)
        return f"{lead}: {names}" if names else f"{lead} fits nothing that turns with the engine"
    if result.rpm is not None:
        return f"at {result.rpm:.0f} rpm the crank turns {result.rpm / 60.0:.1f} times a second"
    return f"the motor turns {result.motor[0].hz:.1f} times a second"


def _ratios(result: EngineResult, wording: Wording) -> Iterable[str]:
    if result.pulley_ratio is not None:
        yield f"the accessory turns {result.pulley_ratio:.2f} times per turn of the crank"
    if result.overall_ratio is not None and result.speed_kmh is not None:
        at = wording.size(result.speed_kmh, Quantity.SPEED)
        yield (f"at {at} the engine turns {result.overall_ratio:.2f} times per turn of the wheel: "
               "more than the gear and axle allow says that clutch or converter slips")


def _fits(result: EngineResult) -> Iterable[str]:
    for each in result.fitting:
        yield f"{_SOURCES[each.line.source]} fits: {_gap(each)}"
    others = [each for each in result.named if not each.fits]
    if others:
        yield f"nearest that does not fit: {_SOURCES[others[0].line.source]}, {_gap(others[0])}"


def _gap(each: Named) -> str:
    return f"{each.gap_hz:+.1f} Hz off, {each.allowed_hz:.1f} allowed"


def _mind(result: EngineResult) -> Iterable[str]:
    if result.engine:
        yield "a rev counter shows some 3 % wrong at idle; a scan tool is better"
        yield "counted for a four-stroke engine that fires evenly"
    if result.motor:
        yield "poles and ripple are those of a three-phase motor"


def _next(result: EngineResult) -> Iterable[str]:
    if result.measured_hz is not None and len(result.fitting) > 1:
        yield "raise the engine speed by some 300 rpm at rest and measure again: they part"
    if any(each.line.source is Source.MISFIRE for each in result.fitting):
        yield "read the misfire counters before mounts are blamed"
