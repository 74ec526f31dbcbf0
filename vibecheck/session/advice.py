"""Next checks, remedies, and whether to go on, as views."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Level, Place
from vibecheck.reasoning.decide import Try, Verdict, worth_asking
from vibecheck.reasoning.nextcheck import NEAR_TIE, Option
from vibecheck.session.gather import asks
from vibecheck.session.judge import what_would_decide
from vibecheck.session.views import CautionShown, Conclusion, Field, NextCheck, RemedyChoice
from vibecheck.session.wording import at_corner, cause_name, finding_name, state_label

if TYPE_CHECKING:
    from vibecheck.session.workbench import Workbench

MOST_CHECKS = 10
MOST_REMEDIES = 8
TELLING_REPEAT = 0.01  # bit that a reading taken again must tell to be shown then
NOTHING_FITS = "the check that should show the likeliest cause does not; go over the answers again"
LONGEST_SEARCH = 240.0  # minutes; an estimate goes no further
ENOUGH_OF_IT = 0.5  # share of the uncertainty that must go for the low estimate


def next_checks(bench: Workbench) -> tuple[NextCheck, ...]:
    """The best checks, and all that would decide an undecided reading.

    Corners at which one check is worth the same are told together. Once it is decided what to
    do, only those are left that are still worth their minutes.
    """
    open_ones = [option for option in bench.options if _open(bench, option)]
    grouped: dict[str, list[Option]] = {}
    for option in open_ones:
        grouped.setdefault(option.rule.id, []).append(option)
    shown: list[tuple[Option, tuple[str, ...]]] = []
    for option in open_ones:
        best = grouped[option.rule.id][0]
        equal = option is not best and not option.repeats and _alike(option, best)
        if equal:
            continue
        also = tuple(
            other.spot.corner.value
            for other in grouped[option.rule.id][1:]
            if option is best and other.spot.corner and _alike(other, option)
        )
        shown.append((option, also))
    kept = shown[:MOST_CHECKS] + [pair for pair in shown[MOST_CHECKS:] if pair[0].repeats]
    return tuple(next_check(bench, option, also) for option, also in kept)


def _open(bench: Workbench, option: Option) -> bool:
    """Whether a check is still worth showing."""
    if not bench.decided or option.urgent:
        return True
    if option.repeats and option.gain >= TELLING_REPEAT:
        return True
    return bool(bench.tries) and worth_asking(bench.belief, option, bench.tries[0])


def _alike(one: Option, other: Option) -> bool:
    return other.score > 0 and NEAR_TIE <= one.score / other.score <= 1.0 / NEAR_TIE


def next_check(bench: Workbench, option: Option, also: tuple[str, ...] = ()) -> NextCheck:
    """One check with its fields."""
    rule = option.rule
    library = bench.library
    access = next(state.name for state in library.access.states if state.id == rule.access)
    return NextCheck(
        check=rule.id,
        corner=option.spot.corner.value if option.spot.corner else None,
        name=at_corner(rule.name, option.spot),
        kind=rule.kind.value,
        access=access,
        minutes=option.minutes,
        access_minutes=option.access_minutes,
        gain=option.gain,
        saves=option.saves,
        score=option.score,
        safety=option.urgent,
        near_tie=option.near_tie,
        also_at=also,
        here=option.here,
        why=_why(bench, option),
        decides=_decides(bench, option),
        tools=tuple(library.tools[tool].name for tool in rule.tools),
        steps=tuple(rule.steps),
        calculator=rule.calculator,
        fields=fields(bench, option.spot),
        cautions=tuple(library.cautions[each].text for each in rule.cautions),
        shop_request=rule.shop_request,
    )


def fields(bench: Workbench, check: Spot) -> tuple[Field, ...]:
    """What a check asks for on this vehicle."""
    rule = bench.library.checks[check.id]
    return tuple(
        field(bench, spot)
        for spot in asks(bench.library, rule, check.corner)
        if spot in bench.network.findings
    )


def field(bench: Workbench, spot: Spot) -> Field:
    """One thing to fill in, with the question as this place should hear it."""
    node = bench.network.findings[spot]
    rule = node.rule
    entry = bench.gathered.entries.get(spot)
    own = {
        Place.COUNTER: rule.ask.counter,
        Place.BAY: rule.ask.bay,
        Place.DRIVEWAY: rule.ask.driveway,
    }[bench.place]
    return Field(
        finding=spot.id,
        corner=spot.corner.value if spot.corner else None,
        name=finding_name(bench.library, spot),
        question=own or rule.ask.plain,
        help=rule.help,
        states=dict(rule.states),
        quantity=rule.measure.quantity if rule.measure else None,
        unit=rule.measure.unit if rule.measure else None,
        tolerance=rule.measure.tolerance if rule.measure else None,
        answered=state_label(node, entry.value) if entry else None,
    )


def remedies(bench: Workbench) -> tuple[RemedyChoice, ...]:
    """Remedies in the order to try."""
    return tuple(_remedy(bench, each) for each in bench.tries[:MOST_REMEDIES])


def _remedy(bench: Workbench, each: Try) -> RemedyChoice:
    rule = bench.library.remedies[each.spot.id]
    return RemedyChoice(
        remedy=rule.id,
        corner=each.spot.corner.value if each.spot.corner else None,
        name=at_corner(rule.name, each.spot),
        chance=each.chance,
        minutes=each.effort,
        parts=rule.parts.value,
        cost_to_resolve=each.cost_to_resolve,
        here=each.here,
        cures=tuple(str(spot) for spot in each.cures),
        steps=tuple(rule.steps),
        verify=rule.verify,
        comeback=rule.comeback,
        cautions=tuple(bench.library.cautions[caution].text for caution in rule.cautions),
        shop_request=rule.shop_request,
    )


def conclusion(bench: Workbench, cautions: Iterable[CautionShown]) -> Conclusion:
    """Whether to go on asking, and why."""
    stop = next((each for each in cautions if each.level == Level.STOP.value), None)
    if stop is not None:
        return Conclusion(decided=True, kind="stop", text=stop.text)
    ruling = bench.ruling
    if ruling.verdict is Verdict.NO_FAULT:
        text = "none of the known faults is likely on these answers"
        return Conclusion(decided=ruling.decided, kind="no_fault", text=text)
    if not bench.gathered.evidence or ruling.remedy is None:
        return Conclusion(decided=False, kind="go_on", text="not enough is known yet")
    name = at_corner(bench.library.remedies[ruling.remedy.id].name, ruling.remedy)
    if bench.decided:
        return _act(bench, ruling.remedy, f"{name}: {ruling.verdict.value}")
    if not bench.options:
        return Conclusion(decided=False, kind="go_on", text=NOTHING_FITS)
    best = bench.options[0]
    if not best.here:
        return _elsewhere(bench, best)
    text = f"next: {at_corner(best.rule.name, best.spot)}"
    if best is bench.proof.check and not bench.proof.failed:
        text = f"prove it first: {at_corner(best.rule.name, best.spot)}; then {name}"
    return Conclusion(decided=False, kind="go_on", text=text)


def _act(bench: Workbench, remedy: Spot, text: str) -> Conclusion:
    here = any(each.here for each in bench.tries if each.spot == remedy)
    if here:
        return Conclusion(decided=True, kind="fix", text=text)
    rule = bench.library.remedies[remedy.id]
    request = f"; ask for: {rule.shop_request}" if rule.shop_request else ""
    kind = "bay" if bench.place is Place.COUNTER else "shop"
    return Conclusion(decided=True, kind=kind, text=text + request)


def _elsewhere(bench: Workbench, best: Option) -> Conclusion:
    """No check here is worth more than one that needs the bay."""
    name = at_corner(best.rule.name, best.spot)
    if bench.place is Place.COUNTER:
        return Conclusion(decided=False, kind="bay", text=f"hand over to the bay; first: {name}")
    request = best.rule.shop_request or name
    return Conclusion(decided=False, kind="shop", text=f"visit a shop and ask for this: {request}")


def minutes_expected(bench: Workbench) -> tuple[float, float]:
    """Rough range of the diagnostic time still needed [min].

    The checks are taken in their order until half, or all, of the uncertainty that they can
    remove is used up; no further than `LONGEST_SEARCH`.
    """
    if bench.decided:
        return 0.0, 0.0
    weights = bench.belief.weights
    open_bits = float(-(weights * np.log2(np.maximum(weights, 1e-300))).sum())
    told, spent, low = 0.0, 0.0, None
    seen: set[str] = set()
    for option in bench.options:
        if option.rule.id in seen:
            continue
        seen.add(option.rule.id)
        told += option.gain
        spent += option.cost
        if low is None and told >= ENOUGH_OF_IT * open_bits:
            low = spent
        if told >= open_bits or spent >= LONGEST_SEARCH:
            break
    high = min(spent, LONGEST_SEARCH)
    return (min(low, high) if low is not None else high), high


def _why(bench: Workbench, option: Option) -> str:
    """Why this check: the likeliest causes that name it."""
    if option.urgent:
        return "safety comes first"
    named = [
        (float(chance), node.spot)
        for node, chance in zip(bench.network.causes, bench.belief.chances, strict=True)
        if option.rule.id in node.rule.confirm_by
        and option.spot.corner in (None, node.spot.corner)
    ]
    top = sorted(named, key=lambda pair: (-pair[0], str(pair[1])))[:3]
    if not top:
        return "tells several causes apart"
    names = ", ".join(cause_name(bench.library, spot) for _, spot in top)
    return f"tells about: {names}"


def _decides(bench: Workbench, option: Option) -> str:
    parts = [
        f"{finding_name(bench.library, spot)}: {what_would_decide(bench.gathered.judged[spot])}"
        for spot in option.repeats
        if spot in bench.gathered.judged
    ]
    return "; ".join(parts)

