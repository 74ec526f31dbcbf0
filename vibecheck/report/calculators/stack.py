"""The page of tire, wheel and hub told apart."""

from __future__ import annotations

from collections.abc import Iterable

from vibecheck.calculators.stack import QuickResult, StackResult
from vibecheck.metrology.stack.separation import Follows, Mirrored, PartVector, Stacked
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.metrology.vectors import wrap
from vibecheck.report.blocks import Block
from vibecheck.report.calculators.parts import result_page, titled, turn_text
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.wording import Wording

_LENGTH = Quantity.LENGTH


def page(result: StackResult | QuickResult, wording: Wording) -> tuple[Block, ...]:
    """Shares, what does not fit, the best turns; or what the high spot follows."""
    return _quick(result) if isinstance(result, QuickResult) else _separated(result, wording)


def _quick(result: QuickResult) -> tuple[Block, ...]:
    both = result.follows is Follows.BOTH
    follows = "both tire and wheel in part" if both else f"the {result.follows.value}"
    return result_page(
        f"the high spot follows {follows}",
        titled("", (f"it moved {result.moved_deg:+.0f} deg on the wheel while the tire was turned "
                    f"{result.turned_deg:.0f} deg",)),
        mind=("this says which part leads, not how much either runs out",),
        next_steps=("readings round the turn at each mounting give the shares of both",),
    )


def _separated(result: StackResult, wording: Wording) -> tuple[Block, ...]:
    parts = result.separation.parts
    lead = max(parts, key=lambda each: each.vector.tir)
    unit = wording.unit(_LENGTH)
    size = wording.spread(lead.vector.tir, 2.0 * lead.uncertainty, _LENGTH)
    figure = Figure(
        FigureKind.BARS, "Shares of the runout, high to low", "part", unit,
        y=tuple(to_unit(each.vector.tir, _LENGTH, unit) for each in parts),
        labels=tuple(share_name(result, each.part) for each in parts),
    )
    return result_page(
        f"the largest share comes from the {share_name(result, lead.part)}: {size} high to low",
        titled("Shares, high to low", (_share(result, each, wording) for each in parts)),
        figure, "Shares of the runout by part.", _notes(result), _next(result, wording),
    )


def share_name(result: StackResult, part: Stacked) -> str:
    """What a share stands for: what was never turned against the wheel counts with it."""
    if part is not Stacked.WHEEL:
        return part.value
    if result.rotor:
        return f"rotor{' with its hub' if result.with_hub else ''}"
    with_tire = " with its tire" if result.with_tire else ""
    return f"wheel{with_tire}{' with its hub' if result.with_hub else ''}"


def _share(result: StackResult, each: PartVector, wording: Wording) -> str:
    name, spread = share_name(result, each.part), 2.0 * each.uncertainty
    if not each.proven:
        most = wording.length(each.vector.tir + spread, spread)
        return f"{name}: {most} at most, within uncertainty of none"
    return (f"{name}: {wording.spread(each.vector.tir, spread, _LENGTH)}, high spot at "
            f"{wording.angle(each.vector.angle_deg)} +/- {each.angle_uncertainty_deg:.0f} deg from "
            "its mark")


def _notes(result: StackResult) -> Iterable[str]:
    found = result.separation
    if found.repeated is False:
        yield ("the readings contradict each other beyond their uncertainty: a remount did not "
               "repeat; clean the faces, seat the parts and read again")
    if found.repeated is None:
        yield "one more mounting would show whether the mounting repeats"
    mirror = found.mirror
    if mirror.found is Mirrored.ONE:
        yield (f"mounting {mirror.clocking} fits far better mirrored: its places were counted the "
               "wrong way round, or its wheel was turned the other way past the gauge; read it "
               "again before you believe the shares")
    if mirror.found is Mirrored.ALL:
        yield ("all mountings fit far better mirrored: the places were counted counterclockwise, "
               "or the turns of the parts were; count both clockwise, seen from outside")
    if mirror.found is Mirrored.NOT_TESTABLE:
        yield ("a list that was counted the wrong way round would not be noticed: one more "
               "mounting shows it")
    if found.too_close:
        yield "the mountings lie too close together to tell the parts apart well"
    if found.too_close or found.repeated is not True:
        upcoming = found.next_clocking
        at = f"{wrap(upcoming.wheel_turn_deg):.0f} deg on the hub"
        yield (f"read next with the rotor at {at}" if result.rotor else
               f"read next with the tire at {wrap(upcoming.tire_turn_deg):.0f} deg on the wheel "
               f"and the wheel at {at}")
    if result.with_tire or result.with_hub:
        yield f"the {share_name(result, Stacked.WHEEL)} was read as one: it is not told apart"


def _next(result: StackResult, wording: Wording) -> Iterable[str]:
    on_hub = "rotor on the hub, its mark" if result.rotor else "wheel on the hub, valve stem"
    for what, turn in (("tire on the wheel, from where it stood first", result.tire_turn),
                       (f"{on_hub} from the marked stud", result.wheel_turn)):
        if turn is not None:
            yield f"{what}: {turn_text(turn, _LENGTH, wording)}"
