"""The page of a bearing's defect orders."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.bearing import BearingPart, BearingResult, OrderMatch
from vibecheck.report.blocks import Block, Table, section
from vibecheck.report.calculators.parts import result_page, titled
from vibecheck.report.wording import Wording

_PARTS = {
    BearingPart.CAGE: "the cage", BearingPart.OUTER_RING: "a flaw on the outer ring",
    BearingPart.INNER_RING: "a flaw on the inner ring",
    BearingPart.BALL: "a flaw on a ball or roller",
}


def page(result: BearingResult, wording: Wording) -> tuple[Block, ...]:
    """Strikes per turn and per second, and what a measured frequency fits."""
    known = result.turn_hz is not None
    head = ("per turn", "frequency", "part") if known else ("per turn", "part")
    rows = tuple(
        (f"{each.order:.3f}", *(() if each.hz is None else (f"{each.hz:.1f} Hz",)),
         _PARTS[each.part])
        for each in result.strikes
    )
    numbers = frozenset((0, 1) if known else (0,))
    return result_page(
        _headline(result), (*section("Strikes", (Table(head, rows, numbers),)),
                            *titled("Measured", _measured(result))),
        mind=("counted for pure rolling: slip moves real ones by a percent or two",
              "makers change bearings without changing the part number: be sure of the geometry"),
        next_steps=("confirm by play, noise in turns and roughness by hand before it is replaced",),
    )


def _headline(result: BearingResult) -> str:
    if result.measured_hz is not None:
        fitting = [_name(each) for each in result.matches if each.fits]
        lead = f"{result.measured_hz:.1f} Hz measured"
        if not fitting:
            return f"{lead} fits no part of this bearing"
        return f"{lead} fits {' or '.join(fitting)}"
    outer = next(each for each in result.strikes if each.part is BearingPart.OUTER_RING)
    inner = next(each for each in result.strikes if each.part is BearingPart.INNER_RING)
    return (f"a flaw on the outer ring strikes {outer.order:.2f} times per turn, on the inner ring "
            f"{inner.order:.2f} times")


def _name(each: OrderMatch) -> str:
    return _PARTS[each.part] + (", twice its frequency" if each.times == 2 else "")


def _measured(result: BearingResult) -> Iterable[str]:
    fitting = [each for each in result.matches if each.fits]
    for each in fitting or result.matches[:1]:
        word = "fits" if each.fits else "is nearest, and does not fit"
        yield f"{_name(each)} {word}: {each.gap_hz:+.1f} Hz off, {each.allowed_hz:.1f} allowed"
