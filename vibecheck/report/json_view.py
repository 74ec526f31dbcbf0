"""A diagnosis as data for programs: the one place where `--json` is made.

Probabilities are unitless in [0, 1], times in [min], gains in [bit]; readings stand in the base
unit of their quantity, which `unit` names. Texts are those of the pages, in metric units.
"""

from __future__ import annotations

from typing import Any

from vibecheck.reasoning.decide import Try
from vibecheck.reasoning.reasons import Weight
from vibecheck.report.names import (
    access_name,
    cause_name,
    chance_word,
    check_name,
    finding_name,
    remedy_name,
    set_name,
    state_name,
)
from vibecheck.report.parts import less_likely_reason
from vibecheck.report.sentences import (
    answer_text,
    caution_reason,
    change_text,
    check_decides,
    check_reason,
    conclusion_text,
    driving_reasons,
    limit_origin,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import Asked, NextCheck
from vibecheck.session.cautions import step_cautions
from vibecheck.session.diagnosis import Answer, Diagnosis, LessLikely, RankedCause

Data = dict[str, Any]
_WORDING = Wording()


def rank_data(found: Diagnosis) -> Data:
    """The whole of a diagnosis."""
    case = found.case
    return {
        "case": case.id, "title": case.title, "invented": case.invented,
        "place": case.place, "facts": dict(found.facts),
        "faults": [
            {"cause": each.cause, "name": found.library.causes[each.cause].name,
             "probability": each.probability, "told_apart": each.told_apart,
             "corners": {corner.value: chance for corner, chance in each.corners}}
            for each in found.faults
        ],
        "ranking": [_ranked(found, each) for each in found.ranking],
        "sets": [
            {"causes": [str(spot) for spot in each.causes],
             "name": set_name(found.library, each.causes), "probability": each.probability}
            for each in found.sets
        ],
        "repair": _repair(found),
        "ruled_out": [
            {"cause": each.cause.id, "corner": each.cause.corner, "finding": str(each.finding),
             "entry": each.entry.id, "odds": each.odds,
             "text": answer_text(found, each.finding, _WORDING)}
            for each in found.ruled_out
        ],
        "less_likely": [_less_likely(found, each) for each in found.less_likely],
        "remedies": [_remedy(found, each) for each in found.remedies],
        "answers": [_answer(found, each) for each in found.answers],
        "readings": [_reading(found, each) for each in found.readings],
        "no_fault": found.belief.no_fault,
        "prune_below": found.library.settings.prune_below,
        "may_be_off": found.belief.sets.apart,
        "minutes_spent": found.case_evidence.minutes,
        "minutes_expected": list(found.minutes_expected),
        **next_data(found),
    }


def next_data(found: Diagnosis, count: int | None = None) -> Data:
    """The next checks, with what counts before them."""
    settings, said = found.library.settings, found.conclusion
    return {
        "case": found.case.id, "place": found.case.place,
        "drive": {
            "word": found.driving.word.value,
            "reasons": driving_reasons(found, _WORDING),
            "seen": [each.rule.id for each in found.driving.seen],
            "likely": [
                {"cause": each.spot.id, "corner": each.spot.corner, "danger": each.danger.value,
                 "probability": each.probability}
                for each in found.driving.likely
            ],
            "held": [
                {"cause": str(each.spot), "entry": each.entry.id} for each in found.driving.held
            ],
            "unchecked": [
                {"check": str(each.check), "findings": [str(one) for one in each.findings],
                 "why": each.why.value}
                for each in found.driving.unchecked
            ],
            "lifted": [
                {"entry": each.entry.id, "by": each.lifted_by.id,
                 "finding": str(each.finding or ""), "cause": str(each.cause or "")}
                for each in found.driving.lifted
            ],
        },
        "conclusion": {
            "decided": said.decided, "kind": said.kind.value,
            "text": conclusion_text(found, _WORDING),
        },
        "next": [_check(found, each) for each in found.next_checks[:count]],
        "cautions": [
            {"id": each.rule.id, "level": each.rule.level.value, "text": each.rule.text,
             "why": caution_reason(found, each, _WORDING)}
            for each in found.cautions
        ],
        "rules": {
            "name": settings.name, "version": settings.version, "hash": found.library.digest,
            "same_as_case": found.same_rules,
        },
    }


def why_data(found: Diagnosis, cause: str, corner: str | None) -> Data:
    """One cause explained.

    Raises
    ------
    InputError : no such cause on this vehicle.
    """
    why, library = found.why(cause, corner), found.library
    rule = why.cause.rule
    return {
        **_ranked(found, why.cause), "says": rule.says, "prior": why.prior, "rank": why.rank,
        "confirm_by": list(rule.confirm_by), "remedies": list(rule.remedies),
        "sources": [library.sources[each].title for each in rule.source], "note": rule.note,
    }


def _ranked(found: Diagnosis, cause: RankedCause) -> Data:
    weights = found.weights(cause.spot)
    return {
        "cause": cause.cause, "corner": cause.corner,
        "name": cause_name(found.library, cause.spot), "family": cause.rule.family.value,
        "probability": cause.probability, "word": chance_word(cause.probability),
        "danger": cause.rule.danger.value,
        "for": [_weight(found, each) for each in weights if each.bits > 0],
        "against": [_weight(found, each) for each in weights if each.bits < 0],
    }


def _weight(found: Diagnosis, weight: Weight) -> Data:
    return {
        "finding": weight.finding.id, "corner": weight.finding.corner,
        "text": answer_text(found, weight.finding, _WORDING), "weight": weight.bits,
        "check": found.check_behind(weight.finding),
    }


def _less_likely(found: Diagnosis, each: LessLikely) -> Data:
    return {
        "cause": each.cause.cause, "corner": each.cause.corner,
        "name": cause_name(found.library, each.cause.spot),
        "probability": each.cause.probability, "check": each.check,
        "finding": str(each.weight.finding),
        "entry": found.case_evidence.entries[each.weight.finding].id,
        "text": less_likely_reason(found, each, _WORDING),
    }


def _check(found: Diagnosis, check: NextCheck) -> Data:
    library, option, rule = found.library, check.option, check.rule
    return {
        "check": check.check, "corner": check.corner,
        "name": check_name(library, check.spot), "kind": rule.kind.value,
        "access": access_name(library, rule.access), "minutes": option.minutes,
        "access_minutes": option.access_minutes, "gain": option.gain, "saves": option.saves,
        "score": option.score, "safety": option.urgent, "near_tie": option.near_tie,
        "also_at": list(check.also_at), "here": option.here,
        "why": check_reason(library, check),
        "causes": [str(spot) for spot in check.causes],
        "decides": check_decides(library, check, _WORDING),
        "tools": [library.tools[tool].name for tool in rule.tools], "steps": list(rule.steps),
        "calculator": rule.calculator, "fields": [_asked(found, each) for each in check.asked],
        "cautions": [each.text for each in step_cautions(library, found.place, rule)],
        "shop_request": rule.shop_request,
    }


def _asked(found: Diagnosis, asked: Asked) -> Data:
    measure = asked.rule.measure
    return {
        "finding": asked.finding, "corner": asked.corner,
        "name": finding_name(found.library, asked.spot), "question": asked.question,
        "help": asked.rule.help, "states": dict(asked.rule.states), "quantity": asked.quantity,
        "unit": asked.unit, "tolerance": measure.tolerance if measure else None,
        "answered": state_name(asked.rule, asked.entry.value) if asked.entry else None,
    }


def _remedy(found: Diagnosis, each: Try) -> Data:
    rule = found.library.remedies[each.spot.id]
    return {
        "remedy": each.spot.id, "corner": each.spot.corner,
        "name": remedy_name(found.library, each.spot), "chance": each.chance,
        "minutes": each.effort, "parts": rule.parts.value,
        "cost_to_resolve": each.cost_to_resolve, "here": each.here,
        "cures": [str(spot) for spot in each.cures], "steps": list(rule.steps),
        "verify": rule.verify, "comeback": rule.comeback,
        "cautions": [one.text for one in step_cautions(found.library, found.place, rule)],
        "shop_request": rule.shop_request,
    }


def _answer(found: Diagnosis, answer: Answer) -> Data:
    return {
        "entry": answer.entry.id, "finding": answer.finding, "corner": answer.corner,
        "name": finding_name(found.library, answer.spot), "value": answer.value,
        "shown": state_name(found.library.findings[answer.finding], answer.value),
        "place": answer.entry.place, "at": answer.entry.at,
    }


def _reading(found: Diagnosis, answer: Answer) -> Data:
    judged = answer.judged
    if judged is None:
        raise ValueError(f"{answer.finding} is no reading")
    limit = judged.limit
    return {
        "entry": answer.entry.id, "finding": answer.finding, "corner": answer.corner,
        "name": finding_name(found.library, answer.spot), "value": judged.measured.value,
        "uncertainty": judged.expanded, "unit": _WORDING.unit(judged.quantity),
        "typed": judged.measured.typed, "tolerance": limit.tolerance if limit else None,
        "limit": limit.value if limit else None,
        "limit_from": limit_origin(found.library, limit) if limit else "",
        "decision": judged.zone.value if judged.zone else "no_limit",
        "text": answer_text(found, answer.spot, _WORDING),
    }


def _repair(found: Diagnosis) -> Data | None:
    """What the remedies done have changed."""
    done = found.repair
    if done is None:
        return None
    return {
        "change": done.change.value if done.change else None,
        "remedies": [
            {"entry": each.id, "remedy": each.remedy, "corner": each.corner,
             "minutes": each.minutes, "parts": each.parts}
            for each in done.remedies
        ],
        "compared": [
            {"finding": str(each.finding), "before": each.before.id, "after": each.after.id,
             "change": each.change.value, "text": change_text(found, each, _WORDING)}
            for each in done.compared
        ],
        "wanted": [str(each) for each in done.wanted],
        "work_left": [
            {"cause": each.spot.id, "corner": each.spot.corner, "probability": each.probability}
            for each in found.work_left
        ],
    }
