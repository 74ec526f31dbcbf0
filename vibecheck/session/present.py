"""Turns a workbench into views."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.reasons import Weight
from vibecheck.session.advice import conclusion, minutes_expected, next_checks, remedies
from vibecheck.session.judge import COVERAGE, spoken_decision
from vibecheck.session.safety import cautions, drive
from vibecheck.session.views import (
    AnswerShown,
    CauseSet,
    JudgedReading,
    RankedCause,
    Reason,
    RuledOut,
    RulesStamp,
    SessionView,
    WhyView,
)
from vibecheck.session.wording import (
    cause_name,
    chance_word,
    finding_name,
    state_label,
)

if TYPE_CHECKING:
    from vibecheck.session.workbench import Workbench

LEAST_BITS = 0.1  # reasons below this are not shown
MOST_REASONS = 12
MOST_SETS = 6
LEAST_SET = 0.01
RULED_OUT_BITS = 0.5  # a cause counts as ruled out by an answer that took at least this from it


def session_view(bench: Workbench) -> SessionView:
    """Everything a person sees of this workbench."""
    shown = cautions(bench.outlook)
    return SessionView(
        case=bench.case.id,
        title=bench.case.title,
        invented=bench.case.invented,
        place=bench.place.value,
        facts=dict(bench.facts),
        ranking=ranking(bench),
        sets=sets(bench),
        ruled_out=ruled_out(bench),
        next=next_checks(bench),
        remedies=remedies(bench),
        cautions=shown,
        drive=drive(bench.outlook, shown),
        conclusion=conclusion(bench, shown),
        answers=answers(bench),
        readings=readings(bench),
        no_fault=bench.belief.no_fault,
        prune_below=bench.library.settings.prune_below,
        left_out=bench.belief.sets.left_out,
        minutes_spent=bench.gathered.minutes,
        minutes_expected=minutes_expected(bench),
        rules=rules_stamp(bench),
    )


def ranking(bench: Workbench) -> tuple[RankedCause, ...]:
    """Live causes, likeliest first; causes that no answer touches are ranked by their rate."""
    threshold = bench.library.settings.prune_below
    return tuple(
        ranked_cause(bench, index)
        for index in _by_chance(bench)
        if bench.belief.chances[index] >= threshold
    )


def ranked_cause(bench: Workbench, index: int) -> RankedCause:
    """One cause with its reasons."""
    node = bench.network.causes[index]
    chance = float(bench.belief.chances[index])
    reasons = _reasons(bench, node.spot)
    return RankedCause(
        cause=node.spot.id,
        corner=_corner(node.spot),
        name=cause_name(bench.library, node.spot),
        family=node.rule.family.value,
        probability=chance,
        word=chance_word(chance),
        danger=node.rule.danger.value,
        for_=tuple(reason for reason in reasons if reason.weight > 0),
        against=tuple(reason for reason in reasons if reason.weight < 0),
    )


def sets(bench: Workbench) -> tuple[CauseSet, ...]:
    """The heaviest sets of causes."""
    found = []
    for row in range(min(MOST_SETS, bench.belief.kept)):
        weight = float(bench.belief.sets.weights[row])
        spots = bench.belief.set_spots(row)
        if weight < LEAST_SET:
            break
        names = [cause_name(bench.library, spot) for spot in spots]
        found.append(
            CauseSet(
                causes=tuple(str(spot) for spot in spots),
                name=" together with ".join(names) if names else "none of the known causes",
                probability=weight,
            )
        )
    return tuple(found)


def ruled_out(bench: Workbench) -> tuple[RuledOut, ...]:
    """Causes under the threshold that an answer put there, and that answer's check."""
    threshold = bench.library.settings.prune_below
    found = []
    for index in _by_chance(bench):
        if bench.belief.chances[index] >= threshold:
            continue
        spot = bench.network.causes[index].spot
        worst = bench.reasons.heaviest_against(spot)
        if worst is not None and worst.bits <= -RULED_OUT_BITS:
            found.append(_ruled_out(bench, index, worst))
    return tuple(found)


def _ruled_out(bench: Workbench, index: int, worst: Weight) -> RuledOut:
    spot = bench.network.causes[index].spot
    entry = bench.gathered.entries[worst.finding]
    check = _check_behind(bench, worst.finding)
    name = bench.library.checks[check].name if check else "an answer"
    text = f"{name} - {bench.texts[worst.finding]}"
    return RuledOut(
        cause=spot.id,
        corner=_corner(spot),
        name=cause_name(bench.library, spot),
        probability=float(bench.belief.chances[index]),
        check=check,
        finding=str(worst.finding),
        entry=entry.id,
        text=text,
    )


def answers(bench: Workbench) -> tuple[AnswerShown, ...]:
    """All answers and readings in force, in the order given."""
    return tuple(
        AnswerShown(
            entry=entry.id,
            finding=spot.id,
            corner=_corner(spot),
            name=finding_name(bench.library, spot),
            value=entry.value,
            shown=state_label(bench.network.findings[spot], entry.value),
            place=entry.place,
            at=entry.at,
        )
        for spot, entry in bench.gathered.entries.items()
    )


def readings(bench: Workbench) -> tuple[JudgedReading, ...]:
    """All measured values, judged."""
    return tuple(
        JudgedReading(
            entry=bench.gathered.entries[spot].id,
            finding=spot.id,
            corner=_corner(spot),
            name=finding_name(bench.library, spot),
            value=judged.measured.value,
            uncertainty=COVERAGE * judged.uncertainty,
            unit=judged.unit,
            typed=judged.measured.typed,
            tolerance=judged.limit.tolerance if judged.limit else None,
            limit=judged.limit.value if judged.limit else None,
            limit_from=judged.limit.source if judged.limit else "",
            decision=judged.decision.zone.value if judged.decision else "no limit",
            text=spoken_decision(finding_name(bench.library, spot), judged),
        )
        for spot, judged in bench.gathered.judged.items()
    )


def why_view(bench: Workbench, spot: Spot) -> WhyView:
    """One cause explained."""
    index = bench.network.index[spot]
    rule = bench.network.causes[index].rule
    reasons = _reasons(bench, spot)
    order = _by_chance(bench)
    checks = [bench.library.checks[check].name for check in rule.confirm_by]
    return WhyView(
        cause=spot.id,
        corner=_corner(spot),
        name=cause_name(bench.library, spot),
        says=rule.says,
        probability=float(bench.belief.chances[index]),
        prior=float(bench.prior.chances[index]),
        rank=order.index(index) + 1,
        for_=tuple(reason for reason in reasons if reason.weight > 0),
        against=tuple(reason for reason in reasons if reason.weight < 0),
        paths=tuple(
            f"{reason.text} -> {cause_name(bench.library, spot)} -> {check}"
            for reason in reasons
            if reason.weight > 0
            for check in checks[:1]
        ),
        confirm_by=tuple(checks),
        remedies=tuple(bench.library.remedies[each].name for each in rule.remedies),
        sources=tuple(bench.library.sources[each].title for each in rule.source),
        note=rule.note,
    )


def rules_stamp(bench: Workbench) -> RulesStamp:
    """Which rules ranked this."""
    settings, used = bench.library.settings, bench.case.rules
    return RulesStamp(
        name=settings.name,
        version=settings.version,
        hash=bench.library.digest,
        same_as_case=used is None or used.hash == bench.library.digest,
    )


def _by_chance(bench: Workbench) -> list[int]:
    chances = bench.belief.chances
    return [int(each) for each in np.argsort(-np.round(chances, 12), kind="stable")]


def _reasons(bench: Workbench, spot: Spot) -> tuple[Reason, ...]:
    found = [
        Reason(
            finding=weight.finding.id,
            corner=_corner(weight.finding),
            text=bench.texts[weight.finding],
            weight=weight.bits,
            check=_check_behind(bench, weight.finding),
        )
        for weight in bench.reasons[spot]
        if abs(weight.bits) >= LEAST_BITS
    ]
    return tuple(found[:MOST_REASONS])


def _check_behind(bench: Workbench, finding: Spot) -> str | None:
    """The check that gave a finding, or the first one that could have."""
    entry = bench.gathered.entries[finding]
    if entry.check in bench.library.checks:
        return entry.check
    yielding = bench.library.checks_yielding.get(finding.id, ())
    return yielding[0] if yielding else None


def _corner(spot: Spot) -> str | None:
    return spot.corner.value if spot.corner else None
